"""One run of the dispatcher: the core first, then day by day kilns, finishing, glazing and pressing."""

from __future__ import annotations

from itertools import pairwise

from planner.core_placement import CorePlacement
from planner.dispatch.adopt import adopt
from planner.dispatch.casting import pour_optional
from planner.dispatch.core import place_core
from planner.dispatch.facts import DAY, Facts, facts_of
from planner.dispatch.finishing import finish_orders, glaze_ware
from planner.dispatch.firing import fire_kilns
from planner.dispatch.given_core import apply_core
from planner.dispatch.habits import Habits
from planner.dispatch.kept import Kept, may_keep
from planner.dispatch.pressing import press_ware
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
    habits = pull.habits
    if habits.pour:
        pour_optional(shop, False)
    for start, end in days(shop.facts):
        noon = min(end, _at(shop.facts, start, habits.press_until))
        if habits.glaze_first:
            glaze_ware(shop, pull, start, end, True)
        again = fire_kilns(shop, pull, start, end)
        finish_orders(shop, pull, start, end, True)
        if noon > start:
            press_ware(shop, pull, start, noon)
        glaze_ware(shop, pull, start, end, True)
        again = fire_kilns(shop, pull, start, end) or again
        press_ware(shop, pull, start, end)
        glaze_ware(shop, pull, start, end, False)
        finish_orders(shop, pull, start, end, False)
        while again:  # a kiln so quick that its ware goes on the same day
            again = fire_kilns(shop, pull, start, end)
            glaze_ware(shop, pull, start, end, False)
            finish_orders(shop, pull, start, end, False)


def days(facts: Facts) -> list[tuple[int, int]]:
    """The local days of the horizon as ``[start, end)`` minutes."""
    first = DAY - facts.midnight % DAY
    marks = [0, *range(first, facts.horizon, DAY), facts.horizon]
    return list(pairwise(marks))


def _at(facts: Facts, day_start: int, minute_of_day: int) -> int:
    return day_start - (day_start + facts.midnight) % DAY + minute_of_day


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
