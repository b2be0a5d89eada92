"""The best lower bound on the cost of every valid plan that can be proven in a given time."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from math import ceil, isinf

from planner.bound import lower_bound
from planner.model.proof.exact import Known, solve_whole
from planner.model.proof.relaxation import Level, Relaxation
from planner.scenario import Scenario

ROUNDING = 0.01  # of a cost unit: whole numbers are told as floats

DAYS = Level(bridge=400, most=30, grain=60, reach=2, fine=False)
HALF_DAYS = Level(bridge=0, most=60, grain=15, reach=4, fine=True)
EVENINGS = Level(bridge=60, most=40, grain=30, reach=3, fine=True)
MINUTES = Level(bridge=0, most=60, grain=1, reach=6, fine=True)


@dataclass(frozen=True)
class Look:
    """One relaxation in turn: ``part`` of the time left is for it, in fractions or in whole numbers."""

    part: float
    level: Level
    whole: bool = True
    rising: bool = False


# Soon done where a search in whole numbers may be cut short and say less; a tiny one is not
FIRST = (Look(0.8, DAYS, whole=False),)
LOOKS: tuple[tuple[int, tuple[Look, ...]], ...] = (  # by the most orders; what each can afford, as measured
    (6, (Look(0.8, HALF_DAYS), Look(1.0, HALF_DAYS, rising=True), Look(1.0, MINUTES))),
    (14, (*FIRST, Look(0.6, EVENINGS, rising=True), Look(1.0, HALF_DAYS, rising=True))),
    (1_000_000_000, (*FIRST, Look(0.6, DAYS, rising=True), Look(1.0, EVENINGS, rising=True))),
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
    news: Callable[[], int | None] = lambda: None,
    stop: threading.Event | None = None,
) -> int:
    """A lower bound on the cost of every valid plan, found within ``seconds``; ``on_bound`` hears of each better one.

    ``incumbent`` is the cost of a plan that is known (``news`` asks for a later one): a bound that reaches it ends the
    search, and nothing above it is looked at. The bound never exceeds the cost of any valid plan; integral since every
    weight and count is.
    """
    until = time.monotonic() + seconds
    bound = Bound(lower_bound(scenario), on_bound)
    if not any(p.hours or p.extra for p in scenario.people):
        return bound.value
    looks = next(looks for most, looks in LOOKS if len(scenario.orders) <= most)
    closed = None  # the level whose least cost is known
    for look in looks:
        incumbent = min((c for c in (incumbent, news()) if c is not None), default=None)
        left = until - time.monotonic()
        if left <= 0 or (stop is not None and stop.is_set()) or (incumbent is not None and bound.value >= incumbent):
            break
        if look.level == closed:
            continue
        relaxation = Relaxation(scenario, look.level)
        left = min(left * look.part, until - time.monotonic())
        if left <= 0:
            break
        if not look.whole:
            bound.raised(relaxation.fractional(left, stop))
            continue
        known, hear = Known(bound.value, incumbent), partial(bound.raised, below=incumbent)
        if solve_whole(relaxation.mip, left, known, stop, hear, rising=look.rising):
            closed = look.level
    return bound.value
