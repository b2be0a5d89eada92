"""Template tags for the studio's pages: pictures of pots, half days, ids for forms that record something."""

from __future__ import annotations

import uuid
from datetime import datetime
from typing import Any

from django import template
from django.urls import NoReverseMatch, reverse
from django.utils import timezone
from django.utils.html import format_html
from django.utils.safestring import SafeString
from django.utils.translation import gettext as _

from studio import units, words
from studio.cautions import CAUTIONS
from studio.offline import LATER, person_key
from studio.queries.food import food_file

register = template.Library()

MOST_POTS = 12  # as many as stand beside each other on a narrow screen


@register.simple_tag
def app_name() -> str:
    """What this tool is called."""
    return words.APP_NAME


@register.simple_tag
def mark(name: str, css: str = "mark") -> SafeString:
    """A small picture from the sheet in ``_marks.html``; it says nothing that the text beside it does not."""
    return format_html('<svg class="{}" aria-hidden="true" focusable="false"><use href="#m-{}"/></svg>', css, name)


@register.inclusion_tag("studio/_pots.html")
def pots(kind: str, count: int) -> dict[str, Any]:
    """A ware board with as many pots on it as there are, up to a board's width."""
    return {"shape": words.pot_mark(kind), "pots": range(min(count, MOST_POTS)), "more": max(0, count - MOST_POTS)}


@register.simple_tag(takes_context=True)
def place(context: dict[str, Any], name: str, **kwargs: Any) -> str:
    """The address of a page of this studio, or nothing while that page does not exist."""
    studio = context["request"].studio
    try:
        return reverse(f"studio:{name}", kwargs={"studio": studio.public_id, **kwargs})
    except NoReverseMatch:
        return ""


@register.simple_tag(takes_context=True)
def person(context: dict[str, Any]) -> SafeString:
    """An attribute that tells the page's scripts whose page it is; nothing where nobody is logged in."""
    key = person_key(getattr(context.get("request"), "user", None))
    return format_html(' data-person="{}"', key) if key else SafeString()


@register.inclusion_tag("studio/_command.html", takes_context=True)
def command(context: dict[str, Any], kind: str, back: str = "") -> dict[str, Any]:
    """The hidden fields with which a form hands a command to the studio's door.

    ``back`` is the address to go to afterwards; without it, the page that the form stands on.
    """
    request = context["request"]
    return {
        "csrf_token": context.get("csrf_token"),
        "id": uuid.uuid4(),
        "kind": kind,
        "back": back or request.get_full_path(),
        "later": LATER.get(kind, ""),
    }


register.filter("length_of", units.length)
register.filter("weight", units.weight)
register.filter("gauge", units.gauge)
register.filter("on_scale", units.scale)
register.filter("kilos", units.kilos)
register.filter("volume", units.volume)
register.filter("tenths_c", lambda tenths: units.temperature(tenths / 10))
register.filter("gauge_bare", units.gauge_bare)
register.filter("capacity", units.capacity)
register.filter("cubic", units.cubic)
register.filter("area", units.area)
register.filter("measured", units.said)
register.filter("day", words.day)
register.filter("around", words.around)
register.filter("minutes", words.span)
register.filter("stage_name", words.stage)


@register.filter
def clock(value: datetime) -> str:
    """The time of day, 24 hours: 09:05."""
    return timezone.localtime(value).strftime("%H:%M")


@register.filter
def half(value: datetime) -> str:
    """A half day as people say it: this morning, tomorrow afternoon, Thursday morning, tonight."""
    return words.half_day(timezone.localtime(value), timezone.localtime())


@register.filter
def ago(value: datetime) -> str:
    """How long ago, in one unit: 5 min ago, just now."""
    gone = int((timezone.now() - value).total_seconds() // 60)
    return _("just now") if gone < 2 else _("%(time)s ago") % {"time": words.span(gone)}


@register.filter
def at(table: dict[str, Any], key: str) -> Any:
    """What a table holds under a key that is itself a value; nothing if it is not there."""
    return table.get(key, ())


@register.filter
def undo_id(tags: str | None) -> str:
    """The command that a message's undo takes back: the tag ``undo:<command>``, or nothing."""
    found = [tag.removeprefix("undo:") for tag in (tags or "").split() if tag.startswith("undo:")]
    return found[0] if found else ""


@register.filter
def since(value: datetime, now: datetime) -> str:
    """A time gone by: the clock time if it was today, else the half day."""
    at, today = timezone.localtime(value), timezone.localtime(now)
    return clock(value) if at.date() == today.date() else words.half_day(at, today)


@register.inclusion_tag("studio/_caution.html", takes_context=True)
def caution(context: dict[str, Any], key: str) -> dict[str, Any]:
    """The usual caution at this kind of task, unless it was seen today."""
    request = context["request"]
    seen = request.session.get("cautions", {}).get(key) == timezone.localdate().isoformat()
    return {
        "request": request,
        "csrf_token": context.get("csrf_token"),
        "key": key,
        "line": "" if seen else units.said(CAUTIONS.get(key, "")),
    }


@register.inclusion_tag("studio/_food.html", takes_context=True)
def food(context: dict[str, Any], glaze: str) -> dict[str, Any]:
    """What has to stand beside a glaze that no result within the limits is on file of; nothing where one is.

    The file is read once a page.
    """
    request = context["request"]
    if not hasattr(request, "food_file"):
        request.food_file = food_file(request.studio)
    return {"word": request.food_file.word(glaze), "said": request.food_file.warning(glaze)}
