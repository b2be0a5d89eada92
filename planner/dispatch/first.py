"""The first plan: several habits tried, the cheapest plan kept."""

from __future__ import annotations

from planner.costs import with_costs
from planner.dispatch.habits import Habits
from planner.dispatch.run import dispatch
from planner.plan import Plan
from planner.scenario import Scenario

TRIED = (Habits(), Habits(extra="home"), Habits(press_until=0), Habits(patience=5.0))


def first_plan(scenario: Scenario) -> Plan | None:
    """The cheapest valid plan of several habits, with its costs; None where the must-do core found no place.

    Where there is a plan before, its repairs are tried too: tasks that stay put cost nothing (``move``, ``pin``).
    """
    from planner.repair import repairs  # repair builds on this package

    plans = list(repairs(scenario))
    for habits in TRIED:
        plan = dispatch(scenario, habits)
        if plan is None:
            break
        plans.append(with_costs(scenario, plan))
    return min(plans, key=lambda p: p.cost, default=None)
