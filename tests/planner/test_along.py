"""A plan along what a relaxation would do is valid and cheaper, or there is none."""

from __future__ import annotations

from dataclasses import replace

import pytest

from planner.bench.arguments import PROOFS
from planner.bench.saved import Saved, saved
from planner.checks import check
from planner.clocks import WallClock
from planner.costs import with_costs
from planner.dispatch import first_plan
from planner.model.polish.along import along
from planner.model.proof.exact import Known, solve_whole
from planner.model.proof.prove import SHORT
from planner.model.proof.reading import skeleton
from planner.model.proof.relaxation import Relaxation
from planner.model.skeleton import Skeleton
from planner.plan import Plan
from planner.scenario import Scenario

LEAST = 546  # of tiny-504: proven, and no plan has come below it


@pytest.fixture(scope="module")
def found() -> tuple[Scenario, Plan, Skeleton]:
    """A saved studio, its first plan, and what a relaxation would do at the cost of the cheapest plan."""
    studio: Saved = next(x for x in saved(PROOFS) if x.name == "tiny-504")
    scenario = studio.scenario()
    plan = first_plan(scenario)
    assert plan is not None
    relaxation = Relaxation(scenario, SHORT)
    solved = solve_whole(relaxation.mip, 60, Known(0, LEAST + 1), None, lambda bound: None, manner="cores")
    assert solved.values is not None
    return scenario, with_costs(scenario, plan), skeleton(relaxation, solved.values)


def test_a_plan_along_the_skeleton_is_the_cheapest(found: tuple[Scenario, Plan, Skeleton]) -> None:
    scenario, plan, bones = found
    better = along(scenario, plan, bones, WallClock(60), 0)
    assert better is not None
    assert check(scenario, better) == []
    assert better.cost == LEAST < plan.cost


def test_there_is_none_where_the_skeleton_cannot_be_kept(found: tuple[Scenario, Plan, Skeleton]) -> None:
    scenario, plan, bones = found
    hurried = replace(bones, lit=tuple(replace(x, drawn_by=x.load.a + 60) for x in bones.lit))
    assert along(scenario, plan, hurried, WallClock(20), 0) is None


def test_the_skeleton_counts_what_is_pressed_and_glazed(found: tuple[Scenario, Plan, Skeleton]) -> None:
    scenario, _, bones = found
    for order in scenario.orders:
        assert sum(x.count for x in bones.dipped if x.order == order.id) <= order.qty
    assert {x.form for x in bones.pressed} <= set(scenario.form)
    assert all(0 <= x.load.a < x.load.b <= x.drawn_by for x in bones.lit)
    assert all(x.count > 0 and x.press.a < x.out_by for x in bones.pressed)
