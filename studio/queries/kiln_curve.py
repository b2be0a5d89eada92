"""The picture of a firing: how it heats by its steps and cools to where it may be opened, and the same in figures."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil

from django.utils.translation import gettext as _

from planner.craft.cooling import hours_to, temperature
from planner.craft.firing import Moment, corners
from studio import units
from studio.queries.axes import Axes
from studio.translate.firings import ROOM_C, Known, off_of, segments_of

FRAME = (46, 346, 10, 176)  # left, right, top and bottom of the picture, in its own units
POINTS = 40
MARKS_C, MARKS_F = (0, 250, 500, 750, 1000, 1250), (0, 500, 1000, 1500, 2000, 2500)


@dataclass(frozen=True)
class Row:
    """A line of the table: hours from the start, how hot, and what happens then."""

    hours: str
    heat: str
    what: str


@dataclass(frozen=True)
class Curve:
    """Paths of an SVG in a box 360 by 200. ``even``: no steps are put in, so it is drawn as if it rose evenly."""

    axes: Axes
    heating: str
    cooling: str
    ticks: tuple[tuple[float, int], ...]  # of hours
    marks: tuple[tuple[float, str], ...]  # of temperatures
    open_y: float
    opens: float  # where it may be opened
    rows: tuple[Row, ...]
    even: bool


def curve_of(known: Known) -> Curve:
    """By its steps, stretched to the hours that it takes in this kiln, then by the kiln's cooling."""
    off_c, off_h = off_of(known.row.program), known.fire.used / 60
    heating = _heating(known, off_c, off_h)
    usual_h = hours_to(known.open_c, off_c, ROOM_C, known.cooling)
    open_h = off_h + known.cool.used / 60
    end = max(open_h, off_h + usual_h) * 1.04
    top = max(known.open_c, *(m.celsius for m in heating)) * 1.06
    fall = [i * (end - off_h) / POINTS for i in range(POINTS + 1)]
    cooling = [(off_h + h, temperature(off_c, ROOM_C, h, known.cooling)) for h in fall]
    step = max(1, ceil(end / 6 / 6)) * 6
    axes = Axes(*FRAME, end, top)
    return Curve(
        axes, axes.path((m.minute / 60, max(0.0, m.celsius)) for m in heating),
        axes.path((h, max(0.0, c)) for h, c in cooling),
        tuple((axes.x(h), h) for h in range(0, int(end) + 1, step)), _marks(axes),
        axes.y(known.open_c), axes.x(open_h),
        _rows(known, heating, off_c, off_h, open_h), not segments_of(known.row.program),
    )  # fmt: skip


def _heating(known: Known, off_c: float, off_h: float) -> list[Moment]:
    segments = segments_of(known.row.program)
    if not segments:
        return [Moment(0, ROOM_C), Moment(60 * off_h, off_c)]
    at = corners(segments, ROOM_C)
    stretch = 60 * off_h / at[-1].minute
    return [*(Moment(m.minute * stretch, m.celsius) for m in at[:-1]), Moment(60 * off_h, off_c)]


def _rows(known: Known, heating: list[Moment], off_c: float, off_h: float, open_h: float) -> tuple[Row, ...]:
    found = [(m.minute / 60, m.celsius, "") for m in heating[:-1]] + [(off_h, heating[-1].celsius, _("goes off"))]
    step = 2 if open_h - off_h < 16 else 4
    later = range(step, int(open_h - off_h), step)
    found += [(off_h + h, temperature(off_c, ROOM_C, h, known.cooling), "") for h in later]
    last = temperature(off_c, ROOM_C, max(0.0, open_h - off_h), known.cooling)
    found.append((open_h, last, _("may be opened, if the kiln says so too")))
    return tuple(Row(f"{h:.1f}", units.temperature(round(c)), what) for h, c, what in found)


def _marks(axes: Axes) -> tuple[tuple[float, str], ...]:
    if units.current() == units.US:
        there = [((f - units.F_AT_ZERO) * units.C_PER_F, f) for f in MARKS_F if f]
    else:
        there = [(float(c), c) for c in MARKS_C]
    return tuple((axes.y(c), f"{n}°") for c, n in there if 0 <= c <= axes.most)
