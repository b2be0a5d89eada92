"""A plan to begin from: taken as it is where the checker finds it valid, else laid in again as a repair does."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from planner.checks import check
from planner.costs import with_costs
from planner.dispatch.adopt import adopt
from planner.plan import Plan
from planner.repair import repairs
from planner.rules import Rule
from planner.scenario import Scenario

MOST_RULES = 3  # broken rules that are named


def begun_from(scenario: Scenario, start: Plan, offer: Callable[[Plan], object]) -> list[str]:
    """Offer ``start``, or what laying it in again gives; returns what is to be said of it."""
    if not start.tasks:
        return ["the plan to begin from has no tasks; nothing begins from it"]
    try:
        return _offered(scenario, start, offer)
    except Exception as fault:  # a plan that fits nothing here leaves the others to answer
        return [f"the plan to begin from could not be used: {type(fault).__name__}: {fault}"]


def _offered(scenario: Scenario, start: Plan, offer: Callable[[Plan], object]) -> list[str]:
    as_it_is = _named(scenario, start)
    broken = faults_of(scenario, as_it_is)
    if not broken:
        offer(as_it_is)
        return []
    laid_in = list(repairs(replace(scenario, previous=replace(start, diagnostics=_held(scenario)), pins=())))
    for plan in laid_in:
        offer(_named(scenario, plan))
    more = "" if laid_in else ", which could not be done"
    return [f"the plan to begin from breaks {', '.join(broken[:MOST_RULES])} here and was laid in again{more}"]


def faults_of(scenario: Scenario, plan: Plan) -> list[str]:
    """The numbers of the rules that ``plan`` breaks; its reckoning is made anew and counts for nothing."""
    plan = with_costs(scenario, replace(plan, status="feasible", bound=None, reasons=(), diagnostics={}))
    return sorted({v.rule.name for v in check(scenario, plan) if v.rule != Rule.R14})


def _named(scenario: Scenario, plan: Plan) -> Plan:
    """``plan`` with the ids of the plan before for what stays, so that nothing counts as moved that is not."""
    return plan if scenario.previous is None else adopt(scenario.previous, scenario, plan)


def _held(scenario: Scenario) -> dict[str, object]:
    return {} if scenario.previous is None else dict(scenario.previous.diagnostics)
