"""What a command's payload may hold: one small reader per kind of value, each with its bounds.

A payload comes from JSON (numbers, lists, null) or from a plain HTML form (texts, repeated texts as lists); both are
read here into Python values, and each fault is told by field, in words that say what to enter.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterable, Mapping
from typing import Any
from zoneinfo import ZoneInfo

from django.utils.translation import gettext as _

from studio.services.answers import Refused
from studio.translate.clock import instant as wall_instant
from studio.units import ENTRIES

Reader = Callable[[Any], Any]
Spec = Mapping[str, Reader]
MOST_ITEMS = 500
REQUIRED = object()


class Fault(Exception):
    """One value that cannot be read; the text says what to enter."""


class Outside(Fault):
    """A whole number that is too small or too large."""

    def __init__(self, lo: int, hi: int) -> None:
        super().__init__(_("Enter a number from %(lo)d to %(hi)d.") % {"lo": lo, "hi": hi})
        self.lo, self.hi = lo, hi


class Group(Exception):
    """Faults inside a list or record, by path below the field."""

    def __init__(self, faults: dict[str, str]) -> None:
        super().__init__("")
        self.faults = faults


def _empty(value: Any) -> bool:
    return value is None or value == "" or value == []


def optional(reader: Reader, default: Any = None) -> Reader:
    """``reader``, or ``default`` where nothing was entered."""

    def read(value: Any) -> Any:
        return default if _empty(value) else reader(value)

    read.default = default  # type: ignore[attr-defined]
    return read


def one(value: Any) -> Any:
    """The single value: of a field that was sent twice, the last one counts, as browsers have it for check boxes."""
    return value[-1] if isinstance(value, list) and value and not isinstance(value[-1], (list, dict)) else value


def number(value: Any) -> float:
    """An entry with decimals, by a point or a comma; not a number (which no bounds hold) for anything else."""
    try:
        return float(str(one(value)).replace(",", "."))
    except ValueError:
        return float("nan")


def text(most: int = 80, *, lines: bool = False) -> Reader:
    """1 to ``most`` characters, trimmed; ``lines`` allows line breaks."""

    def read(value: Any) -> str:
        value = one(value)
        if not isinstance(value, str):
            raise Fault(_("Enter a text."))
        value = value.strip().replace("\r\n", "\n")
        if not value:
            raise Fault(_("Enter something here."))
        if len(value) > most:
            raise Fault(_("At most %(most)d characters, please; this has %(n)d.") % {"most": most, "n": len(value)})
        bare = value.replace("\n", "").replace("\t", "") if lines else value
        if not bare.isprintable():
            raise Fault(_("There is a character here that does not print. Please type it again."))
        return value

    return read


def ident(value: Any) -> str:
    """A public id."""
    value = one(value)
    if not isinstance(value, str) or not 0 < len(value.strip()) <= 80 or not value.strip().isprintable():
        raise Fault(_("Choose one from the list."))
    return value.strip()


def whole(lo: int, hi: int) -> Reader:
    """A whole number from ``lo`` to ``hi``."""

    def read(value: Any) -> int:
        value = one(value)
        if isinstance(value, str) and len(value) <= 20 and value.strip().lstrip("-").isdecimal():
            value = int(value)
        if isinstance(value, bool) or not isinstance(value, int):
            raise Fault(_("Enter a whole number from %(lo)d to %(hi)d.") % {"lo": lo, "hi": hi})
        if not lo <= value <= hi:
            raise Outside(lo, hi)
        return value

    return read


def flag(value: Any) -> bool:
    """Yes or no; a ticked box sends "on"."""
    value = one(value)
    if value in (True, "on", "true", "yes", "1", 1):
        return True
    if value in (False, "off", "false", "no", "0", 0):
        return False
    raise Fault(_("Choose yes or no."))


def choice(values: Iterable[str]) -> Reader:
    """One of ``values``."""
    allowed = tuple(values)

    def read(value: Any) -> str:
        value = one(value)
        if value not in allowed:
            raise Fault(_("Choose one of these: %(list)s.") % {"list": ", ".join(allowed)})
        return str(value)

    return read


def date(value: Any) -> dt.date:
    """A date, written YYYY-MM-DD as browsers send it."""
    try:
        day = dt.date.fromisoformat(str(one(value)).strip())
    except ValueError:
        raise Fault(_("Enter a date, such as 2027-03-15.")) from None
    if not 2000 <= day.year <= 2099:
        raise Fault(_("Enter a date between the years 2000 and 2099."))
    return day


def clock(value: Any) -> dt.time:
    """A wall time, written HH:MM."""
    try:
        return dt.time.fromisoformat(str(one(value)).strip()).replace(second=0, microsecond=0, tzinfo=None)
    except ValueError:
        raise Fault(_("Enter a time of day, such as 08:30.")) from None


def instant(value: Any) -> dt.datetime:
    """A moment; without an offset it is meant in the studio's own time and is settled by :func:`settle`."""
    value = one(value)
    if isinstance(value, dt.datetime):
        return value
    try:
        moment = dt.datetime.fromisoformat(str(value).strip())
    except ValueError:
        raise Fault(_("Enter a day and time, such as 2027-03-15 08:30.")) from None
    if not 2000 <= moment.year <= 2099:
        raise Fault(_("Enter a date between the years 2000 and 2099."))
    return moment


def settle(moment: dt.datetime, zone: ZoneInfo) -> dt.datetime:
    """``moment`` as an instant (UTC). A wall time that the clocks skip in spring becomes the first one after the gap,
    one that comes twice in autumn the first of the two."""
    if moment.tzinfo is not None:
        return moment.astimezone(dt.UTC)
    return wall_instant(moment.date(), moment.time(), zone)


def ids(value: Any) -> list[str]:
    """Several public ids, each once."""
    many = value if isinstance(value, list) else [value]
    if len(many) > MOST_ITEMS:
        raise Fault(_("That is too many at once."))
    return list(dict.fromkeys(ident(v) for v in many))


def words(value: Any) -> list[str]:
    """Several short words, such as kinds of task."""
    many = value if isinstance(value, list) else [value]
    if len(many) > 50:
        raise Fault(_("That is too many at once."))
    return list(dict.fromkeys(text(40)(v) for v in many))


def window(value: Any) -> list[int]:
    """``[lo, hi]`` minutes with 0 ≤ lo < hi."""
    if not isinstance(value, list) or len(value) != 2:
        raise Fault(_("Enter the earliest and the latest time."))
    lo, hi = whole(0, 60 * 24 * 60)(value[0]), whole(1, 60 * 24 * 60)(value[1])
    if lo >= hi:
        raise Fault(_("The latest time has to come after the earliest."))
    return [lo, hi]


def listed(spec: Spec, *, most: int = MOST_ITEMS, least: int = 0) -> Reader:
    """A list of records, each read by ``spec``."""

    def read(value: Any) -> list[dict[str, Any]]:
        if not isinstance(value, list) or not least <= len(value) <= most:
            raise Fault(_("Enter from %(least)d to %(most)d lines.") % {"least": least, "most": most})
        out, faults = [], {}
        for i, item in enumerate(value):
            if not isinstance(item, Mapping):
                raise Fault(_("This list cannot be read."))
            got, bad = read_fields(item, spec)
            faults.update({f"{i}.{k}": v for k, v in bad.items()})
            out.append(got)
        if faults:
            raise Group(faults)
        return out

    return read


def read_fields(payload: Mapping[str, Any], spec: Spec) -> tuple[dict[str, Any], dict[str, str]]:
    """The values that ``spec`` asks for, and the faults by field."""
    got: dict[str, Any] = {}
    faults: dict[str, str] = {}
    for name, reader in spec.items():
        value: Any = payload.get(name)
        try:
            value = plain(payload, name)
            got[name] = reader(value)
        except Group as group:
            faults.update({f"{name}.{k}": v for k, v in group.faults.items()})
        except Outside as fault:
            faults[name] = _outside(payload, name, fault)
        except Fault as fault:
            missing = _empty(value) and value != [] and not given(payload, name)
            faults[name] = _("Please fill this in.") if missing else str(fault)
    return got, faults


def _outside(payload: Mapping[str, Any], name: str, fault: Outside) -> str:
    """What to enter instead, in the unit that it was entered in."""
    for entry in ENTRIES:
        if f"{name}{entry.end}" in payload:
            bounds = {"unit": entry.name, "lo": entry.shown(fault.lo), "hi": entry.shown(fault.hi)}
            return _("Enter %(unit)s from %(lo)s to %(hi)s.") % bounds
    return str(fault)


HOURS = ("_h", "_lo_h", "_hi_h")
ENDS = ("", *HOURS, *(e.end for e in ENTRIES))


def given(payload: Mapping[str, Any], name: str) -> bool:
    """Whether something was entered for ``name``, in whichever of its fields."""
    return any(not _empty(payload.get(f"{name}{end}")) for end in ENDS)


def sent(payload: Mapping[str, Any], name: str) -> bool:
    """Whether a form had a field for ``name``."""
    return any(f"{name}{end}" in payload for end in ENDS)


def plain(payload: Mapping[str, Any], name: str) -> Any:
    """The value of a field. People enter waits in hours: ``<name>_h``, or of a window ``<name>_lo_h`` and
    ``<name>_hi_h``, stands for the minutes of ``name``; and ``<name>_in`` or ``<name>_lb`` for its mm or g."""
    if name in payload or not sent(payload, name):
        return payload.get(name)
    for entry in ENTRIES:
        if f"{name}{entry.end}" in payload:
            return _whole_of(payload[f"{name}{entry.end}"], entry.kept, _("Enter a number, such as 6 or 7.5."))
    if f"{name}_h" in payload:
        return _minutes(payload[f"{name}_h"])
    ends = [payload.get(f"{name}_lo_h"), payload.get(f"{name}_hi_h")]
    if all(_empty(e) for e in ends):
        return None
    if any(_empty(e) for e in ends):
        raise Fault(_("Enter the earliest and the latest time."))
    return [_minutes(e) for e in ends]


def _minutes(value: Any) -> Any:
    return _whole_of(value, lambda hours: round(hours * 60), _("Enter hours, such as 6 or 7.5."))


def _whole_of(value: Any, kept: Callable[[float], int], ask: str) -> Any:
    """An entry with decimals as the whole number that is kept; nothing stays nothing."""
    value = one(value)
    if _empty(value):
        return value
    entered = number(value)
    if not 0 <= entered <= 10_000:
        raise Fault(ask)
    return kept(entered)


def read_payload(payload: Mapping[str, Any], spec: Spec) -> dict[str, Any]:
    """Read ``payload`` by ``spec``; raises :class:`Refused` naming every field that needs another look."""
    got, faults = read_fields(payload, spec)
    if faults:
        raise Refused(_("Nothing was saved yet: please look at what is marked."), errors=faults)
    return got


def rows(payload: Mapping[str, Any], names: Iterable[str]) -> list[dict[str, Any]]:
    """Records from the repeated fields of a plain HTML form: ``form=a&qty=3&form=b&qty=5`` gives two.

    Lines whose fields are all empty are left out.
    """
    fields = [f"{n}{end}" for n in names for end in ENDS]
    columns = {n: (v if isinstance(v, list) else [v]) for n in fields if (v := payload.get(n)) is not None}
    length = max((len(c) for c in columns.values()), default=0)
    if length > MOST_ITEMS:
        raise Refused(_("That is too many lines at once."))
    table = [{n: c[i] if i < len(c) else "" for n, c in columns.items()} for i in range(length)]
    return [row for row in table if any(not _empty(v) for v in row.values())]


def flat_counts(payload: Mapping[str, Any], prefix: str = "n:") -> list[tuple[str, int]]:
    """Counts by id from the fields of a plain HTML form: ``n:abc=3`` gives ``[("abc", 3)]``.

    Fields left empty, or with 0, are left out.
    """
    given = {k.removeprefix(prefix): v for k, v in payload.items() if k.startswith(prefix) and not _empty(v)}
    if len(given) > MOST_ITEMS:
        raise Refused(_("That is too many at once."))
    fields = {f"{prefix}{k}": v for k, v in given.items()}
    read = read_payload(fields, dict.fromkeys(fields, whole(0, 100_000)))
    return [(k, read[f"{prefix}{k}"]) for k in given if read[f"{prefix}{k}"]]
