"""R03: out of the mould when it is firm enough and before it dries on; then the mould rests."""

from __future__ import annotations

from dataclasses import replace

import pytest

from planner.plan import Plan
from planner.scenario import Scenario
from tests.planner import builders as make
from tests.planner.spec.support import add, at, edit, lines


def pressed(covered: bool = False, **form: object) -> tuple[Scenario, Plan]:
    """Two bowls pressed 0-2 (the first at 1), out again 100-102."""
    scenario = make.bisque_and_back(forms=[make.form(**form)], orders=())
    tasks = [make.task("press", "press", 0, 2, station="jolley"), make.task("release", "release", 100, 102)]
    batch = make.batch(moulds=("m1", "m2"), press="press", release="release", covered_in_mould=covered)
    return scenario, make.plan(tasks, batches=[batch])


# not before the end of pressing 2 + 60; done by the first piece 1 + 600
@pytest.mark.parametrize("start", [62, 599])
def test_out_inside_the_window(start: int) -> None:
    scenario, plan = pressed()
    assert lines(scenario, at(plan, release=start)) == []


@pytest.mark.parametrize(("start", "what"), [(61, "early"), (600, "late")])
def test_out_a_minute_outside_the_window(start: int, what: str) -> None:
    scenario, plan = pressed()
    assert lines(scenario, at(plan, release=start)) == [f"R03 batch b1: taken out 1 min too {what}"]


# covered: not before 2 + 600; done by 1 + 1400
@pytest.mark.parametrize("start", [602, 1399])
def test_out_inside_the_covered_window(start: int) -> None:
    scenario, plan = pressed(covered=True)
    assert lines(scenario, at(plan, release=start)) == []


@pytest.mark.parametrize(("start", "what"), [(601, "early"), (1400, "late")])
def test_out_a_minute_outside_the_covered_window(start: int, what: str) -> None:
    scenario, plan = pressed(covered=True)
    assert lines(scenario, at(plan, release=start)) == [f"R03 batch b1: taken out 1 min too {what}"]


def test_a_form_that_is_never_covered() -> None:
    scenario, plan = pressed(covered=True, release_after_covered=None)
    found = lines(scenario, at(plan, release=700))
    assert found == ["R03 batch b1: this form is never covered in the mould"]


def in_mould(**given: object) -> tuple[Scenario, Plan]:
    """A bowl pressed from -60 to -30 (the first at -50) in mould m1, out again 100-101."""
    moulds = [make.mould(ready=None), make.mould("m2")]
    scenario = make.bisque_and_back(moulds=moulds, orders=(), wip=[make.in_mould(**given)])
    batch = make.batch("w-in", release="release", covered_in_mould=bool(given.get("covered")))
    return scenario, make.plan([make.task("release", "release", 100, 101)], batches=[batch])


# not before -30 + 60 = 30; done by -50 + 600 = 550, or by the person's word
@pytest.mark.parametrize(
    ("given", "first", "last"),
    [({}, 30, 549), ({"until": 700}, 30, 699), ({"until": 200}, 30, 199), ({"covered": True}, 570, 1349)],
)
def test_what_is_in_a_mould_now(given: dict[str, object], first: int, last: int) -> None:
    scenario, plan = in_mould(**given)
    assert lines(scenario, at(plan, release=first)) == []
    assert lines(scenario, at(plan, release=last)) == []
    assert lines(scenario, at(plan, release=first - 1)) == ["R03 batch w-in: taken out 1 min too early"]
    assert lines(scenario, at(plan, release=last + 1)) == ["R03 batch w-in: taken out 1 min too late"]


def test_what_is_given_up_has_no_latest_minute_but_an_earliest() -> None:
    scenario, plan = in_mould(until=40)
    plan = replace(plan, spoiled=("w-in",))
    assert lines(scenario, at(plan, release=30)) == []
    assert lines(scenario, at(plan, release=5000)) == []
    assert lines(scenario, at(plan, release=29)) == ["R03 batch w-in: taken out 1 min too early"]


def again(plan: Plan, press_start: int) -> Plan:
    """Another bowl is pressed in mould m1."""
    tasks = (
        make.task("press9", "press", press_start, press_start + 1, station="jolley"),
        make.task("release9", "release", press_start + 100, press_start + 101),
    )
    return add(add(plan, "tasks", *tasks), "batches", make.batch("b9", press="press9", release="release9"))


@pytest.mark.parametrize("spoiled", [(), ("w-in",)])
def test_a_mould_rests_after_what_is_in_it_now(spoiled: tuple[str, ...]) -> None:
    scenario, plan = in_mould()
    plan = replace(plan, spoiled=spoiled)
    assert lines(scenario, again(plan, 161)) == []  # 101 + 60
    found = lines(scenario, again(plan, 160))
    assert found == ["R03 mould m1: b9 pressed 1 min before it has rested from w-in"]


def test_a_mould_rests_between_two_pressings() -> None:
    scenario, plan = pressed()
    assert lines(scenario, again(plan, 162)) == []  # 102 + 60
    found = lines(scenario, again(plan, 161))
    assert found == ["R03 mould m1: b9 pressed 1 min before it has rested from b1"]


def test_a_mould_without_rest_is_pressed_again_at_once() -> None:
    scenario, plan = pressed(mould_rest=0)
    assert lines(scenario, again(plan, 102)) == []
    assert "R03 mould m1: b9 pressed 1 min before it has rested from b1" in lines(scenario, again(plan, 101))


def test_a_mould_that_is_never_emptied_is_not_pressed_again() -> None:
    scenario, plan = in_mould()
    plan = edit(again(plan, 400), "batches", "w-in", release=None)
    assert "R03 mould m1: b9 pressed while w-in is in it" in lines(scenario, plan)
