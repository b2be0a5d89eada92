"""The first plan: a handful of habits tried, small changes to the best of them, the hand rule; the cheapest kept."""

from __future__ import annotations

import random
from dataclasses import replace

from planner.costs import with_costs
from planner.dispatch.facts import DAY
from planner.dispatch.habits import Habits
from planner.dispatch.hand import hand_plan
from planner.dispatch.kept import may_keep
from planner.dispatch.run import dispatch
from planner.dispatch.vary import mutated
from planner.plan import Plan
from planner.promised import Promised
from planner.scenario import Scenario

# Chosen one after the other out of 360 drawn at random, each for what it adds to those before it on 49 drawn studios.
TRIED = (
    Habits(patience=4, lead=1, next_kiln=3, tardy_care=3, late_first=False, stay=1, kwh_care=2, bisque_pull=1.4,
           wait=600, extra="home", cover_minutes=0, small_batch=0.1, glaze_first=True),
    Habits(next_kiln=3, tardy_care=1, hands_power=0, kiln_power=1, stay=2, kwh_care=2, bisque_pull=1.4, wait=2160,
           waiting_cost=0.6, extra="all", cover_mould="need", cover_steps="never", press_until=600, small_batch=0.6,
           finish_ahead=3, glaze_first=True, jobs_late=False, pour_late=True),
    Habits(patience=1, next_kiln=3, tardy_care=5, late_first=False, stay=2, kwh_care=2, wait=600, waiting_cost=0.6,
           extra="all", cover_steps="need", cover_minutes=400, press_until=900, small_batch=0.1, finish_ahead=10,
           glaze_ahead=1.5),
    Habits(),
    Habits(patience=2, lead=2, next_kiln=2, late_first=False, kiln_power=1, stay=4, kwh_care=2, bisque_pull=0.7,
           extra="home", cover_steps="need", cover_minutes=0, small_batch=0.1, batch_max=25, finish_ahead=10,
           glaze_ahead=0.7, jobs_late=False, pour_late=True),
    Habits(patience=1, lead=1.5, next_kiln=2, tardy_care=3, kiln_power=0.3, stay=1, kwh_care=2, bisque_pull=2,
           wait=600, extra="home", cover_mould="need", cover_minutes=400, press_until=0, small_batch=0.6,
           batch_max=25, pour=True, jobs_late=False, pour_late=True),
)  # fmt: skip
MOST_TRIES, LEAST_TRIES, EFFORT = 90, 4, 750
WAITS = (0, 1, 3)  # days that a kiln waits for more where plans are made by the hand rule


def first_plan(scenario: Scenario) -> Plan | None:
    """The cheapest valid plan of some tries, with its costs; None where the must-do core found no place.

    The number of tries depends on the size of the scenario alone, so that the same scenario gives the same plan.
    Where there is a plan before, keeping to it is tried first: tasks that stay put cost nothing (``move``, ``pin``).
    """
    chance = random.Random(0)
    best, best_habits, price = None, Habits(), Promised(scenario).price
    starts = first_habits(scenario)
    for n in range(tries(scenario)):
        habits = starts[n] if n < len(starts) else mutated(best_habits, scenario, chance)
        plan = dispatch(scenario, habits)
        if plan is None and best is None and n >= len(starts) - 1:
            return None
        if plan is None:
            continue
        plan = with_costs(scenario, plan)
        if best is None or price(plan) < price(best):
            best, best_habits = plan, habits
    if best is not None and any(o.reckoned for o in best.orders):
        swept = dispatch(scenario, replace(best_habits, sweep=True))
        if swept is not None:
            best = min(best, with_costs(scenario, swept), key=price)
    by_hand = [plan for days in WAITS if (plan := hand_plan(scenario, days * DAY)) is not None]
    return min([*([best] if best else []), *by_hand], key=price, default=None)


def first_habits(scenario: Scenario) -> list[Habits]:
    """Habits worth trying before any others; the first ones keep to the plan before, if there is one."""
    return [*keeping_habits(scenario), *TRIED]


def keeping_habits(scenario: Scenario) -> list[Habits]:
    """Habits that keep to the plan before: all of it first, then only its first days, or only what is pressed.

    None where there is no plan that may be kept.
    """
    if not may_keep(scenario):
        return []
    whole = scenario.horizon
    ways = (Habits(), TRIED[0])
    parts = (
        (whole, "all", "gentle"), (whole, "all", "bold"), (whole, "all", "after"), (whole // 3, "all", "gentle"),
        (whole, "green", "gentle"), (whole // 8, "all", "after"), (whole, "fired", "gentle"),
    )  # fmt: skip
    return [replace(h, keep=max(1, keep), keep_what=what, mend=mend) for keep, what, mend in parts for h in ways]


def tries(scenario: Scenario) -> int:
    """How many plans to make: a quarter to half a second's worth on an ordinary machine, a few at least."""
    each = effort(scenario)
    return max(LEAST_TRIES, min(MOST_TRIES, int(min(0.55, max(0.25, 24 * each)) / each)))


def effort(scenario: Scenario) -> float:
    """About the seconds that one plan takes on an ordinary machine: reckoned, so that it is the same on all."""
    size: float = 4 + len(scenario.orders) * (scenario.horizon / 20160) ** 0.3 + len(scenario.wip) / 4
    return size / (4 * EFFORT)
