"""R14: what the plan says it costs is what it costs."""

from __future__ import annotations

from collections.abc import Iterator

from planner.checks.violation import Violation
from planner.costs import reckon
from planner.facts import Facts
from planner.plan import COST_NAMES, STATUSES, OrderDone, Plan
from planner.rules import Rule


def _broken(text: str, **things: str) -> Violation:
    return Violation(Rule.R14, text, things)


def reckoning(facts: Facts) -> Iterator[Violation]:
    """R14: cost, costs, orders, bound and status are what the rules give."""
    plan, right = facts.plan, reckon(facts.scenario, facts.plan, facts)
    for name in COST_NAMES:
        if name not in plan.costs:
            yield _broken(f"costs: {name} missing", cost=name)
        elif plan.costs[name] != right.costs[name]:
            yield _broken(f"costs: {name} is {plan.costs[name]}, it comes to {right.costs[name]}", cost=name)
    for name in plan.costs:
        if name not in right.costs:
            yield _broken(f"costs: there is no {name}", cost=name)
    if plan.cost != right.cost:
        yield _broken(f"cost: is {plan.cost}, it comes to {right.cost}")
    yield from _orders(plan.orders, right.orders)
    if plan.status not in STATUSES:
        yield _broken(f"status: there is no {plan.status}")
    if plan.bound is not None and plan.bound > plan.cost:
        yield _broken(f"bound: {plan.bound} is above the cost {plan.cost}")
    if plan.status == "optimal" and plan.bound != plan.cost:
        yield _broken(f"status: optimal, but the bound {plan.bound} is not the cost {plan.cost}")


def _orders(said: tuple[OrderDone, ...], right: tuple[OrderDone, ...]) -> Iterator[Violation]:
    told: dict[str, OrderDone] = {}
    known = {o.id for o in right}
    for o in said:
        if o.id not in known:
            yield _broken(f"order {o.id}: there is no such order", order=o.id)
        if o.id in told:
            yield _broken(f"order {o.id}: reckoned twice", order=o.id)
        told[o.id] = o
    for o in right:
        one = told.get(o.id)
        if one is None:
            yield _broken(f"order {o.id}: is not reckoned", order=o.id)
        elif (one.done, one.late_min, one.reckoned) != (o.done, o.late_min, o.reckoned):
            told_text, right_text = (f"{x.done}{' reckoned' if x.reckoned else ''}" for x in (one, o))
            text = f"order {o.id}: done {told_text}, {one.late_min} min late; it comes to {right_text}, {o.late_min}"
            yield _broken(text, order=o.id)


def without_tasks(plan: Plan) -> Iterator[Violation]:
    """R14 for a plan that says that there is none: its lists are empty."""
    for name in ("tasks", "batches", "firings", "lots", "finishes", "casts", "jobs", "spoiled", "orders"):
        if getattr(plan, name):
            yield _broken(f"status: {plan.status}, but the plan has {name}")
