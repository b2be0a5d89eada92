"""How a form's ware firms up and dries: the figures that count now, where each comes from, and the curve."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise
from math import ceil

from django.utils.formats import number_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from planner.craft.ware import Ware, curve, take_out
from studio.models import Form, FormTimings, Studio
from studio.queries.air import AirSaid, air_history
from studio.queries.axes import Axes
from studio.record.state import State
from studio.translate.air import dry_minutes, slow_pct
from studio.translate.waits import Learned, Minutes, Waits, craft_of, learned_of, pull_pa, waits_in

FRAME = (34, 342, 8, 176)  # left, right, top and bottom of the picture, in its own units
MOST_WATER = 0.30
HOURS = (0, 3, 6, 9, 12, 18, 24, 36, 48, 72, 96, 120, 144, 192, 240)


@dataclass(frozen=True)
class Figure:
    """One wait: in an ordinary week by the form, now, in a damp week; ``source`` says where the first comes from."""

    name: str
    own: str
    now: str
    damp: str
    source: str


@dataclass(frozen=True)
class Picture:
    """The curves as SVG paths in a box 360 by 200; ``rows``: hours, and water in percent now and in the other week."""

    axes: Axes
    now: str
    other: str
    other_name: str
    ticks: tuple[tuple[float, int], ...]
    waters: tuple[tuple[float, int], ...]
    rows: tuple[tuple[int, int, int], ...]


@dataclass(frozen=True)
class FormDrying:
    figures: tuple[Figure, ...]
    learned: str
    picture: Picture | None
    air: tuple[AirSaid, ...]  # what was said of it lately


def form_drying(studio: Studio, row: Form, t: FormTimings, own: set[str], state: State) -> FormDrying:
    """All of it; ``own``: the names of the figures that the studio has put in itself."""
    found = learned_of(row, t, state.remarks.get(row.public_id, ()))
    slow = slow_pct(studio, t)
    damp_slow = round(100 * min(4.0, max(1.0, t.dry_damp_min / t.dry_min))) if t.dry_min else 100
    plain = waits_in(row, t, 100, Learned(), t.dry_min)
    now = waits_in(row, t, slow, found, dry_minutes(studio, t))
    damp = waits_in(row, t, damp_slow, found, t.dry_damp_min)
    ware = craft_of(row, t)
    other, name = (100, _("an ordinary week")) if slow == damp_slow != 100 else (damp_slow, _("a damp week"))
    picture = _picture(replace(ware, time_scale=found.scale), slow, other, name) if ware is not None else None
    learned = _learned(found, ware is not None)
    return FormDrying(_figures(plain, now, damp, t, own), learned, picture, air_history(studio))


def _figures(plain: Waits, now: Waits, damp: Waits, t: FormTimings, own: set[str]) -> tuple[Figure, ...]:
    def source(key: str) -> str:
        return _("your figure") if key in own else _("common practice")

    def line(name: str, key: str, *three: Minutes | None) -> list[Figure]:
        said = [_span(w) for w in three if w is not None]
        return [Figure(name, *said, source(key))] if len(said) == 3 else []

    found = line(_("Out of an open mould"), "release_after", plain.open, now.open, damp.open)
    found += line(_("Out of a covered mould"), "release_after_covered", plain.covered, now.covered, damp.covered)
    if t.steps:
        three = (plain.steps[0], now.steps[0], damp.steps[0])
        found += line(_("Leather-hard in the open"), "steps", *(s[0] for s in three))
        found += line(_("Leather-hard and wrapped"), "steps", *(s[1] for s in three))
    dry = [_("%(n)s h") % {"n": _hours(w.dry)} for w in (plain, now, damp)]
    return (*found, Figure(_("Bone-dry, from the last work"), *dry, source("dry_min")))


def _hours(minutes: int) -> str:
    return number_format(round(minutes / 60, 1), use_l10n=True).removesuffix(".0")


def _span(window: Minutes) -> str:
    return _("%(a)s to %(b)s h") % {"a": _hours(window[0]), "b": _hours(window[1])}


def _learned(found: Learned, can: bool) -> str:
    if not can:
        return _("These hours are outside what the curves hold for, so they are planned with as they stand.")
    if not found.remarks:
        return _("Nothing was learned yet: tap “came clean”, “too soft”, “just right” or “bone-dry” where the work is.")
    low, high = found.belief.interval()
    said = ngettext("Learned from %(n)d remark", "Learned from %(n)d remarks", found.remarks) % {"n": found.remarks}
    times = {"t": _times(found.belief.median), "a": _times(low), "b": _times(high), "used": _times(found.scale)}
    return said + _(": this form takes %(t)s times the hours above, and 19 times in 20 the truth lies between %(a)s "
                    "and %(b)s. Planned with: %(used)s times.") % times  # fmt: skip


def _times(factor: float) -> str:
    return number_format(round(factor, 2), use_l10n=True)


def _picture(ware: Ware, slow: int, other: int, name: str) -> Picture:
    lines = [_points(ware, s) for s in (slow, other)]
    end = ceil(max(line[-1][0] for line in lines) / 24) * 24
    step = 24 * max(1, ceil(end / 24 / 6))
    axes = Axes(*FRAME, end, MOST_WATER)
    now, then = (axes.path((h, min(MOST_WATER, w)) for h, w in line) for line in lines)
    rows = tuple((h, round(100 * _at(lines[0], h)), round(100 * _at(lines[1], h))) for h in HOURS if h <= end)
    return Picture(
        axes, now, then, name, tuple((axes.x(h), h) for h in range(0, end + 1, step)),
        tuple((axes.y(w / 100), w) for w in (0, 10, 20, 30)), rows,
    )  # fmt: skip


def _points(ware: Ware, slow: int) -> list[tuple[float, float]]:
    """Hours and water of a piece taken out as soon as it can be, in air of this slowness."""
    pull = pull_pa(slow)
    out = max(0.1, take_out(ware, pull).earliest_h)
    return [(p.hours, p.moisture) for p in curve(ware, out, pull, points=48)]


def _at(line: list[tuple[float, float]], hour: float) -> float:
    for (a, wa), (b, wb) in pairwise(line):
        if a <= hour <= b:
            return wa + (wb - wa) * ((hour - a) / (b - a) if b > a else 0)
    return line[-1][1]

