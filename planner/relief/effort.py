"""So many tries at a cheaper plan: the same effort for a studio as it is and for the same studio eased."""

from __future__ import annotations

import random
from dataclasses import dataclass, replace

from planner.checks import check
from planner.costs import finished_at, with_costs
from planner.dispatch import Habits, dispatch
from planner.dispatch.first import TRIED
from planner.dispatch.vary import mutated
from planner.facts import Facts
from planner.plan import Plan
from planner.relief.ruin import ruined
from planner.scenario import Order, Scenario

REBUILD = 0.6  # of the tries take a plan apart; the others vary its habits


class Effort:
    """A search for one scenario, counted in tries. Moves against an earlier plan cost nothing here."""

    def __init__(self, scenario: Scenario, hint: Plan, seed: int) -> None:
        self.scenario = replace(
            scenario, previous=None, pins=(), weights=replace(scenario.weights, move=0, pin=0)
        )
        self.hint = hint
        self.best: Plan | None = None
        self.tries = 0
        self._chance = random.Random(seed)
        self._habits = TRIED[0]

    def offer(self, plan: Plan) -> bool:
        """Take ``plan`` if it is cheaper than what there is and valid here."""
        made = with_costs(self.scenario, replace(plan, status="feasible", bound=None, reasons=(), diagnostics={}))
        if (self.best is not None and made.cost >= self.best.cost) or check(self.scenario, made):
            return False
        self.best = made
        return True

    def run(self, tries: int) -> None:
        """Make so many plans and keep the cheapest."""
        for n in range(self.tries, self.tries + tries):
            self.tries = n + 1
            plan = self._first(n) if n < 1 + len(TRIED) else self._another()
            if plan is not None and next(plan.faults(), None) is None:
                self.offer(plan)

    def _first(self, n: int) -> Plan | None:
        """The plan given, filled up again with what has been eased; then fresh plans."""
        if n == 0:
            return dispatch(replace(self.scenario, previous=self.hint), Habits(keep=self.scenario.horizon))
        return dispatch(self.scenario, TRIED[n - 1])

    def _another(self) -> Plan | None:
        near = self.best or self.hint
        if self._chance.random() < REBUILD and self.scenario.orders:
            late = self._late(near)
            order = self._chance.choice(late or self.scenario.orders)
            part = ruined(self.scenario, near, order, late, self._chance)
            habits = replace(self._chance.choice((Habits(), *TRIED)), keep=self.scenario.horizon)
            return dispatch(replace(self.scenario, previous=part), habits)
        at = replace(self.scenario, previous=near)
        habits = mutated(self._habits, at, self._chance)
        before = self.best
        plan = dispatch(at, habits)
        if plan is not None and (before is None or with_costs(self.scenario, plan).cost < before.cost * 1.02):
            self._habits = habits
        return plan

    def _late(self, plan: Plan) -> tuple[Order, ...]:
        names = {o.id for o in plan.orders if o.late_min > 0}
        return tuple(o for o in self.scenario.orders if o.id in names)


@dataclass(frozen=True)
class Measure:
    """What a plan comes to: its cost, late minutes summed over pieces, late orders, kWh of the firings it loads."""

    cost: int
    late_piece_minutes: int
    late_orders: frozenset[str]
    kwh: int
    finished: int

    @classmethod
    def of(cls, scenario: Scenario, plan: Plan) -> Measure:
        facts = Facts(scenario, plan)
        late = finished = 0
        names = set()
        for order, times in finished_at(facts):
            finished += sum(n for _, n in times.finished)
            for t, n in times.finished + times.reckoned:
                if t > order.due:
                    late += n * (t - order.due)
                    names.add(order.id)
        kwh = sum(k.program.kwh for k in facts.kilnfuls if k.program is not None)
        return cls(plan.cost, late, frozenset(names), kwh, finished)
