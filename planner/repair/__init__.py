"""A new plan that moves little: the plan before, kept where it is still right, mended where it is not.

1. What must be done stays where it stood, or finds a place as in any plan.
2. The other tasks of the plan before keep their minutes free for themselves.
3. Batches, firings, lots and finishes are put in again in the order of their starts: at the same minute if they can,
   else a little later, else not at all; moulds, people and ware that are gone are replaced by others of the kind.
4. What is still free is filled as in any plan.
"""

from __future__ import annotations

from collections.abc import Iterator

from planner.costs import with_costs
from planner.dispatch.core import place_core
from planner.dispatch.facts import facts_of
from planner.dispatch.habits import Habits
from planner.dispatch.kept import Kept
from planner.dispatch.pull import Pull
from planner.dispatch.run import fill, plan_of
from planner.plan import Plan
from planner.repair.adopt import adopt
from planner.repair.replay import replay
from planner.scenario import Scenario

__all__ = ["adopt", "repair", "repairs"]

WAYS = (Habits(), Habits(extra="home"), Habits(jobs_late=False, press_until=0))


def repair(scenario: Scenario) -> Plan | None:
    """The cheapest plan that keeps to ``scenario.previous``, with its costs.

    None where there is no plan before, or what must be done found no place.
    """
    return min(repairs(scenario), key=lambda p: p.cost, default=None)


def repairs(scenario: Scenario) -> Iterator[Plan]:
    """Repairs by several habits; the last one adds nothing to what was planned before."""
    if scenario.previous is None:
        return
    facts = facts_of(scenario)
    for habits, more in [*((w, True) for w in WAYS), (WAYS[0], False)]:
        kept = Kept(scenario.previous)
        shop = place_core(facts, habits, kept) or place_core(facts, habits)
        if shop is None:
            continue
        replay(shop, kept, Pull(facts, habits))
        if more:
            fill(shop, Pull(facts, habits))
        yield with_costs(scenario, adopt(scenario, plan_of(shop)))
