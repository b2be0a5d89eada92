"""Habits near other habits: what a search tries next."""

from __future__ import annotations

import random
from dataclasses import replace
from typing import Any

from planner.dispatch.facts import DAY
from planner.dispatch.habits import Habits
from planner.dispatch.kept import may_keep
from planner.scenario import Scenario

CHOICES: dict[str, tuple[Any, ...]] = {
    "patience": (0.5, 1.0, 1.5, 2.5, 4.0, 6.0, 10.0),
    "lead": (1.0, 1.15, 1.3, 1.5, 1.8, 2.2),
    "next_kiln": (1.5, 2.0, 2.5, 3.0, 4.0),
    "tardy_care": (1.0, 2.0, 3.0, 5.0),
    "late_first": (True, False),
    "hands_power": (0.0, 0.3, 0.6, 1.0, 1.3),
    "kiln_power": (0.0, 0.3, 0.6, 1.0),
    "stay": (1.0, 1.2, 1.5, 2.0, 3.0),
    "kwh_care": (0.3, 0.6, 1.0, 1.5, 2.5),
    "bisque_pull": (0.5, 0.7, 1.0, 1.4, 2.0),
    "wait": (0, 720, 1440, 2160, 2880, 4320),
    "waiting_cost": (0.3, 0.6, 1.0, 1.5, 2.5),
    "extra": ("none", "home", "all"),
    "cover_mould": ("never", "need", "best"),
    "cover_steps": ("never", "need", "best"),
    "cover_minutes": (0, 60, 120, 360, 720),
    "press_until": (0, 600, 750, 900, 1440),
    "fewest": (1, 3, 3, 5),
    "least_lot": (0.0, 0.2, 0.5),
    "small_batch": (0.0, 0.2, 0.35, 0.5, 0.7),
    "batch_max": (8, 12, 16, 20, 30, 60),
    "finish_ahead": (0.5, 1.0, 1.5, 3.0, 6.0),
    "glaze_first": (False, True),
    "glaze_ahead": (0.7, 1.0, 1.5, 3.0, 8.0),
    "pour": (False, True),
    "jobs_late": (True, False),
    "pour_late": (False, True),
    "sweep": (False, True),
    "surplus": (True, False),
}
FIRINGS = 24  # kiln decisions whose pull is varied one by one
KEEP_WHAT = ("all", "fired", "green")
MENDS = ("gentle", "gentle", "bold", "after")
KEEP = (0, 0.1, 0.25, 0.5, 1)  # parts of the horizon over which the plan before is kept


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
        elif kind < 0.7 and may_keep(scenario):
            keep = int(scenario.horizon * chance.choice(KEEP))
            habits = replace(habits, keep=keep, keep_what=chance.choice(KEEP_WHAT), mend=chance.choice(MENDS))
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
