"""How a child improves a plan: first a search over the dispatcher's habits, then large neighbourhoods in CP-SAT."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from typing import Protocol

from planner.checks import check
from planner.plan import Plan
from planner.resequence import resequence
from planner.scenario import Scenario
from planner.search import search

AT_LEAST = 2.0  # seconds below which loading the solver is not worth it
SEARCH_PARTS = (0.5, 0.35)  # of the time goes to the search over habits, child by child
SMALL, SMALL_PART = 60, 0.6  # tasks up to which a plan is small: the polish can free it as a whole
STALE = 0.5  # of its time without a gain, and the search leaves the rest to the polish
SMALL_STEP = 0.3  # seconds between plans that are sent


class Clock(Protocol):
    stop: threading.Event

    def left(self) -> float: ...

    def share(self, part: float) -> Clock: ...


class Finds:
    """Where better plans go: checked, and sent at most a few times a second so that nobody drowns in them."""

    def __init__(self, scenario: Scenario, best: Plan, send: Callable[[Plan], None]) -> None:
        self._scenario, self._send = scenario, send
        self.best = best
        self._sent_cost, self._sent_at = best.cost, 0.0
        self.refused = 0

    def offer(self, plan: Plan) -> bool:
        """Take ``plan`` (reckoned) if it is cheaper and valid."""
        if plan.cost >= self.best.cost:
            return False
        if check(self._scenario, plan):
            self.refused += 1
            return False
        self.best = plan
        if time.monotonic() - self._sent_at >= SMALL_STEP:
            self.send()
        return True

    def heard(self, plan: Plan | None) -> None:
        """A plan that another child found and the parent has checked."""
        if plan is not None and plan.cost < self.best.cost:
            self.best, self._sent_cost = plan, plan.cost

    def send(self) -> None:
        """Send the best plan if it has not been sent."""
        if self.best.cost < self._sent_cost:
            self._sent_cost, self._sent_at = self.best.cost, time.monotonic()
            self._send(self.best)


def improve(
    scenario: Scenario,
    plan: Plan,
    clock: Clock,
    *,
    seed: int,
    number: int,
    found: Callable[[Plan], None],
    phase: Callable[[str], None],
    news: Callable[[], Plan | None],
) -> None:
    """Improve ``plan`` until the clock runs out; ``found`` gets better plans, ``news`` gives those of other children.

    ``number`` is this child's among its fellows: each goes another way.
    """
    finds = Finds(scenario, plan, found)
    path = 1000 * seed + number
    enough = clock.left() > AT_LEAST
    phase("search")
    if _mostly_finishing(plan):
        resequence(scenario, plan, clock.share(0.6), path, finds.offer)
    part = SEARCH_PARTS[number % 2] * (SMALL_PART if len(plan.tasks) <= SMALL else 1)
    time_for_it = clock.share(part) if enough else clock
    search(scenario, finds.best, time_for_it, path, finds.offer, STALE if enough else 1.0)
    resequence(scenario, finds.best, clock.share(0.05), path, finds.offer)
    finds.send()
    if enough:
        from planner.model.polish.loop import polish  # loads the solver

        phase("polish")
        polish(scenario, finds, clock, path, news)
        finds.send()


def _mostly_finishing(plan: Plan) -> bool:
    """Whether the plan is little more than a line of pots to be sorted and packed."""
    return len(plan.finishes) > 1 and len(plan.finishes) >= 0.8 * len(plan.tasks)
