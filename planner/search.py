"""A search over the dispatcher's habits: every try is a whole valid plan, so the search only has to listen to costs.

Threshold accepting: a try that is at most a little dearer than the one before is taken, the little shrinks to nothing,
and after a while without a gain the search starts again from the best or from fresh habits.
"""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import replace
from typing import Protocol

from planner.costs import reckon
from planner.dispatch import Habits, dispatch
from planner.dispatch.first import first_habits
from planner.dispatch.vary import CHOICES, mutated
from planner.plan import Plan
from planner.scenario import Scenario

THRESHOLD = 0.04  # how much dearer a try may be at first, as a part of the cost
PATIENCE = 60  # tries without a new best of this run before it starts again


class Left(Protocol):
    """A clock: seconds that are left."""

    def left(self) -> float: ...


def search(
    scenario: Scenario, best: Plan, clock: Left, seed: int, found: Callable[[Plan], object], enough: float = 1.0
) -> tuple[Plan, int]:
    """The cheapest plan seen until the clock runs out, ``best`` at worst, and the number of tries.

    It also ends when ``enough`` of its time has gone by without a new best.
    """
    seconds = clock.left()
    run = _Run(scenario, random.Random(seed), seconds)
    tries, last = 0, seconds
    while (left := clock.left()) > 0 and last - left <= enough * seconds:
        plan = run.attempt(left)
        tries += 1
        if plan is not None and plan.cost < best.cost:
            best, last = plan, left
            found(best)
    return best, tries


class _Run:
    """Where the search stands."""

    def __init__(self, scenario: Scenario, chance: random.Random, seconds: float) -> None:
        self._scenario, self._chance, self._seconds = scenario, chance, max(seconds, 0.001)
        self._elite: list[tuple[int, Habits]] = []
        self._first = first_habits(scenario)
        self._habits, self._since = self._first[0], 0
        self._cost: int | None = None  # None: the habits have not been tried
        self._top: int | None = None

    def attempt(self, left: float) -> Plan | None:
        """Try the first habits one after the other, then some near the present ones; the plan they give."""
        habits = self._first.pop(0) if self._first else self._next()
        plan = dispatch(self._scenario, habits)
        if plan is None:
            return None
        reckoned = reckon(self._scenario, plan)
        self._judge(habits, reckoned.cost, THRESHOLD * left / self._seconds)
        return replace(plan, cost=reckoned.cost, costs=reckoned.costs, orders=reckoned.orders)

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
            start = chance.choice(first_habits(self._scenario))
            self._habits = replace(start, **{n: chance.choice(CHOICES[n]) for n in chance.sample(list(CHOICES), 6)})
            self._cost = None
        self._top, self._since = self._cost, 0

    def _remember(self, cost: int, habits: Habits) -> None:
        if all(c != cost for c, _ in self._elite):
            self._elite = sorted([*self._elite, (cost, habits)], key=lambda e: e[0])[:5]
