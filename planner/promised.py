"""Dates that the plan before held: a new plan keeps what can be kept, whatever else would be cheaper."""

from __future__ import annotations

from planner.plan import Plan
from planner.scenario import Scenario

BROKEN = 10_000_000  # what one broken date counts in a price, more than all the rest of a plan that people would use


class Promised:
    """The orders that were in time in the plan before."""

    def __init__(self, scenario: Scenario) -> None:
        before = scenario.previous
        in_time = set() if before is None else {o.id for o in before.orders if o.late_min == 0}
        self.orders = frozenset(in_time & set(scenario.order))

    def broken(self, plan: Plan) -> int:
        """Orders that were in time before and are late in ``plan`` (reckoned)."""
        if not self.orders:
            return 0
        return sum(o.late_min > 0 and o.id in self.orders for o in plan.orders)

    def price(self, plan: Plan) -> int:
        """What plans are compared by: first the dates that are broken, then the cost."""
        return plan.cost + BROKEN * self.broken(plan)
