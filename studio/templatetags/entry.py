"""Template tags for the fields of a form: label, value, what is wrong with it, and how to mend that."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import replace
from typing import Any

from django import template
from django.utils import timezone
from django.utils.html import format_html
from django.utils.safestring import mark_safe
from django.utils.translation import gettext as _

from studio import units, words
from studio.record.form import CONES
from studio.units import entry_of
from studio.views.filled import Filled, filled
from studio.views.refused import refused_here

register = template.Library()
NUMBERS = ("min", "max", "step", "maxlength", "placeholder", "list", "autocomplete", "required", "autofocus")


@register.inclusion_tag("studio/_field.html")
def field(
    form: Filled, name: str, label: str, kind: str = "text", hint: str = "", unit: str = "",
    choices: Iterable[tuple[Any, Any]] | None = None, blank: str | None = None, **more: Any,
) -> dict[str, Any]:  # fmt: skip
    """One labelled field. ``kind`` is an input type, "area" or "select" (with ``choices``, ``blank`` for none)."""
    value = _written(form.value(name))
    options = [(str(v), text, str(v) == value) for v, text in choices or ()]
    return {
        "id": f"{form.id}-{name}", "name": name, "label": label, "kind": kind, "value": value, "hint": hint,
        "unit": unit, "error": form.error(name), "options": options, "blank": blank,
        "attributes": {k: v for k, v in more.items() if k in NUMBERS and v not in ("", None, False)},
    }  # fmt: skip


@register.inclusion_tag("studio/_field.html")
def measure(form: Filled, name: str, label: str, unit: str = "", **more: Any) -> dict[str, Any]:
    """A field for a length, a weight or a volume (``name`` ends with _mm, _g, grams or _l), in the studio's own units.

    ``unit`` is that of the metric field; ``lo`` and ``hi`` are in mm, g or l.
    """
    lo, hi, entry = more.pop("lo"), more.pop("hi"), entry_of(name)
    if entry is None:
        return field(form, name, label, "number", unit=unit, min=lo, max=hi, **more)
    there = form.value(name)
    own = f"{name}{entry.end}"
    shown = form.value(own) if form.is_refused and own in form.values else entry.shown(float(there)) if there else ""
    values = {**form.values, own: shown}
    more |= {"min": entry.shown(lo), "max": entry.shown(hi), "step": "any"}
    return field(replace(form, values=values), own, label, "number", unit=str(entry.name), **more)


@register.inclusion_tag("studio/_field.html")
def degrees(form: Filled, name: str, label: str, lo: float, hi: float, **more: Any) -> dict[str, Any]:
    """A field for a temperature, in °C as ``<name>_c`` or in °F as ``<name>_f``; ``lo`` and ``hi`` are in °C."""
    us = units.current() == units.US
    ends = [round(units.fahrenheit(x)) if us else x for x in (lo, hi)]
    own = f"{name}_{units.degree()}"
    return field(form, own, label, "number", unit="°F" if us else "°C", min=ends[0], max=ends[1], step="any", **more)


@register.simple_tag
def point(form: Filled, line: str, axis: str, end: str, n: int) -> str:
    """One cell of a table of points, in the column ``axis`` (r or z) of row ``n``."""
    name = f"{line}_{axis}{end}"
    label = _("radius of point %(n)d") if axis == "r" else _("height of point %(n)d")
    wrong = form.error(name)
    cell = format_html(
        '<input id="{}-{}" name="{}" type="text" inputmode="decimal" maxlength="12" value="{}" aria-label="{}"{}>',
        form.id, name, name, _written(form.value(name)), label % {"n": n},
        mark_safe(' aria-invalid="true"') if wrong else "",
    )  # fmt: skip
    return cell + format_html('<small class="problem">{}</small>', wrong) if wrong else cell


@register.inclusion_tag("studio/_cone.html")
def cone(form: Filled) -> dict[str, Any]:
    """Which cone was seen, and how far it was bent."""
    return {"form": form, "cones": [(c, c) for c in CONES], "bends": words.BENDS.items()}


@register.inclusion_tag("studio/_choices.html")
def ticks(form: Filled, name: str, label: str, choices: Iterable[tuple[Any, Any]], hint: str = "") -> dict[str, Any]:
    """Several of a list, each with a box of its own."""
    options = [(str(v), text, form.ticked(name, str(v))) for v, text in choices]
    return {
        "id": f"{form.id}-{name}", "name": name, "label": label, "options": options, "hint": hint,
        "error": form.error(name),
    }  # fmt: skip


@register.inclusion_tag("studio/_tickbox.html")
def tickbox(form: Filled, name: str, label: str, hint: str = "") -> dict[str, Any]:
    """One yes or no."""
    value = form.value(name)
    value = value[-1] if isinstance(value, list) and value else value  # “off” stands before the box, “on” in it
    on = value in (True, "on", "true", "yes", "1", 1)
    return {"id": f"{form.id}-{name}", "name": name, "label": label, "on": on, "hint": hint, "error": form.error(name)}


@register.simple_tag(takes_context=True)
def entered(context: dict[str, Any], kind: str, **match: str) -> Filled:
    """What a person had entered in the form that sends ``kind`` about these things, if it was refused just now.

    For forms that start the same for everybody: an empty one, not refused, where nothing was.
    """
    request = context["request"]
    return filled(refused_here(request, request.studio, kind, match), kind, {}, **match)


@register.simple_tag(takes_context=True)
def refused_among(context: dict[str, Any], cards: Iterable[Any]) -> bool:
    """Whether what was entered for one of these tasks was refused just now."""
    return any(entered(context, "task_done", task=c.id).is_refused for c in cards)


@register.filter
def kept(form: Filled, name: str) -> str:
    """What was entered in a field and refused; nothing where it was not."""
    return _written(form.value(name)) if form.is_refused else ""


@register.filter
def was_ticked(form: Filled, name_value: str) -> bool:
    """Whether ``name=value`` was among the boxes that were ticked in a refused form."""
    name, _equals, value = name_value.partition("=")
    return form.ticked(name, value)


def _written(value: Any) -> str:
    """A value as a field of a form takes it; of a repeated field the first."""
    if isinstance(value, (list, tuple)):
        value = value[0] if value else ""
    if isinstance(value, dt.datetime):
        return timezone.localtime(value).strftime("%Y-%m-%dT%H:%M")
    if isinstance(value, dt.time):
        return value.strftime("%H:%M")
    return "" if value is None else str(value)
