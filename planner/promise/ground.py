"""What a promise stands on: days enough, and a plan in which the present orders have their dates."""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import dataclass, replace

from planner.checks import check
from planner.costs import with_costs
from planner.dispatch import dispatch, first_plan
from planner.dispatch.first import TRIED, keeping_habits
from planner.dispatch.vary import mutated
from planner.plan import Plan
from planner.promise.horizon import longer
from planner.scenario import Scenario

STEP = 14  # days by which a scenario that is too short is made longer
FILLS = 6  # ways in which the days that were added are filled with the present orders


@dataclass(frozen=True)
class Ground:
    """``scenario`` with the present orders and ``reference``, a valid plan for it; ``added`` days were added."""

    scenario: Scenario
    reference: Plan
    added: int


def reference_plan(scenario: Scenario, better: Callable[[], Plan | None]) -> Plan | None:
    """The plan before if it is still valid, else what ``better`` finds, else a quick one; None if there is none."""
    if scenario.previous is not None:
        plan = with_costs(scenario, _bare(scenario.previous))
        if plan.tasks and not check(scenario, plan):
            return plan
    return better() or first_plan(scenario)


def _bare(plan: Plan) -> Plan:
    return replace(plan, status="feasible", bound=None, reasons=(), diagnostics={})


def stretched(ground: Ground, days: int, seed: int) -> Ground | None:
    """The same ground with ``days`` more days, filled with what the present orders still need."""
    scenario = longer(ground.scenario, days)
    keeping = replace(scenario, previous=ground.reference, pins=())
    keep = max(1, ground.scenario.horizon)
    chance = random.Random(seed)
    best, habits = None, keeping_habits(keeping)[0]
    starts = [*keeping_habits(keeping)[:1], *TRIED[:3]]
    for n in range(FILLS):
        tried = starts[n] if n < len(starts) else mutated(habits, keeping, chance)
        tried = replace(tried, keep=keep)
        plan = dispatch(keeping, tried)
        if plan is None:
            continue
        plan = with_costs(scenario, plan)
        if (best is None or plan.cost < best.cost) and not check(scenario, plan):
            best, habits = plan, tried
    return None if best is None else Ground(scenario, best, ground.added + days)
