"""A search over the dispatcher's habits: every try is a whole valid plan, so the search only has to listen to costs.

Threshold accepting: a try that is at most a little dearer than the one before is taken, the little shrinks to nothing,
and after a while without a gain the search starts again from the best or from fresh habits.
"""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import replace
from typing import NamedTuple

from planner.clocks import Clock
from planner.core_placement import CorePlacement
from planner.costs import reckon
from planner.dispatch import Habits, dispatch
from planner.dispatch.first import TRIED, effort, keeping_habits
from planner.dispatch.vary import CHOICES, mutated
from planner.plan import Plan
from planner.promised import Promised
from planner.scenario import Scenario

QUICKER = 0.65  # of what a plan takes at first: facts are known by now
THRESHOLD = 0.04  # how much dearer a try may be at first, as a part of the cost
BROKEN_TARDY = 2  # what a broken date counts in the walk from try to try, against a late order
KEEPS_CORE = 0.8  # of the tries leave a given core where it is
KEEPING = 4  # one try in so many keeps to the plan before: a repair is near its best at once, a fresh plan is not
STALE_TRIES = 200  # without a new best, before the time that went by may end the search
PATIENCE = 60  # tries without a new best of this run before it starts again


class Searched(NamedTuple):
    """What a search has found: the best plan, the best one made afresh, the best that keeps to the plan before."""

    best: Plan
    tries: int
    afresh: Plan | None
    keeping: Plan | None


def search(
    scenario: Scenario,
    best: Plan,
    clock: Clock,
    seed: int,
    found: Callable[[Plan], object],
    enough: float = 1.0,
    core: CorePlacement | None = None,
) -> Searched:
    """The best plan seen until the clock runs out, ``best`` at worst.

    It also ends when ``enough`` of its time and ``STALE_TRIES`` have gone by without a new best. With ``core``, most
    tries leave the must-do work where it says.
    """
    seconds = clock.left()
    chance = random.Random(seed)
    lines = [line for line in (keeping_habits(scenario), list(TRIED)) if line]
    runs = [_Run(scenario, chance, seconds, core, habits) for habits in lines]
    tries, last, at, units, price = 0, seconds, 0, QUICKER * effort(scenario), runs[0].promised.price
    while (left := clock.left()) > 0 and (last - left <= enough * seconds or tries - at < STALE_TRIES):
        plan = runs[min(1, tries % KEEPING) if len(runs) > 1 else 0].attempt(left)
        clock.spend(units)
        tries += 1
        if plan is not None and price(plan) < price(best):
            best, last, at = plan, left, tries
            found(best)
    return Searched(best, tries, runs[-1].best, runs[0].best if len(runs) > 1 else None)


class _Run:
    """Where the search stands."""

    def __init__(
        self,
        scenario: Scenario,
        chance: random.Random,
        seconds: float,
        core: CorePlacement | None,
        first: list[Habits],
    ) -> None:
        self._scenario, self._chance, self._seconds = scenario, chance, max(seconds, 0.001)
        self._core = core
        self.promised = Promised(scenario)
        self._elite: list[tuple[int, Habits]] = []
        self.best: Plan | None = None
        self._first, self._starts = first[:], first
        self._habits, self._since = self._first[0], 0
        self._cost: int | None = None  # None: the habits have not been tried
        self._top: int | None = None

    def attempt(self, left: float) -> Plan | None:
        """Try the first habits one after the other, then some near the present ones; the plan they give."""
        habits = self._first.pop(0) if self._first else self._next()
        core = self._core if self._core is not None and self._chance.random() < KEEPS_CORE else None
        plan = dispatch(self._scenario, habits, core)
        if plan is None:
            return None
        reckoned = reckon(self._scenario, plan)
        plan = replace(plan, cost=reckoned.cost, costs=reckoned.costs, orders=reckoned.orders)
        price = self.promised.price
        if self.best is None or price(plan) < price(self.best):
            self.best = plan
        broken = self.promised.broken(plan) * BROKEN_TARDY * self._scenario.weights.tardy
        self._judge(habits, plan.cost + broken, THRESHOLD * left / self._seconds)
        return plan

    def _next(self) -> Habits:
        return self._habits if self._cost is None else mutated(self._habits, self._scenario, self._chance)

    def _judge(self, habits: Habits, cost: int, slack: float) -> None:
        """Go on from ``habits`` if they are not much dearer; start again where nothing has come for long."""
        if self._cost is None or cost <= self._cost * (1 + slack):
            self._habits, self._cost = habits, cost
        if self._top is None or cost < self._top:
            self._top, self._since = cost, 0
            self._habits, self._cost = habits, cost
            self._remember(cost, habits)
        else:
            self._since += 1
            if self._since > PATIENCE:
                self._fresh()

    def _fresh(self) -> None:
        """Start again: from one of the best habits, or from new ones."""
        chance = self._chance
        if self._elite and chance.random() < 0.75:
            self._cost, self._habits = chance.choice(self._elite)
        else:
            start = chance.choice(self._starts)
            self._habits = replace(start, **{n: chance.choice(CHOICES[n]) for n in chance.sample(list(CHOICES), 6)})
            self._cost = None
        self._top, self._since = self._cost, 0

    def _remember(self, cost: int, habits: Habits) -> None:
        if all(c != cost for c, _ in self._elite):
            self._elite = sorted([*self._elite, (cost, habits)], key=lambda e: e[0])[:5]
