"""Repairs: valid whatever has happened, moving little, keeping names, honouring pins."""

from __future__ import annotations

import random
from dataclasses import replace
from functools import cache

import pytest

from planner.bench import studios
from planner.checks import check
from planner.costs import moved, with_costs
from planner.dispatch import dispatch, first_plan
from planner.dispatch.first import TRIED
from planner.jsonio import read_plan, read_scenario
from planner.plan import Plan
from planner.promised import Promised
from planner.repair import repair, repairs
from planner.scenario import Scenario
from planner.solve import solve
from tests.planner import builders as b
from tests.planner.conftest import EXAMPLES
from tests.planner.rolling import later


def repaired(scenario: Scenario) -> Plan:
    """The repair, once the checker has nothing to say against it."""
    plan = repair(scenario)
    assert plan is not None, "no plan"
    assert [str(v) for v in check(scenario, plan)] == []
    return plan


def kept_whole(scenario: Scenario) -> Plan:
    """The repair that keeps all it can, once the checker has nothing to say against it."""
    plan = next(repairs(scenario))
    assert [str(v) for v in check(scenario, plan)] == []
    return plan


@cache
def planned(seed: int, size: str) -> Scenario:
    """A lifelike studio with a first plan as the plan before."""
    scenario = studios.lifelike(seed, size)
    return replace(scenario, previous=first_plan(scenario))


def worked() -> tuple[Scenario, Plan]:
    scenario = read_scenario((EXAMPLES / "medium.json").read_bytes())
    return scenario, read_plan((EXAMPLES / "medium.plan.json").read_bytes())


def test_there_is_nothing_to_repair_without_a_plan_before() -> None:
    assert repair(b.bisque_and_back()) is None


@pytest.mark.parametrize("size", ["tiny", "small", "medium", "large"])
def test_where_nothing_has_changed_nothing_moves(size: str) -> None:
    scenario = planned(3, size)
    assert list(moved(scenario, kept_whole(scenario))) == []


def test_a_plan_made_by_somebody_else_stays_too() -> None:
    scenario, plan = worked()
    scenario = replace(scenario, previous=plan)
    assert list(moved(scenario, kept_whole(scenario))) == []
    assert repaired(scenario).cost <= plan.cost


@pytest.mark.parametrize("seed", range(8))
def test_a_cracked_mould_moves_little(seed: int) -> None:
    scenario = planned(seed, "small")
    assert scenario.previous is not None
    used = sorted({m for x in scenario.previous.batches if x.press for m in x.moulds if m in scenario.mould})
    gone = set(random.Random(seed).sample(used, 2))
    broken = replace(scenario, moulds=tuple(m for m in scenario.moulds if m.id not in gone))
    plan = kept_whole(broken)
    assert not gone & {m for x in plan.batches for m in x.moulds}
    assert len(list(moved(broken, plan))) <= len(scenario.previous.tasks) // 10


@pytest.mark.parametrize("seed", range(24))
def test_whatever_goes_wrong_the_repair_is_valid(seed: int) -> None:
    r = random.Random(seed)
    scenario = planned(seed, r.choice(["tiny", "small"]))
    if scenario.previous is None:
        pytest.skip("no plan before")
    pins = tuple(t.id for t in scenario.previous.tasks[:3])
    disturbed = studios.disturbed(replace(scenario, pins=pins), seed, r.choice([1, 3, 6]))
    plan = repair(disturbed)
    if plan is not None:
        assert [str(v) for v in check(disturbed, plan)] == []
        best = first_plan(disturbed)
        assert best is not None
        assert best.cost <= plan.cost


@pytest.mark.parametrize("seed", range(40))
def test_a_plan_before_that_makes_no_sense_does_no_harm(seed: int) -> None:
    """The plan of another studio, its minutes shaken: form is all that is checked of a plan before."""
    r = random.Random(seed)
    other = planned(seed + 1, "tiny").previous
    assert other is not None
    shaken = tuple(
        replace(t, start=t.start + (d := r.choice([0, 0, -500, 37, 100_000])), end=t.end + d) for t in other.tasks
    )
    scenario = replace(studios.lifelike(seed, "tiny"), previous=replace(other, tasks=shaken))
    plan = repair(scenario)
    if plan is not None:
        assert [str(v) for v in check(scenario, plan)] == []


@pytest.mark.parametrize("seed", range(8))
def test_days_later_with_all_done_as_planned_the_plan_still_stands(seed: int) -> None:
    """Batches have become wip, firings present loads, lots glazed ware: their tasks are found again all the same.

    A firing may go (2 tasks) where what it held now fits into an earlier one.
    """
    scenario = studios.lifelike(seed, ["tiny", "small", "medium", "large"][seed % 4])
    plan = first_plan(scenario)
    assert plan is not None
    now = later(scenario, plan, 1 + seed % 3)
    assert len(list(moved(now, kept_whole(now)))) <= 2


@pytest.mark.parametrize("seed", range(6))
def test_at_noon_the_tool_is_looked_at_again_and_little_moves(seed: int) -> None:
    """A tool that is on at minute 0 needs its recheck (R02), so that the next press ends later or holds fewer."""
    scenario = studios.lifelike(seed, ["tiny", "small", "medium"][seed % 3])
    plan = first_plan(scenario)
    assert plan is not None
    now = later(scenario, plan, 2, 760)
    assert len(list(moved(now, kept_whole(now)))) <= 2 + len(plan.tasks) // 10


@pytest.mark.parametrize("seed", range(8))
def test_a_mould_that_cracks_in_mid_week_moves_little(seed: int) -> None:
    scenario = studios.lifelike(seed, "small")
    plan = first_plan(scenario)
    assert plan is not None
    now = later(scenario, plan, 2)
    free = [m for m in now.moulds if m.ready is not None]
    gone = random.Random(seed).choice(free)
    broken = replace(now, moulds=tuple(m for m in now.moulds if m is not gone))
    left = [t for t in plan.tasks if t.start >= 2 * b.DAY]
    assert len(list(moved(broken, kept_whole(broken)))) <= 2 + len(left) // 10
    assert repaired(broken).cost <= kept_whole(broken).cost


def test_a_pinned_task_stays_when_its_neighbours_have_to_move() -> None:
    scenario = b.scenario(
        people=[b.person(hours=[(0, 300)])],
        jobs=[b.job("a", minutes=60, window=(0, 300)), b.job("b", minutes=60, window=(0, 300))],
        weights=b.weights(move=1, pin=100),
    )
    before = first_plan(scenario)
    assert before is not None
    task = {j.id: before.task[j.task] for j in before.jobs}
    longer = replace(
        scenario,
        jobs=(replace(scenario.jobs[0], minutes=200), scenario.jobs[1]),
        previous=before,
        pins=(task["b"].id,),
    )
    plan = repaired(longer)
    now = {j.id: plan.task[j.task] for j in plan.jobs}
    if task["b"].start in (0, 60, 240):  # where a job of 200 min still fits beside it
        assert now["b"].start == task["b"].start
    assert now["b"].id == task["b"].id


def test_what_is_carried_over_keeps_its_name() -> None:
    scenario, plan = worked()
    scenario = replace(scenario, previous=plan)
    new = kept_whole(scenario)
    for mine, theirs in ((new.batches, plan.batches), (new.firings, plan.firings), (new.lots, plan.lots)):
        assert {x.id for x in theirs} <= {x.id for x in mine}


def _two_for_one_person() -> Scenario:
    """Two orders of one fired pot each, 50 minutes of sorting each; both were in time until the person came late.

    Now only one can be. Finishing "dear" first costs less, "cheap" was promised alone.
    """
    scenario = b.scenario(
        forms=(b.form(finish=b.work(50)),),
        orders=(b.order("cheap", due=60, weight=1), b.order("dear", due=60, weight=9)),
        wip=(b.fired("w1", order="cheap"), b.fired("w2", order="dear")),
        weights=b.weights(late=1, tardy=10),
    )
    before = first_plan(replace(scenario, orders=scenario.orders[:1], wip=scenario.wip[:1]))
    assert before is not None
    return replace(scenario, previous=before)


def test_a_date_that_was_held_is_held_though_breaking_it_were_cheaper() -> None:
    scenario = _two_for_one_person()
    assert Promised(scenario).orders == {"cheap"}
    plan = first_plan(scenario)
    assert plan is not None
    assert {o.id: o.late_min > 0 for o in plan.orders} == {"cheap": False, "dear": True}
    free = first_plan(replace(scenario, previous=None))
    assert free is not None
    assert free.cost < plan.cost
    solved = solve(scenario, seconds=2.1, deterministic=True)
    assert {o.id: o.late_min > 0 for o in solved.orders} == {"cheap": False, "dear": True}


@pytest.mark.parametrize("seed", range(3))
def test_what_the_repair_keeps_in_time_stays_in_time(seed: int) -> None:
    scenario = planned(seed, "tiny")
    disturbed = studios.disturbed(scenario, seed, 2)
    mended, promised = repair(disturbed), Promised(disturbed)
    assert mended is not None
    plan = solve(disturbed, seconds=0.7, deterministic=True, seed=seed)
    assert promised.broken(plan) <= promised.broken(mended)


@pytest.mark.parametrize("seed", [2, 5])
def test_a_repair_is_no_dearer_than_planning_afresh(seed: int) -> None:
    """Against what the dispatcher makes afresh by any of its best habits, moves counted."""
    scenario = studios.disturbed(planned(seed, "small"), seed, 1)
    promised = Promised(scenario)
    mended = solve(scenario, seconds=0.7, deterministic=True, seed=seed)
    afresh = [with_costs(scenario, p) for habits in TRIED if (p := dispatch(scenario, habits)) is not None]
    assert promised.price(mended) <= min(map(promised.price, afresh))


def test_a_kiln_that_is_out_for_days_moves_its_firings() -> None:
    scenario = planned(5, "medium")
    kiln = scenario.kilns[0]
    out = replace(kiln, closed=(b.Span(0, 4 * b.DAY),)) if kiln.free_at is not None else kiln
    broken = replace(scenario, kilns=(out, *scenario.kilns[1:]))
    plan = repaired(broken)
    for f in plan.firings:
        if f.kiln == out.id and f.load is not None and out.closed:
            assert plan.task[f.load].start >= 4 * b.DAY
