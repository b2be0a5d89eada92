"""A search over the dispatcher's habits: every try is a whole valid plan, so the search only has to listen to costs.

Threshold accepting: a try that is at most a little dearer than the one before is taken, the little shrinks to nothing,
and after a while without a gain the search starts again from the best or from fresh habits.
"""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import replace
from typing import Any, Protocol

from planner.costs import reckon
from planner.dispatch import Habits, dispatch
from planner.plan import Plan
from planner.scenario import Scenario

DAY = 1440
THRESHOLD = 0.04  # how much dearer a try may be at first, as a part of the cost
PATIENCE = 60  # tries without a new best of this run before it starts again


class Left(Protocol):
    """A clock: seconds that are left."""

    def left(self) -> float: ...


CHOICES: dict[str, tuple[Any, ...]] = {
    "patience": (0.5, 1.0, 1.5, 2.5, 4.0, 6.0, 10.0),
    "lead": (1.0, 1.15, 1.3, 1.5, 1.8, 2.2),
    "late_first": (True, False),
    "hands_power": (0.0, 0.3, 0.6, 1.0, 1.3),
    "kiln_power": (0.0, 0.3, 0.6, 1.0),
    "stay": (1.0, 1.2, 1.5, 2.0, 3.0),
    "kwh_care": (0.3, 0.6, 1.0, 1.5, 2.5),
    "bisque_pull": (0.5, 0.7, 1.0, 1.4, 2.0),
    "wait": (0, 720, 1440, 2160, 2880, 4320),
    "waiting_cost": (0.3, 0.6, 1.0, 1.5),
    "extra": ("none", "home", "all"),
    "cover_mould": ("never", "need", "best"),
    "cover_steps": ("never", "need", "best"),
    "cover_minutes": (0, 60, 120, 360, 720),
    "press_until": (0, 600, 750, 900, 1440),
    "small_batch": (0.0, 0.2, 0.35, 0.5, 0.7),
    "batch_max": (8, 12, 16, 20, 30, 60),
    "finish_ahead": (0.5, 1.0, 1.5, 3.0, 6.0),
    "glaze_ahead": (0.7, 1.0, 1.5, 2.5),
    "pour": (False, True),
    "jobs_late": (True, False),
    "pour_late": (False, True),
    "surplus": (True, False),
}
FIRINGS = 24  # kiln decisions whose pull is varied one by one


def mutated(habits: Habits, scenario: Scenario, chance: random.Random) -> Habits:
    """``habits`` with one to three things changed."""
    for _ in range(chance.choice((1, 1, 1, 2, 2, 3))):
        kind = chance.random()
        if kind < 0.4 and scenario.orders:
            habits = replace(habits, order_pull=_nudged(habits.order_pull, len(scenario.orders), chance))
        elif kind < 0.5 and scenario.orders:
            shift = [*habits.due_shift, *[0] * (len(scenario.orders) - len(habits.due_shift))]
            shift[chance.randrange(len(shift))] += chance.choice((-4, -2, -1, 1, 2, 4)) * DAY
            habits = replace(habits, due_shift=tuple(shift))
        elif kind < 0.65:
            habits = replace(habits, firing_pull=_nudged(habits.firing_pull, FIRINGS, chance))
        else:
            name = chance.choice(list(CHOICES))
            habits = replace(habits, **{name: chance.choice(CHOICES[name])})
    return habits


def _nudged(factors: tuple[float, ...], length: int, chance: random.Random) -> tuple[float, ...]:
    """``factors`` filled up to ``length`` with one of them changed."""
    out = [*factors, *[1.0] * (length - len(factors))]
    at = chance.randrange(length)
    out[at] = min(20.0, max(0.05, out[at] * chance.choice((0.4, 0.6, 0.8, 1.25, 1.7, 2.5))))
    return tuple(out)


def search(
    scenario: Scenario, best: Plan, clock: Left, seed: int, found: Callable[[Plan], None]
) -> tuple[Plan, int]:
    """The cheapest plan seen until the clock runs out, ``best`` at worst, and the number of tries."""
    chance = random.Random(seed)
    run = _Run(scenario, chance, clock.left())
    tries = 0
    while (left := clock.left()) > 0:
        plan = run.attempt(left)
        tries += 1
        if plan is not None and plan.cost < best.cost:
            best = plan
            found(best)
    return best, tries


class _Run:
    """Where the search stands."""

    def __init__(self, scenario: Scenario, chance: random.Random, seconds: float) -> None:
        self._scenario, self._chance, self._seconds = scenario, chance, max(seconds, 0.001)
        self._elite: list[tuple[int, Habits]] = []
        self._fresh()

    def _fresh(self) -> None:
        """Start again: from one of the best habits, or from new ones."""
        chance = self._chance
        if self._elite and chance.random() < 0.75:
            self._cost, self._habits = chance.choice(self._elite)
        else:
            names = chance.sample(list(CHOICES), 6) if self._elite else []
            self._habits = replace(Habits(), **{n: chance.choice(CHOICES[n]) for n in names})
            self._cost = None
        self._top, self._since = self._cost, 0

    def attempt(self, left: float) -> Plan | None:
        """Try habits near the present ones; the plan they give."""
        habits = self._habits if self._cost is None else mutated(self._habits, self._scenario, self._chance)
        plan = dispatch(self._scenario, habits)
        if plan is None:
            return None
        reckoned = reckon(self._scenario, plan)
        cost = reckoned.cost
        slack = THRESHOLD * left / self._seconds
        if self._cost is None or cost <= self._cost * (1 + slack):
            self._habits, self._cost = habits, cost
        if self._top is None or cost < self._top:
            self._top, self._since = cost, 0
            self._remember(cost, habits)
        else:
            self._since += 1
            if self._since > PATIENCE:
                self._fresh()
        return replace(plan, cost=cost, costs=reckoned.costs, orders=reckoned.orders)

    def _remember(self, cost: int, habits: Habits) -> None:
        if all(c != cost for c, _ in self._elite):
            self._elite = sorted([*self._elite, (cost, habits)], key=lambda e: e[0])[:5]
