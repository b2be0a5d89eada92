"""R13: what is under way is carried on or given up openly, and other jobs are done in their window."""

from __future__ import annotations

from dataclasses import replace

import pytest

from planner.plan import JobPlan, Plan
from planner.scenario import Scenario
from tests.planner import builders as make
from tests.planner.spec.support import add, at, drop, edit, lines, studio, week


def under_way(*wip: object) -> Scenario:
    form = make.form(steps=[make.step("trim"), make.step("join")])
    moulds = [*make.moulds(2, ready=0 if wip else None), make.mould("m3")]
    return make.scenario(forms=[form], moulds=moulds, wip=wip or (make.in_mould(moulds=("m1", "m2")),))


def carried_on() -> Plan:
    """Two mugs in their moulds are taken out, turned and handled."""
    tasks = [
        make.task("release", "release", 100, 102),
        make.task("trim", "trim", 110, 112),
        make.task("join", "join", 120, 122),
    ]
    batch = make.batch("w-in", moulds=("m1", "m2"), release="release", steps=("trim", "join"))
    return make.plan(tasks, batches=[batch])


def test_what_is_in_moulds_is_carried_on() -> None:
    assert lines(under_way(), carried_on()) == []
    assert lines(under_way(), make.plan()) == ["R13 batch w-in: is not carried on"]


def test_the_moulds_may_be_named_in_any_order() -> None:
    assert lines(under_way(), edit(carried_on(), "batches", "w-in", moulds=("m2", "m1"))) == []


@pytest.mark.parametrize(
    "change",
    [{"form": "jug"}, {"count": 3}, {"moulds": ("m1",)}, {"moulds": ("m1", "m3")}, {"covered_in_mould": True}],
)
def test_what_is_in_moulds_is_listed_as_it_is(change: dict[str, object]) -> None:
    found = lines(under_way(), edit(carried_on(), "batches", "w-in", **change))
    assert found == ["R13 batch w-in: differs from wip"]


def test_what_is_pressed_is_not_pressed_again() -> None:
    plan = edit(carried_on(), "batches", "w-in", press="press")
    plan = add(plan, "tasks", make.task("press", "press", 0, 2, station="jolley"))
    assert lines(under_way(), plan) == ["R13 batch w-in: differs from wip"]


def test_every_batch_is_taken_out() -> None:
    plan = drop(edit(carried_on(), "batches", "w-in", release=None), "tasks", "release")
    assert lines(under_way(), plan) == ["R13 batch w-in: is not taken out"]
    plan = drop(edit(week(), "batches", "b1", release=None), "tasks", "release")
    assert "R13 batch b1: is not taken out" in lines(studio(), plan)


def test_every_batch_goes_through_all_its_steps() -> None:
    plan = drop(edit(carried_on(), "batches", "w-in", steps=("trim",)), "tasks", "join")
    assert lines(under_way(), plan) == ["R13 batch w-in: 1 steps, 2 to do"]
    plan = edit(carried_on(), "batches", "w-in", steps=("trim", "join", "again"))
    plan = add(plan, "tasks", make.task("again", "join", 130, 132))
    assert lines(under_way(), plan) == ["R13 batch w-in: 3 steps, 2 to do"]


def test_a_batch_is_pressed_by_the_plan_or_under_way() -> None:
    plan = add(carried_on(), "batches", make.batch("b9", moulds=("m3",), release="r9", steps=("t9", "j9")))
    tasks = (make.task("r9", "release", 200, 201), make.task("t9", "trim", 210, 211), make.task("j9", "join", 220, 221))
    assert lines(under_way(), add(plan, "tasks", *tasks)) == ["R13 batch b9: neither under way nor pressed by the plan"]


def leather_hard() -> tuple[Scenario, Plan]:
    wip = make.released(steps_done=1, covered=True)
    batch = make.batch("w-out", moulds=(), count=1, steps=("join",), covered=True)
    return under_way(wip), make.plan([make.task("join", "join", 50, 51)], batches=[batch])


def test_what_is_leather_hard_goes_through_what_is_left() -> None:
    scenario, plan = leather_hard()
    assert lines(scenario, plan) == []
    assert lines(scenario, make.plan()) == ["R13 batch w-out: is not carried on"]
    none = drop(edit(plan, "batches", "w-out", steps=()), "tasks", "join")
    assert lines(scenario, none) == ["R13 batch w-out: 0 steps, 1 to do"]


@pytest.mark.parametrize("change", [{"form": "jug"}, {"count": 2}, {"moulds": ("m1",)}, {"covered": False}])
def test_what_is_leather_hard_is_listed_as_it_is(change: dict[str, object]) -> None:
    scenario, plan = leather_hard()
    found = lines(scenario, edit(plan, "batches", "w-out", **change))
    assert found == ["R13 batch w-out: differs from wip"]


def given_up() -> Plan:
    batch = make.batch("w-in", moulds=("m1", "m2"), release="release")
    return make.plan([make.task("release", "release", 100, 102)], batches=[batch], spoiled=["w-in"])


def test_what_is_given_up_in_its_moulds_is_only_taken_out() -> None:
    assert lines(under_way(), given_up()) == []
    plan = drop(edit(given_up(), "batches", "w-in", release=None), "tasks", "release")
    assert lines(under_way(), plan) == ["R13 batch w-in: is not taken out"]
    assert lines(under_way(), replace(carried_on(), spoiled=("w-in",))) == [
        "R13 batch w-in: is given up, and has steps"
    ]
    covered = edit(given_up(), "batches", "w-in", covered=True)
    assert lines(under_way(), covered) == ["R13 batch w-in: is given up, and covered"]


def test_what_is_given_up_leather_hard_has_nothing_left() -> None:
    scenario, _ = leather_hard()
    batch = make.batch("w-out", moulds=(), count=1)
    plan = make.plan(batches=[batch], spoiled=["w-out"])
    assert lines(scenario, plan) == []
    found = lines(scenario, edit(plan, "batches", "w-out", covered=True))
    assert found == ["R13 batch w-out: is given up, and covered"]
    assert lines(scenario, drop(plan, "batches", "w-out")) == ["R13 batch w-out: is not carried on"]


def test_what_is_given_up_feeds_nothing() -> None:
    tasks = (make.task("load", "load", 500, 510), make.task("unload", "unload", 1500, 1510))
    f1 = make.firing(program="bisque", load="load", fire=510, unload="unload", pieces=[make.Part("w-in", 1)])
    plan = add(add(given_up(), "tasks", *tasks), "firings", f1)
    assert lines(under_way(), plan) == ["R13 f1: w-in is given up, and loaded"]


def test_only_what_is_under_way_is_given_up() -> None:
    assert lines(studio(), replace(week(), spoiled=("b1",)))[:1] == ["R13 b1 cannot be given up"]
    for thing in ("c1", "w-dry", "m1", "nothing"):
        scenario = studio(wip=[make.drying()])
        assert lines(scenario, replace(week(), spoiled=(thing,))) == [f"R13 {thing} cannot be given up"]


def test_given_up_once() -> None:
    found = lines(under_way(), replace(given_up(), spoiled=("w-in", "w-in")))
    assert found == ["R13 w-in: given up 2 times"]


CLEAN = make.plan([make.task("t1", "job", 60, 90)], jobs=[JobPlan("j1", "t1")])


@pytest.mark.parametrize("start", [60, 170])
def test_a_job_is_done_inside_its_window(start: int) -> None:
    assert lines(make.scenario(jobs=[make.job(window=(60, 200))]), at(CLEAN, t1=start)) == []


@pytest.mark.parametrize(("start", "what"), [(59, "early"), (171, "late")])
def test_a_job_is_done_no_minute_outside(start: int, what: str) -> None:
    found = lines(make.scenario(jobs=[make.job(window=(60, 200))]), at(CLEAN, t1=start))
    assert found == [f"R13 job j1: 1 min too {what}"]


def test_every_job_is_done_once() -> None:
    scenario = make.scenario(jobs=[make.job()])
    assert lines(scenario, make.plan()) == ["R13 job j1 is not done"]
    twice = add(add(CLEAN, "tasks", make.task("t2", "job", 100, 130)), "jobs", JobPlan("j1", "t2"))
    assert lines(scenario, twice) == ["R13 job j1: in the plan 2 times"]


def test_a_job_that_there_is_not() -> None:
    assert lines(make.scenario(), CLEAN) == ["R13 job j1: there is no such job"]
