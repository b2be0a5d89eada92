"""R11: moulds are lifted inside their window, one at a time in a model or frame, and none that must be is left out."""

from __future__ import annotations

from dataclasses import replace

import pytest

from planner.plan import CastPlan, Plan
from planner.scenario import Scenario
from tests.planner import builders as make
from tests.planner.spec.support import add, at, drop, edit, lines


def pouring(*casts: object) -> Scenario:
    return make.bisque_and_back(orders=(), casts=casts)


def poured(cast: str = "c1", pour: int = 100, lift: int = 200) -> Plan:
    """Poured for 30 min, lifted for 10."""
    tasks = [make.task(f"{cast}-pour", "pour", pour, pour + 30), make.task(f"{cast}-lift", "lift", lift, lift + 10)]
    return make.plan(tasks, casts=[CastPlan(cast, f"{cast}-pour", f"{cast}-lift")])


def both(one: Plan, two: Plan) -> Plan:
    return add(add(one, "tasks", *two.tasks), "casts", *two.casts)


# the lift starts 45 to 240 min after the pour has ended at 130
@pytest.mark.parametrize("lift", [175, 370])
def test_the_lift_starts_inside_its_window(lift: int) -> None:
    assert lines(pouring(make.cast()), poured(lift=lift)) == []


@pytest.mark.parametrize(("lift", "what"), [(174, "early"), (371, "late")])
def test_the_lift_starts_no_minute_outside(lift: int, what: str) -> None:
    found = lines(pouring(make.cast()), poured(lift=lift))
    assert found == [f"R11 cast c1: lifted outside its window, 1 min too {what}"]


def lifted_only(lift: int) -> Plan:
    return make.plan([make.task("lift", "lift", lift, lift + 10)], casts=[CastPlan("c1", None, "lift")])


def test_the_window_of_a_mould_poured_before() -> None:
    scenario = pouring(make.cast(poured=-20))
    assert lines(scenario, lifted_only(25)) == []
    assert lines(scenario, lifted_only(220)) == []
    assert lines(scenario, lifted_only(24)) == ["R11 cast c1: lifted outside its window, 1 min too early"]
    assert lines(scenario, lifted_only(221)) == ["R11 cast c1: lifted outside its window, 1 min too late"]


def test_a_model_serves_one_mould_at_a_time() -> None:
    scenario = pouring(make.cast("c1", holds=["model", "frame-1"]), make.cast("c2", holds=["model", "frame-2"]))
    plan = both(poured("c1"), poured("c2", 210, 300))  # c1 is lifted by 210
    assert lines(scenario, plan) == []
    scenario = replace(scenario, people=(make.person(), make.person("bryn")))
    plan = edit(plan, "tasks", "c2-pour", person="bryn")
    assert lines(scenario, at(plan, **{"c2-pour": 209})) == ["R11 model: c1 and c2 at once"]


def test_two_moulds_that_share_nothing_are_poured_at_once() -> None:
    scenario = pouring(make.cast("c1", holds=["a"]), make.cast("c2", holds=["b"]))
    assert lines(scenario, both(poured("c1"), poured("c2", 130, 230))) == []


def test_a_mould_poured_before_holds_its_frame_from_0() -> None:
    scenario = pouring(make.cast("c1", poured=-20, holds=["frame"]), make.cast("c2", holds=["frame"]))
    plan = both(lifted_only(100), poured("c2", 110, 200))
    assert lines(scenario, plan) == []
    found = lines(scenario, at(plan, **{"c2-pour": 40}))
    assert found == ["R11 frame: c1 and c2 at once"]


def test_what_must_be_poured_is_in_the_plan() -> None:
    assert lines(pouring(make.cast()), make.plan()) == []
    assert lines(pouring(make.cast(required=True)), make.plan()) == ["R11 required cast c1 missing"]


def test_what_was_poured_is_lifted_or_given_up() -> None:
    scenario = pouring(make.cast("c1", poured=-20, holds=["frame"]), make.cast("c2", holds=["frame"]))
    assert lines(scenario, make.plan()) == ["R11 poured cast c1 missing"]
    given_up = replace(make.plan(), spoiled=("c1",))
    assert lines(scenario, given_up) == []
    assert lines(scenario, replace(poured("c2", 0, 80), spoiled=("c1",))) == []  # the frame is free from 0


def test_what_is_given_up_is_not_lifted() -> None:
    found = lines(pouring(make.cast(poured=-20)), replace(lifted_only(100), spoiled=("c1",)))
    assert found == ["R11 cast c1: given up, and lifted"]


def test_a_required_mould_is_given_up_only_if_it_was_poured() -> None:
    given_up = replace(make.plan(), spoiled=("c1",))
    assert lines(pouring(make.cast(poured=-20, required=True)), given_up) == []
    found = lines(pouring(make.cast(required=True)), given_up)
    assert found == ["R11 required cast c1 missing", "R13 c1 cannot be given up"]


def test_poured_once() -> None:
    found = lines(pouring(make.cast(poured=-20)), poured(pour=10, lift=100))
    assert found == ["R11 cast c1: poured before, and poured again"]
    plan = drop(edit(poured(), "casts", "c1", pour=None), "tasks", "c1-pour")
    assert lines(pouring(make.cast()), plan) == ["R11 cast c1: lifted but not poured"]


def test_a_mould_is_in_the_plan_once() -> None:
    plan = both(poured(), edit(poured("c2", 300, 400), "casts", "c2", id="c1"))
    assert "R11 cast c1: in the plan 2 times" in lines(pouring(make.cast()), plan)


def test_a_mould_that_there_is_not() -> None:
    assert lines(pouring(), poured()) == ["R11 cast c1: there is no such cast"]
