"""The best lower bound on the cost of every valid plan that can be proven in a given time."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from math import ceil, isinf

from planner.bound import lower_bound
from planner.model.proof.exact import Known, Manner, solve_whole
from planner.model.proof.reading import skeleton
from planner.model.proof.relaxation import Level, Relaxation
from planner.model.skeleton import Skeleton
from planner.scenario import Scenario

ROUNDING = 0.01  # of a cost unit: whole numbers are told as floats

DAYS = Level(bridge=400, most=30, grain=60, reach=2, fine=False)
SHORT = Level(bridge=0, most=60, grain=15, reach=1, fine=True)
HALF_DAYS = Level(bridge=0, most=60, grain=15, reach=2, fine=True)
LONG = Level(bridge=0, most=60, grain=15, reach=4, fine=True)
EVENINGS = Level(bridge=60, most=40, grain=30, reach=3, fine=True)
BRISK = Level(bridge=60, most=40, grain=30, reach=1, fine=True)
MINUTES = Level(bridge=0, most=60, grain=1, reach=6, fine=True)


@dataclass(frozen=True)
class Look:
    """One relaxation in turn: ``part`` of the time left is for it, in fractions (no ``manner``) or in whole numbers."""

    part: float
    level: Level
    manner: Manner | None = "rising"


# Soon done where a search in whole numbers may be cut short and say less; a tiny one is not
FIRST = (Look(0.8, DAYS, None),)
# By the most orders, what each can afford, as measured; of two that look side by side, each in its own manner
LOOKS: tuple[tuple[int, tuple[tuple[Look, ...], ...]], ...] = (
    (
        5,
        (
            (Look(0.4, SHORT, "cores"), Look(0.7, HALF_DAYS, "cores"), Look(0.8, LONG, "cores"), Look(1.0, MINUTES)),
            (Look(0.7, HALF_DAYS, "learning"), Look(1.0, LONG, "learning")),
        ),
    ),
    (14, ((*FIRST, Look(0.6, BRISK), Look(0.6, HALF_DAYS), Look(1.0, LONG)),)),
    (1_000_000_000, ((*FIRST, Look(0.4, BRISK, None), Look(0.6, DAYS), Look(1.0, EVENINGS)),)),
)


class Bound:
    """The best bound so far and who is told of it."""

    def __init__(self, least: int, on_bound: Callable[[int], object]) -> None:
        self.value = least
        self._tell = on_bound
        on_bound(least)

    def raised(self, proven: float | None, below: int | None = None) -> None:
        """Take what is proven; with ``below``, solutions from there on were not looked at."""
        if proven is None or (isinf(proven) and below is None):
            return
        whole = below if isinf(proven) else ceil(proven - ROUNDING)
        whole = whole if below is None or whole is None else min(whole, below)
        if whole is not None and whole > self.value:
            self.value = whole
            self._tell(whole)


def prove(
    scenario: Scenario,
    seconds: float,
    incumbent: int | None,
    on_bound: Callable[[int], object],
    *,
    news: Callable[[], Known] = Known,
    tried: Callable[[Skeleton], object] = lambda skeleton: None,
    stop: threading.Event | None = None,
    line: int = 0,
) -> int:
    """A lower bound on the cost of every valid plan, found within ``seconds``; ``on_bound`` hears of each better one.

    ``incumbent`` is the cost of a plan that is known (``news`` tells of later ones, and of bounds from elsewhere): a
    bound that reaches it ends the search, and nothing above it is looked at. What a relaxation would do is ``tried``.
    ``line``: which of several that look side by side. The bound never exceeds the cost of any valid plan; integral
    since every weight and count is.
    """
    until = time.monotonic() + seconds
    bound = Bound(lower_bound(scenario), on_bound)
    if not any(p.hours or p.extra for p in scenario.people):
        return bound.value
    lines = next(lines for most, lines in LOOKS if len(scenario.orders) <= most)
    closed = None  # the level whose least cost is known
    for look in lines[line % len(lines)]:
        elsewhere = news()
        incumbent = min((c for c in (incumbent, elsewhere.below) if c is not None), default=None)
        least = max(bound.value, elsewhere.least)
        met = incumbent is not None and least >= incumbent
        if met or until <= time.monotonic() or (stop is not None and stop.is_set()):
            break
        if look.level == closed:
            continue
        relaxation = Relaxation(scenario, look.level)
        left = (until - time.monotonic()) * look.part
        if left <= 0:
            break
        if look.manner is None:
            bound.raised(relaxation.fractional(left, stop))
            continue
        known, hear = Known(least, incumbent), partial(bound.raised, below=incumbent)
        solved = solve_whole(relaxation.mip, left, known, stop, hear, manner=look.manner)
        closed = look.level if solved.ended else closed
        if solved.values is not None:
            tried(skeleton(relaxation, solved.values))
    return bound.value
