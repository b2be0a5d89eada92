"""A potter's words for the kinds of task, for half days and for lengths of time."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import TypeAlias

from django.utils import timezone
from django.utils.formats import date_format
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext, pgettext_lazy

from studio import units

APP_NAME = "The potter’s week"

Text: TypeAlias = str | Promise


@dataclass(frozen=True)
class Kind:
    """How a kind of task is said: ``todo`` as a task, ``done`` on its button, ``group`` as a kind of work.

    ``todo`` and ``done`` take ``%(n)s`` pieces, ``%(thing)s`` (form, kiln or job) and ``%(glaze)s``.
    """

    todo: Text
    done: Text
    group: Text
    mark: str


_LEATHER = gettext_lazy("leather-hard work")
KINDS = {
    "press": Kind(
        gettext_lazy("Press %(n)s × %(thing)s"), gettext_lazy("%(n)s pressed"), gettext_lazy("pressing"), "press"
    ),
    "release": Kind(
        gettext_lazy("Take out %(n)s × %(thing)s"), gettext_lazy("%(n)s good"), gettext_lazy("taking out"), "out"
    ),
    "trim": Kind(gettext_lazy("Turn %(n)s × %(thing)s"), gettext_lazy("%(n)s turned"), _LEATHER, "turn"),
    "turn": Kind(gettext_lazy("Turn %(n)s × %(thing)s"), gettext_lazy("%(n)s turned"), _LEATHER, "turn"),
    "fettle": Kind(gettext_lazy("Fettle %(n)s × %(thing)s"), gettext_lazy("%(n)s fettled"), _LEATHER, "turn"),
    "sponge": Kind(gettext_lazy("Sponge %(n)s × %(thing)s"), gettext_lazy("%(n)s sponged"), _LEATHER, "turn"),
    "join": Kind(
        gettext_lazy("Stick up %(n)s handles: %(thing)s"), gettext_lazy("%(n)s joined"), _LEATHER, "handle"
    ),
    "load": Kind(gettext_lazy("Pack %(thing)s"), gettext_lazy("Packed"), gettext_lazy("kiln"), "pack"),
    "unload": Kind(gettext_lazy("Draw %(thing)s"), gettext_lazy("Drawn"), gettext_lazy("kiln"), "draw"),
    "glaze": Kind(
        gettext_lazy("Glaze %(n)s × %(thing)s: %(glaze)s"),
        gettext_lazy("%(n)s glazed"),
        gettext_lazy("glazing"),
        "glaze",
    ),
    "finish": Kind(
        gettext_lazy("Sort and pack %(n)s × %(thing)s"),
        gettext_lazy("%(n)s firsts"),
        gettext_lazy("sorting and packing"),
        "box",
    ),
    "pour": Kind(gettext_lazy("Pour a mould: %(thing)s"), gettext_lazy("Poured"), gettext_lazy("plaster"), "pour"),
    "lift": Kind(gettext_lazy("Lift the mould: %(thing)s"), gettext_lazy("Lifted"), gettext_lazy("plaster"), "lift"),
    "job": Kind(gettext_lazy("%(thing)s"), gettext_lazy("Done"), gettext_lazy("other work"), "job"),
}
GROUPS = ("press", "release", "trim", "load", "glaze", "finish", "pour", "job")  # one kind for each kind of work


def kind_of(kind: str) -> Kind:
    """How to say a kind of task; a studio's own leather-hard work is called by its own name."""
    own = kind.replace("_", " ").replace("%", "%%").capitalize()
    return KINDS.get(kind) or Kind(f"{own}: %(n)s × %(thing)s", gettext_lazy("%(n)s done"), _LEATHER, "turn")


def todo(kind: str, *, n: int, thing: str, glaze: str = "") -> str:
    """What is to be done: ``Take out 10 × Bowl 15 cm``."""
    return str(kind_of(kind).todo) % {"n": n, "thing": thing, "glaze": glaze}


def done(kind: str, *, n: int) -> str:
    """The one tap that says it was done as planned: ``10 good``."""
    return str(kind_of(kind).done) % {"n": n}


_POTS = {
    "egg_cup": "eggcup",
    "beaker": "beaker",
    "mug": "mug",
    "bowl": "bowl",
    "serving_bowl": "bowl",
    "soup_plate": "dish",
    "side_plate": "plate",
    "dinner_plate": "plate",
}


def pot_mark(kind: str) -> str:
    """The picture of a form of this kind."""
    return _POTS.get(kind, "beaker")


MORNING, AFTERNOON, EVENING = "morning", "afternoon", "evening"
HALVES = {
    MORNING: pgettext_lazy("half day", "morning"),
    AFTERNOON: pgettext_lazy("half day", "afternoon"),
    EVENING: pgettext_lazy("half day", "evening"),
}


THIS_HALF = {
    MORNING: gettext_lazy("This morning"),
    AFTERNOON: gettext_lazy("This afternoon"),
    EVENING: gettext_lazy("This evening"),
}
LEFT_OVER = gettext_lazy("Left from before")


def half_of(at: datetime) -> str:
    """The half day of a local time: up to half past twelve the morning, from half past five the evening."""
    past = at.hour * 60 + at.minute
    return MORNING if past < 12 * 60 + 30 else AFTERNOON if past < 17 * 60 + 30 else EVENING


def half_day(at: datetime, now: datetime) -> str:
    """A local time as people say it: this morning, tomorrow afternoon, Thursday evening, in the night."""
    off = (at.date() - now.date()).days
    if at.hour < 5:
        return _("tonight") if off == 1 else _("in the night to %(day)s") % {"day": date_format(at, "l")}
    half = half_of(at)
    if off == 0:
        return {MORNING: _("this morning"), AFTERNOON: _("this afternoon"), EVENING: _("this evening")}[half]
    if off == 1:
        tomorrow = {MORNING: _("tomorrow morning"), AFTERNOON: _("tomorrow afternoon")}
        return tomorrow.get(half, _("tomorrow evening"))
    if off == -1:
        before = {MORNING: _("yesterday morning"), AFTERNOON: _("yesterday afternoon")}
        return before.get(half, _("yesterday evening"))
    name = date_format(at, "l" if 1 < off < 7 else "l j F")
    return _("%(day)s %(half)s") % {"day": name, "half": HALVES[half]}


def day(value: datetime | date) -> str:
    """A day as people say it: today, tomorrow, Thursday, or Thursday 4 December when it is far off."""
    on = timezone.localtime(value).date() if isinstance(value, datetime) else value
    off = (on - timezone.localdate()).days
    near = {-1: _("yesterday"), 0: _("today"), 1: _("tomorrow")}
    return near.get(off) or date_format(on, "l" if 1 < off < 7 else "l j F")


def around(value: datetime) -> str:
    """A time that nobody should take to the minute: about 20:00, tomorrow about 08:00."""
    near = timezone.localtime(value + timedelta(minutes=15))
    near = near.replace(minute=near.minute // 30 * 30, second=0)
    text = _("about %(time)s") % {"time": near.strftime("%H:%M")}
    return text if near.date() == timezone.localdate() else f"{day(near)} {text}"


BENDS: dict[str, Text] = {
    "at": gettext_lazy("down, its tip touches"),
    "before": gettext_lazy("not quite down"),
    "after": gettext_lazy("flat, well past it"),
}


def half_day_at(at: datetime) -> str:
    """A local time as people say it now, with the half day: Thursday afternoon."""
    return half_day(at, timezone.localtime())


STAGES = {
    "in_mould": gettext_lazy("in the moulds"),
    "leather": gettext_lazy("leather-hard or drying"),
    "kiln": gettext_lazy("in the kiln"),
    "bisqued": gettext_lazy("bisqued"),
    "glazed": gettext_lazy("glazed"),
    "fired": gettext_lazy("fired"),
}


def stage(key: str) -> str:
    """Where ware stands, in words."""
    return str(STAGES.get(key, key))


def span(minutes: int) -> str:
    """A length of time in one unit, rounded: 40 min, 6 h, 3 days."""
    minutes = max(0, minutes)
    if minutes < 90:
        return ngettext("%(n)d min", "%(n)d min", minutes) % {"n": minutes}
    hours = round(minutes / 60)
    if hours < 36:
        return ngettext("%(n)d h", "%(n)d h", hours) % {"n": hours}
    days = round(minutes / 1440)
    return ngettext("%(n)d day", "%(n)d days", days) % {"n": days}


def joined(parts: list[str]) -> str:
    """A list in a sentence: a, b and c."""
    if len(parts) < 2:
        return "".join(parts)
    return _("%(first)s and %(last)s") % {"first": ", ".join(parts[:-1]), "last": parts[-1]}


def monday(of: datetime) -> datetime:
    """Midnight of the Monday that a local time's week began with."""
    return (of - timedelta(days=of.weekday())).replace(hour=0, minute=0, second=0, microsecond=0)


# How finished pots left the shelf without an order.
LEFT: dict[str, Text] = {
    "sold": gettext_lazy("sold"), "given": gettext_lazy("given away"), "broken": gettext_lazy("broken"),
}  # fmt: skip
REMARKS: dict[str, Text] = {
    "too_soft": gettext_lazy("still too soft"),
    "stuck": gettext_lazy("stuck in the mould"),
    "clean": gettext_lazy("came out clean"),
    "leather_hard": gettext_lazy("just right to work on"),
    "too_dry": gettext_lazy("too dry to work on"),
    "bone_dry": gettext_lazy("bone-dry"),
}


def setting(ball_g: int, tool: str, stop: str) -> str:
    """How a form is pressed, in one line: ball 620 g · tool B2 · stop 14."""
    said = [_("ball %(ball)s") % {"ball": units.weight(ball_g)}]
    said += [_("tool %(tool)s") % {"tool": tool}] if tool else []
    said += [_("stop %(stop)s") % {"stop": stop}] if stop else []
    return " · ".join(said)
