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
from planner.dispatch.first import effort, first_habits
from planner.dispatch.vary import CHOICES, mutated
from planner.plan import Plan
from planner.promised import Promised
from planner.scenario import Scenario

QUICKER = 0.65  # of what a plan takes at first: facts are known by now
THRESHOLD = 0.04  # how much dearer a try may be at first, as a part of the cost
BROKEN_TARDY = 2  # what a broken date counts in the walk from try to try, against a late order
KEEPS_CORE = 0.8  # of the tries leave a given core where it is
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

    It also ends when ``enough`` of its time has gone by without a new best. With ``core``, most tries leave the
    must-do work where it says.
    """
    seconds = clock.left()
    run = _Run(scenario, random.Random(seed), seconds, core)
    tries, last, units, price = 0, seconds, QUICKER * effort(scenario), run.promised.price
    while (left := clock.left()) > 0 and last - left <= enough * seconds:
        plan = run.attempt(left)
        clock.spend(units)
        tries += 1
        if plan is not None and price(plan) < price(best):
            best, last = plan, left
            found(best)
    return Searched(best, tries, run.best[False], run.best[True])


class _Run:
    """Where the search stands."""

    def __init__(
        self, scenario: Scenario, chance: random.Random, seconds: float, core: CorePlacement | None
    ) -> None:
        self._scenario, self._chance, self._seconds = scenario, chance, max(seconds, 0.001)
        self._core = core
        self.promised = Promised(scenario)
        self._elite: dict[bool, list[tuple[int, Habits]]] = {False: [], True: []}  # by whether they keep
        self.best: dict[bool, Plan | None] = {False: None, True: None}
        self._first = first_habits(scenario)
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
        kind, price = habits.keep > 0, self.promised.price
        now = self.best[kind]
        if now is None or price(plan) < price(now):
            self.best[kind] = plan
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
        lines = [line for line in self._elite.values() if line]
        if lines and chance.random() < 0.75:
            self._cost, self._habits = chance.choice(chance.choice(lines))
        else:
            start = chance.choice(first_habits(self._scenario))
            self._habits = replace(start, **{n: chance.choice(CHOICES[n]) for n in chance.sample(list(CHOICES), 6)})
            self._cost = None
        self._top, self._since = self._cost, 0

    def _remember(self, cost: int, habits: Habits) -> None:
        line = self._elite[habits.keep > 0]
        if all(c != cost for c, _ in line):
            line.append((cost, habits))
            line.sort(key=lambda e: e[0])
            del line[5:]
