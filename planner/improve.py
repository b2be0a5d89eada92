"""How a child improves a plan: first a search over the dispatcher's habits, then large neighbourhoods in CP-SAT."""

from __future__ import annotations

import time
from collections.abc import Callable

from planner.checks import check
from planner.clocks import Clock
from planner.core_placement import CorePlacement
from planner.costs import with_costs
from planner.dispatch import dispatch
from planner.dispatch.first import first_habits
from planner.plan import Plan
from planner.promised import Promised
from planner.resequence import resequence
from planner.scenario import Scenario
from planner.search import Searched, search

AT_LEAST = 2.0  # seconds below which loading the solver is not worth it
SEARCH_PARTS = (0.35, 0.3)  # of the time goes to the search over habits, child by child
SMALL, SMALL_PART = 60, 0.6  # tasks up to which a plan is small: the polish can free it as a whole
LEAST_TO_SAVE = 0.5  # seconds, or nobody asks what can be saved of ware that is given up
SAVE_PART, SAVE_MOST = 0.25, 10.0  # of the time, and seconds, for the exact model that decides it
STALE = 0.35  # of its time without a gain, and the search leaves the rest to the polish
SMALL_STEP = 0.3  # seconds between plans that are sent


class Finds:
    """Where better plans go: checked, and sent at most a few times a second so that nobody drowns in them."""

    def __init__(self, scenario: Scenario, best: Plan, send: Callable[[Plan], None]) -> None:
        self._scenario, self._send = scenario, send
        self.price = Promised(scenario).price
        self.best = best
        self._sent_price, self._sent_at = self.price(best), 0.0
        self.refused = 0

    def offer(self, plan: Plan) -> bool:
        """Take ``plan`` (reckoned) if it is better and valid."""
        if self.price(plan) >= self.price(self.best):
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
        if plan is not None and self.price(plan) < self.price(self.best):
            self.best, self._sent_price = plan, self.price(plan)

    def send(self) -> None:
        """Send the best plan if it has not been sent."""
        if (price := self.price(self.best)) < self._sent_price:
            self._sent_price, self._sent_at = price, time.monotonic()
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
) -> Plan:
    """Improve ``plan`` until the clock runs out; ``found`` gets better plans, ``news`` gives those of other children.

    The best plan known at the end comes back.

    ``number`` is this child's among its fellows: each goes another way.
    """
    finds = Finds(scenario, plan, found)
    path = 1000 * seed + number
    enough = clock.left() > AT_LEAST
    core = _saving(scenario, plan, clock, finds) if plan.spoiled and clock.left() > LEAST_TO_SAVE else None
    phase("search")
    if _mostly_finishing(plan):
        resequence(scenario, plan, clock.share(0.6), path, finds.offer)
    part = SEARCH_PARTS[number % 2] * (SMALL_PART if len(plan.tasks) <= SMALL else 1)
    time_for_it = clock.share(part) if enough else clock
    found_by_search = search(scenario, finds.best, time_for_it, path, finds.offer, STALE if enough else 1.0, core)
    resequence(scenario, finds.best, clock.share(0.05), path, finds.offer)
    finds.send()
    if enough:
        from planner.model.polish.loop import polish  # loads the solver

        phase("polish")
        polish(scenario, finds, clock, path, news, rival=_rival(scenario, finds, found_by_search))
        finds.send()
    return finds.best


def _rival(scenario: Scenario, finds: Finds, found: Searched) -> Plan | None:
    """The plan that the polish should not lose sight of: made afresh if the best keeps to the plan before, or else."""
    if scenario.previous is None:
        return None
    others = [p for p in (found.afresh, found.keeping) if p is not None and p.tasks != finds.best.tasks]
    return max(others, key=finds.price, default=None)


def _saving(scenario: Scenario, plan: Plan, clock: Clock, finds: Finds) -> CorePlacement | None:
    """The must-do work placed so that it gives up fewer pieces than ``plan``, if there is such a way; offers plans."""
    from planner.model.core_model import decide  # loads the solver

    core = decide(scenario, clock.within(min(SAVE_MOST, SAVE_PART * clock.left()))).placement
    if core is None or _pieces(scenario, core.spoiled) >= _pieces(scenario, plan.spoiled):
        return None
    for habits in first_habits(scenario):
        around = dispatch(scenario, habits, core)
        if around is not None:
            finds.offer(with_costs(scenario, around))
        if clock.left() <= 0:
            break
    return core


def _pieces(scenario: Scenario, spoiled: tuple[str, ...]) -> int:
    """Pieces given up; a cast counts 1."""
    return sum(scenario.ware[x].count if x in scenario.ware else 1 for x in spoiled)


def _mostly_finishing(plan: Plan) -> bool:
    """Whether the plan is little more than a line of pots to be sorted and packed."""
    return len(plan.finishes) > 1 and len(plan.finishes) >= 0.8 * len(plan.tasks)
