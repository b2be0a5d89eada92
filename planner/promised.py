"""Dates that the plan before held, or a plan to begin from: a new plan keeps what can be kept, whatever is cheaper."""

from __future__ import annotations

from dataclasses import replace

from planner.costs import steps_late
from planner.plan import COST_NAMES, Plan
from planner.scenario import Scenario

BROKEN = 10_000_000  # what one broken date counts in a price, more than all the rest of a plan that people would use
EASE = 1  # times its cost that a moved task counts beside it in a price: what not having to look again is worth
HELD = "held"  # among the diagnostics of the plan before: by order, the minutes that it may be late


def holding(scenario: Scenario, start: Plan) -> Scenario:
    """``scenario`` with a plan before that also holds what ``start`` holds: no order a step later than there.

    It stands among the diagnostics of the plan before, so that it goes wherever the scenario goes and costs nothing.
    """
    before = scenario.previous or Plan("feasible", 0, dict.fromkeys(COST_NAMES, 0), None)
    late = {o.id: o.late_min for o in start.orders if o.id in scenario.order}
    return replace(scenario, previous=replace(before, diagnostics={**before.diagnostics, HELD: late}))


class Promised:
    """The orders that were in time in the plan before, and the dates that a plan to begin from holds."""

    def __init__(self, scenario: Scenario) -> None:
        before = scenario.previous
        late = {} if before is None else {o.id: 0 for o in before.orders if o.late_min == 0}
        held = None if before is None else before.diagnostics.get(HELD)
        if isinstance(held, dict):
            late = {o: n for o, n in held.items() if isinstance(n, int)} | late
        self._step = scenario.weights.late_step
        self._late = {o: steps_late(n, self._step) for o, n in late.items() if o in scenario.order}
        self.orders = frozenset(o for o, n in self._late.items() if n <= 0)  # in time

    def broken(self, plan: Plan) -> int:
        """Orders that are later in ``plan`` (reckoned) than was held, by started steps of lateness."""
        if not self._late:
            return 0
        return sum(
            steps_late(o.late_min, self._step) > self._late[o.id] for o in plan.orders if o.id in self._late
        )

    def price(self, plan: Plan) -> int:
        """What plans are compared by: first the dates that are broken, then the cost, in which moves count more.

        The plan is reckoned. Of two plans of nearly one cost so the one that moves less is kept.
        """
        return plan.cost + EASE * plan.costs.get("move", 0) + BROKEN * self.broken(plan)
