"""The curve of moulds' lives as a picture, with the same in figures."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil

from planner.craft.survival import Curve, Stated, Step, bounds
from studio.queries.axes import Axes

FRAME = (40, 344, 12, 168)  # left, right, top and bottom of the picture, in its own units
ROWS = 6


@dataclass(frozen=True)
class LifeRow:
    """At so many uses, in percent: the curve learned, the one stated, and the record alone with its bounds."""

    uses: int
    learned: int
    stated: int
    own: str


@dataclass(frozen=True)
class LifePicture:
    """Paths in a drawing 360 by 200; ``marks`` are the moulds that are good, where they stand now."""

    axes: Axes
    learned: str
    stated: str
    own: str
    marks: tuple[tuple[float, float], ...]
    shares: tuple[tuple[float, int], ...]
    ticks: tuple[tuple[float, int], ...]
    rows: tuple[LifeRow, ...]


def life_picture(curve: Curve, stated: Stated, steps: Sequence[Step], used: tuple[int, ...]) -> LifePicture:
    """The share of moulds that last beyond each number of uses."""
    ends = next((u for u in range(len(curve.lasting)) if curve.beyond(u) < 0.05), len(curve.lasting))
    tick = next(t for t in (10, 20, 30, 50, 100, 200, 500) if t * ROWS >= ends or t == 500)
    last = tick * ceil(max(ends, *used, 1) / tick)
    places = range(0, last + 1, max(1, last // 60))
    axes = Axes(*FRAME, last, 1)
    return LifePicture(
        axes, axes.path((u, curve.beyond(u)) for u in places), axes.path((u, stated.lasting(u)) for u in places),
        axes.path(_stairs(steps, last)) if steps else "",
        tuple((axes.x(u), axes.y(curve.beyond(u))) for u in sorted(used)),
        tuple((axes.y(pct / 100), pct) for pct in (0, 50, 100)),
        tuple((axes.x(u), u) for u in range(0, last + 1, tick)),
        tuple(_row(u, curve, stated, steps) for u in range(0, last + 1, tick)),
    )  # fmt: skip


def _stairs(steps: Sequence[Step], last: int) -> list[tuple[float, float]]:
    share, points = 1.0, [(0.0, 1.0)]
    for step in steps:
        points += [(step.uses, share), (step.uses, step.lasting)]
        share = step.lasting
    return [*points, (max(last, steps[-1].uses), share)]


def _row(uses: int, curve: Curve, stated: Stated, steps: Sequence[Step]) -> LifeRow:
    before = [s for s in steps if s.uses <= uses]
    own = ""
    if steps:
        own = "100 %"
        if before:
            low, high = bounds(before[-1])
            own = f"{100 * before[-1].lasting:.0f} % ({100 * low:.0f}–{100 * high:.0f})"
    return LifeRow(uses, round(100 * curve.beyond(uses)), round(100 * stated.lasting(uses)), own)
