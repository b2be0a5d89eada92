"""The first plan: several habits tried, the cheapest plan kept."""

from __future__ import annotations

from planner.costs import with_costs
from planner.dispatch.habits import Habits
from planner.dispatch.run import dispatch
from planner.plan import Plan
from planner.scenario import Scenario

TRIED = (Habits(), Habits(extra="home"), Habits(press_until=0), Habits(patience=5.0))


def first_plan(scenario: Scenario) -> Plan | None:
    """The cheapest valid plan of several habits, with its costs; None where the must-do core found no place."""
    best: Plan | None = None
    for habits in TRIED:
        plan = dispatch(scenario, habits)
        if plan is None:
            return None
        plan = with_costs(scenario, plan)
        if best is None or plan.cost < best.cost:
            best = plan
    return best
