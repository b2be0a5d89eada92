"""One run of the dispatcher: the core first, then day by day kilns, finishing, glazing and pressing."""

from __future__ import annotations

from dataclasses import replace

from planner.core_placement import CorePlacement
from planner.dispatch.adopt import adopt
from planner.dispatch.casting import pour_optional
from planner.dispatch.core import place_core
from planner.dispatch.daily import days, fill_day
from planner.dispatch.facts import facts_of
from planner.dispatch.given_core import apply_core
from planner.dispatch.habits import Habits
from planner.dispatch.kept import Kept, may_keep
from planner.dispatch.pull import Pull
from planner.dispatch.replay import replay
from planner.dispatch.shop import Shop
from planner.plan import COST_NAMES, Plan
from planner.scenario import Scenario


def dispatch(
    scenario: Scenario, habits: Habits | None = None, core: CorePlacement | None = None, like: Plan | None = None
) -> Plan | None:
    """A valid plan made by ``habits``, or None where the must-do core found no place.

    With ``core`` the must-do work stands where it says. What the scenario's plan before, or the plan ``like`` in its
    place, had in the first ``habits.keep`` minutes stays as far as it is still right. Costs and orders are left to be
    reckoned.
    """
    facts = facts_of(scenario) if like is None else facts_of(scenario).without_ids_of(like)
    habits = habits or Habits()
    before = scenario.previous
    like = like or (before if may_keep(scenario) else None)
    kept = None if like is None else Kept(like)
    if core is not None:
        shop: Shop | None = apply_core(facts, core)
    else:
        shop = place_core(facts, habits, kept)
        if shop is None and kept is not None:
            shop = place_core(facts, habits)
    if shop is None:
        return None
    pull = Pull(facts, habits)
    if kept is not None and habits.keep > 0:
        replay(shop, kept, pull)
    fill(shop, pull)
    plan = plan_of(shop)
    return plan if before is None else adopt(before, scenario, plan)


def fill(shop: Shop, pull: Pull) -> None:
    """Fill the days with work, from the first to the last."""
    if pull.habits.pour:
        pour_optional(shop, False)
    _fill_days(shop, pull)
    if pull.habits.sweep and any(n > 0 for n in shop.to_finish):
        _fill_days(shop, Pull(shop.facts, replace(pull.habits, kwh_care=0.0, least_lot=0.0, glaze_ahead=1000.0)))


def _fill_days(shop: Shop, pull: Pull) -> None:
    for start, end in days(shop.facts):
        fill_day(shop, pull, start, end)


def plan_of(shop: Shop) -> Plan:
    """The shop's tasks as a plan, not reckoned yet."""
    return Plan(
        status="feasible",
        cost=0,
        costs=dict.fromkeys(COST_NAMES, 0),
        bound=None,
        tasks=tuple(shop.tasks),
        batches=tuple(shop.batches),
        firings=tuple(shop.firings),
        lots=tuple(shop.lots),
        finishes=tuple(shop.finishes),
        casts=tuple(shop.casts),
        jobs=tuple(shop.jobs),
        spoiled=tuple(shop.spoiled),
    )
