"""A new plan that moves little: the plan before, kept where it is still right, mended where it is not.

1. What must be done stays where it stood, or finds a place as in any plan.
2. The other tasks of the plan before keep their minutes free for themselves.
3. Batches, firings, lots and finishes are put in again in the order of their starts: at the same minute if they can,
   else a little later, else not at all; moulds, people and ware that are gone are replaced by others of the kind.
4. What the plan before lacks is made for after each day that is laid in (:attr:`Habits.mend`), from what it will not
   take itself later on: hands, moulds, tools, boards, kilns and ware (:mod:`planner.dispatch.to_come`). Or it may take
   those too, or wait until all is laid in; some repairs are made by each way.
5. What is still free is filled as in any plan.
"""

from __future__ import annotations

from collections.abc import Iterator

from planner.costs import with_costs
from planner.dispatch.first import keeping_habits
from planner.dispatch.run import dispatch
from planner.plan import Plan
from planner.promised import Promised
from planner.scenario import Scenario


def repair(scenario: Scenario) -> Plan | None:
    """The best plan found that keeps to ``scenario.previous``, with its costs: dates held first, then the cheapest.

    None where there is no plan before, or what must be done found no place.
    """
    return min(repairs(scenario), key=Promised(scenario).price, default=None)


def repairs(scenario: Scenario) -> Iterator[Plan]:
    """Repairs by several habits: all of the plan before kept, or only its first days."""
    for habits in keeping_habits(scenario):
        plan = dispatch(scenario, habits)
        if plan is not None:
            yield with_costs(scenario, plan)
