"""A repair fills in what a plan before lacks and leaves alone what it will still take."""

from __future__ import annotations

import random
from dataclasses import replace
from statistics import median

import pytest

from planner.bench import studios
from planner.bench.events import EVENTS, after
from planner.bench.untouched import untouched
from planner.checks import check
from planner.costs import with_costs
from planner.dispatch import dispatch, first_plan
from planner.dispatch.facts import Facts
from planner.dispatch.first import keeping_habits
from planner.dispatch.to_come import ToCome, spare_pieces
from planner.recast import crossed
from planner.scenario import Scenario

SIZES = ("tiny", "small", "medium")


def disturbed(seed: int, event: str) -> tuple[Scenario, Scenario] | None:
    """A lifelike studio with a first plan, before and after ``event``."""
    scenario = studios.lifelike(seed, SIZES[seed % 3])
    plan = first_plan(scenario)
    return None if plan is None else (scenario, after(scenario, plan, event, random.Random(seed)))


@pytest.mark.parametrize("event", EVENTS)
def test_most_tasks_that_an_event_leaves_possible_stay_where_they_are(event: str) -> None:
    """At most one in ten moves in the first repair, on the median studio."""
    parts = []
    for seed in range(9):
        made = disturbed(seed, event)
        if made is None or made[1].previous is None:
            continue
        before, now = made
        plan = dispatch(now, keeping_habits(now)[0])
        if plan is None:
            continue
        assert [str(v) for v in check(now, with_costs(now, plan))] == []
        left = untouched(before, now, now.previous)
        kept = {(t.id, t.start) for t in plan.tasks}
        gone = sum(t.id in left and (t.id, t.start) not in kept for t in now.previous.tasks)
        parts.append(gone / max(1, len(left)))
    assert len(parts) >= 5
    assert median(parts) <= 0.1


@pytest.mark.parametrize("seed", [1, 2, 4])
def test_what_is_added_is_made_although_all_else_stays(seed: int) -> None:
    """An order more, in a studio with time to spare: it is finished, and no task moves."""
    scenario = studios.lifelike(seed, "small", days=28, load=0.3)
    plan = first_plan(scenario)
    assert plan is not None
    order = replace(scenario.orders[0], qty=6)
    more = replace(scenario, previous=plan, orders=(*scenario.orders, replace(order, id="more", due=12 * 1440)))
    mended = dispatch(more, keeping_habits(more)[0])
    assert mended is not None
    assert check(more, with_costs(more, mended)) == []
    assert {(t.id, t.start) for t in plan.tasks} <= {(t.id, t.start) for t in mended.tasks}
    assert sum(n.count for n in mended.finishes if n.order == "more") == order.qty


@pytest.mark.parametrize("seed", range(12))
def test_a_plan_crossed_with_the_one_before_can_be_laid_in(seed: int) -> None:
    made = disturbed(seed, "order added")
    assert made is not None
    _, now = made
    fresh = dispatch(now)
    assert fresh is not None
    assert now.previous is not None
    for n in range(5):
        like = crossed(fresh, now.previous, random.Random(100 * seed + n))
        plan = dispatch(now, keeping_habits(now)[0], like=like)
        assert plan is not None
        assert [str(v) for v in check(now, with_costs(now, plan))] == []


def test_pieces_to_come_are_nobody_elses() -> None:
    """Ten there now, ten out of a kiln at 300; eight wanted at 200 and eight at 400: four are free for others."""
    line = [(200, -8), (300, 10), (400, -8)]
    assert spare_pieces(line, [(0, 10)], 10) == 2
    assert spare_pieces([(200, -8), (300, 10)], [(0, 10)], 10) == 2
    assert spare_pieces([(300, 10), (400, -8)], [(0, 10)], 10) == 10
    assert spare_pieces([(200, -15)], [(0, 10)], 10) == 0


def test_a_tool_is_not_taken_off_before_a_press_that_finds_it_on() -> None:
    scenario = studios.lifelike(3, "tiny")
    come = ToCome(Facts(scenario))
    form = scenario.forms[0]
    come.batch(0, (500, 3, 900), 0, False, 1)
    assert come.may_mount(0, 100, form.tool)
    assert not come.may_mount(0, 100, form.tool + "?")
    assert come.may_mount(0, 600, form.tool + "?")
    come.batch(0, (500, 3, 900), 0, False, -1)
    assert come.may_mount(0, 100, form.tool + "?")
