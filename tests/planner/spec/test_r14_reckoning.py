"""R14: what a plan says of its cost and its orders is what the rules give."""

from __future__ import annotations

from dataclasses import replace

import pytest

from planner.checks import check
from planner.costs import with_costs
from planner.plan import COST_NAMES, Plan
from planner.scenario import Scenario
from tests.planner import builders as make
from tests.planner.spec.support import lines, studio, week


def costly() -> tuple[Scenario, Plan]:
    """One set-up at 7 and two bowls, finished 2 min late, at 3 a minute: 7 + 2 x 2 x 3 = 19."""
    form = {"setup": 0}
    scenario = studio(form, orders=[make.order(qty=2, due=1900)], weights=make.weights(setup=7, late=3))
    return scenario, with_costs(scenario, week())


def said(scenario: Scenario, plan: Plan) -> list[str]:
    return [str(v) for v in check(scenario, plan)]


def test_the_cost_that_the_rules_give() -> None:
    scenario, plan = costly()
    assert plan.costs == {**dict.fromkeys(COST_NAMES, 0), "setup": 7, "late": 12}
    assert plan.cost == 19
    assert said(scenario, plan) == []


@pytest.mark.parametrize("by", [-1, 1])
def test_a_cost_that_is_one_off(by: int) -> None:
    scenario, plan = costly()
    found = said(scenario, replace(plan, costs={**plan.costs, "late": 12 + by}))
    assert found == [f"R14 costs: late is {12 + by}, it comes to 12"]
    assert said(scenario, replace(plan, cost=19 + by)) == [f"R14 cost: is {19 + by}, it comes to 19"]


def test_every_cost_has_its_name() -> None:
    scenario, plan = costly()
    without = {k: v for k, v in plan.costs.items() if k != "pin"}
    assert said(scenario, replace(plan, costs=without)) == ["R14 costs: pin missing"]
    assert said(scenario, replace(plan, costs={**plan.costs, "tea": 1})) == ["R14 costs: there is no tea"]


@pytest.mark.parametrize(("field", "value"), [("done", 1901), ("late_min", 3), ("reckoned", True)])
def test_an_order_that_is_one_off(field: str, value: object) -> None:
    scenario, plan = costly()
    orders = (replace(plan.orders[0], **{field: value}),)
    found = said(scenario, replace(plan, orders=orders))
    assert len(found) == 1
    assert found[0].startswith("R14 order o1: done ")
    assert found[0].endswith("it comes to 1902, 2")


def test_every_order_is_reckoned_once() -> None:
    scenario, plan = costly()
    (one,) = plan.orders
    assert said(scenario, replace(plan, orders=())) == ["R14 order o1: is not reckoned"]
    assert said(scenario, replace(plan, orders=(one, one))) == ["R14 order o1: reckoned twice"]
    other = replace(one, id="o9")
    assert said(scenario, replace(plan, orders=(one, other))) == ["R14 order o9: there is no such order"]


def test_a_bound_is_not_above_the_cost() -> None:
    scenario, plan = costly()
    assert said(scenario, replace(plan, bound=19)) == []
    assert said(scenario, replace(plan, bound=20)) == ["R14 bound: 20 is above the cost 19"]


@pytest.mark.parametrize("bound", [18, None])
def test_optimal_only_if_the_bound_is_the_cost(bound: int | None) -> None:
    scenario, plan = costly()
    assert said(scenario, replace(plan, status="optimal", bound=19)) == []
    found = said(scenario, replace(plan, status="optimal", bound=bound))
    assert found == [f"R14 status: optimal, but the bound {bound} is not the cost 19"]


def test_a_status_that_there_is_not() -> None:
    scenario, plan = costly()
    assert said(scenario, replace(plan, status="fine")) == ["R14 status: there is no fine"]


@pytest.mark.parametrize("status", ["infeasible", "unknown"])
def test_a_plan_that_says_there_is_none_is_empty(status: str) -> None:
    scenario, plan = costly()
    assert said(scenario, make.plan(status=status)) == []
    found = said(scenario, replace(plan, status=status, batches=(), firings=(), lots=(), finishes=(), casts=()))
    assert found == [f"R14 status: {status}, but the plan has {key}" for key in ("tasks", "jobs", "orders")]


def test_names_of_orders_are_for_people() -> None:
    scenario, plan = costly()
    assert said(scenario, replace(plan, orders=(replace(plan.orders[0], name="Café"),))) == []


def test_the_support_reckons_before_it_checks() -> None:
    assert lines(*costly()) == []
