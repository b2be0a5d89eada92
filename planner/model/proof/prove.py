"""The best lower bound on the cost of every valid plan that can be proven in a given time."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from dataclasses import dataclass
from math import ceil, isinf

from planner.bound import lower_bound
from planner.model.proof.relaxation import Level, Relaxation
from planner.scenario import Scenario

SAFE = 1e-6  # of a bound is not trusted: the solver reckons in floating point
MARGIN = 0.01  # of a cost unit, likewise
BELOW = 0.5  # a plan cheaper than the incumbent is cheaper by 1 at least, so half of it can be left to rounding

QUICK = Level(bridge=400, most=30, grain=60, reach=2, fine=False, relaxed=True)
DAYS = Level(bridge=400, most=30, grain=60, reach=2, fine=False)
HALF_DAYS = Level(bridge=0, most=60, grain=15, reach=4, fine=True)
EVENINGS = Level(bridge=60, most=40, grain=30, reach=3, fine=True)


@dataclass(frozen=True)
class Look:
    """One relaxation in turn: ``part`` of the time left is for it, by ``engine``."""

    part: float
    level: Level
    engine: str = "scip"


LOOKS: tuple[tuple[int, tuple[Look, ...]], ...] = (  # by the most orders; what each can afford, as measured
    (6, (Look(0.3, QUICK), Look(0.5, HALF_DAYS, "highs"), Look(1.0, HALF_DAYS))),
    (14, (Look(0.3, QUICK), Look(0.4, DAYS), Look(1.0, EVENINGS))),
    (1_000_000_000, (Look(0.3, QUICK), Look(1.0, DAYS))),
)


class Bound:
    """The best bound so far and who is told of it."""

    def __init__(self, least: int, on_bound: Callable[[int], object]) -> None:
        self.value = least
        self._tell = on_bound
        on_bound(least)

    def raised(self, proven: float | None, below: int | None) -> None:
        """Take a proven bound; with ``below``, solutions above that were not looked at."""
        if proven is None or (isinf(proven) and below is None):
            return
        whole = below if isinf(proven) else ceil(proven - abs(proven) * SAFE - MARGIN)
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
    for look in looks:
        incumbent = min((c for c in (incumbent, news()) if c is not None), default=None)
        left = until - time.monotonic()
        if left <= 0 or (stop is not None and stop.is_set()) or (incumbent is not None and bound.value >= incumbent):
            break
        relaxation = Relaxation(scenario, look.level)
        left = min(left * look.part, until - time.monotonic())
        if left <= 0:
            break
        outcome = relaxation.solve(left, None if incumbent is None else incumbent - BELOW, stop, look.engine)
        bound.raised(outcome.bound, incumbent)
        if outcome.closed and look.level == looks[-1].level:
            break
    return bound.value
