"""R02: the right moulds, ready and with uses left; set-up, recheck or nothing before the first ball."""

from __future__ import annotations

import pytest

from planner.plan import CastPlan, JobPlan, Plan
from planner.scenario import Scenario, Work
from tests.planner import builders as make
from tests.planner.spec.support import add, at, drop, edit, lasting, lines, studio, week

ALIGN = {"setup": 25, "recheck": 5, "steps": ()}


def bowls(mounted: str | None = None, **given: object) -> Scenario:
    """Bowls whose tool takes 25 min to mount and 5 to check; a day ends at minute 960 (the plan starts at 8:00)."""
    stations = [make.station(mounted=mounted), make.station("jigger")]
    forms = [make.form(**ALIGN), make.form("plate", **ALIGN)]
    moulds = [*make.moulds(4), *make.moulds(2, "plate")]
    return make.scenario(**{"forms": forms, "moulds": moulds, "stations": stations, **given})


def pressing(*presses: tuple[str, int, int, str]) -> Plan:
    """One piece a batch: (mould, start, minutes, station); each is taken out 100 min after its pressing."""
    tasks, batches = [], []
    for i, (mould, start, minutes, station) in enumerate(presses, 1):
        tasks.append(make.task(f"p{i}", "press", start, start + minutes, station=station))
        tasks.append(make.task(f"r{i}", "release", start + minutes + 100 + i, start + minutes + 101 + i))
        form = "plate" if mould.startswith("plate") else "bowl"
        batches.append(make.batch(f"b{i}", form=form, moulds=(mould,), press=f"p{i}", release=f"r{i}"))
    return make.plan(tasks, batches=batches)


FIRST = ("m1", 0)  # mould and start


@pytest.mark.parametrize(("mounted", "minutes"), [(None, 26), ("t-plate", 26), ("t-bowl", 6)])
def test_the_first_press_at_a_station(mounted: str | None, minutes: int) -> None:
    scenario = bowls(mounted)
    assert lines(scenario, pressing((*FIRST, minutes, "jolley"))) == []
    for wrong in {1, 6, 26} - {minutes}:
        found = lines(scenario, pressing((*FIRST, wrong, "jolley")))
        assert found == [f"R02 batch b1: press lasts {wrong} min, its work says {minutes}"]


@pytest.mark.parametrize("wrong", [25, 27])
def test_a_press_is_no_minute_shorter_or_longer(wrong: int) -> None:
    found = lines(bowls(), pressing((*FIRST, wrong, "jolley")))
    assert found == [f"R02 batch b1: press lasts {wrong} min, its work says 26"]


def test_the_same_tool_on_the_same_day_needs_nothing() -> None:
    assert lines(bowls(), pressing((*FIRST, 26, "jolley"), ("m2", 959, 1, "jolley"))) == []


def test_the_same_tool_on_the_next_day_is_checked() -> None:
    scenario = bowls()
    assert lines(scenario, pressing((*FIRST, 26, "jolley"), ("m2", 960, 6, "jolley"))) == []
    found = lines(scenario, pressing((*FIRST, 26, "jolley"), ("m2", 960, 1, "jolley")))
    assert found == ["R02 batch b2: press lasts 1 min, its work says 6"]


def test_the_day_of_a_press_is_the_day_it_starts() -> None:
    # pressed from 959, before midnight, into the next day
    plan = pressing(("m1", 959, 26, "jolley"), ("m2", 990, 6, "jolley"))
    assert lines(bowls(), plan) == []


def test_a_mounted_tool_is_checked_once() -> None:
    plan = pressing((*FIRST, 6, "jolley"), ("m2", 10, 1, "jolley"))
    assert lines(bowls("t-bowl"), plan) == []


def test_another_tool_in_between_calls_for_a_set_up() -> None:
    plan = pressing((*FIRST, 26, "jolley"), ("plate-1", 30, 26, "jolley"), ("m2", 60, 26, "jolley"))
    assert lines(bowls(), plan) == []


def test_two_forms_with_one_tool_share_its_set_up() -> None:
    forms = [make.form(**ALIGN), make.form("plate", **{**ALIGN, "tool": "t-bowl"})]
    assert lines(bowls(forms=forms), pressing((*FIRST, 26, "jolley"), ("plate-1", 30, 1, "jolley"))) == []


def test_each_station_has_its_own_tool() -> None:
    scenario = bowls()
    assert lines(scenario, pressing((*FIRST, 26, "jolley"), ("m2", 30, 26, "jigger"))) == []
    found = lines(scenario, pressing((*FIRST, 26, "jolley"), ("m2", 30, 1, "jigger")))
    assert found == ["R02 batch b2: press lasts 1 min, its work says 26"]


def test_other_work_at_the_station_does_not_count() -> None:
    scenario = bowls(jobs=[make.job(station="jolley")])
    plan = pressing((*FIRST, 26, "jolley"), ("m2", 70, 1, "jolley"))
    plan = add(plan, "tasks", make.task("t9", "job", 30, 60, station="jolley"))
    assert lines(scenario, add(plan, "jobs", JobPlan("j1", "t9"))) == []


def test_the_first_piece_is_reckoned_without_the_fixed_minutes() -> None:
    # pressed 0 to 25 + 10 + ceil(1 x 90 / 60) = 37; first piece at 0 + 25 + 2 = 27; out by 27 + 200 = 227
    forms = [make.form(**{**ALIGN, "press": Work(10, 90), "release_after": (60, 200)}), make.form("plate", **ALIGN)]
    plan = pressing((*FIRST, 37, "jolley"))
    assert lines(bowls(forms=forms), at(plan, r1=226)) == []
    assert lines(bowls(forms=forms), at(plan, r1=227)) == ["R03 batch b1: taken out 1 min too late"]


def test_a_mould_is_ready_at_the_start_of_the_press_task() -> None:
    plan = pressing(("m1", 30, 26, "jolley"))
    assert lines(bowls(moulds=[make.mould(ready=30)]), plan) == []
    found = lines(bowls(moulds=[make.mould(ready=31)]), plan)
    assert found == ["R02 batch b1: pressed 1 min before mould m1 is ready"]


def test_as_many_different_moulds_as_pieces() -> None:
    for moulds in (("m1",), ("m1", "m2", "m3")):
        found = lines(studio(moulds=make.moulds(3)), edit(week(), "batches", "b1", moulds=moulds))
        assert found == [f"R02 batch b1: 2 pieces in {len(moulds)} moulds"]
    found = lines(studio(), edit(week(), "batches", "b1", moulds=("m1", "m1")))
    assert found == ["R02 batch b1: names a mould twice"]


def test_a_mould_of_another_form() -> None:
    plan = edit(pressing((*FIRST, 26, "jolley")), "batches", "b1", moulds=("plate-1",))
    assert lines(bowls(), plan) == ["R02 batch b1: mould plate-1 is of another form"]


def test_a_mould_that_there_is_not() -> None:
    found = lines(studio(), edit(week(), "batches", "b1", moulds=("m1", "m7")))
    assert found == ["R02 batch b1: there is no mould m7"]


def test_a_form_that_there_is_not() -> None:
    found = lines(bowls(), edit(pressing((*FIRST, 26, "jolley")), "batches", "b1", form="jug"))
    assert "R02 batch b1: there is no form jug" in found


@pytest.mark.parametrize(("uses", "broken"), [(2, []), (1, ["R02 mould m1: pressed 2 times, 1 uses left"])])
def test_a_mould_is_pressed_as_often_as_it_has_uses(uses: int, broken: list[str]) -> None:
    # out at 128, rested at 188
    plan = pressing((*FIRST, 26, "jolley"), ("m1", 300, 1, "jolley"))
    assert lines(bowls(moulds=[make.mould(uses_left=uses)]), plan) == broken


def with_cast(press_start: int, **given: object) -> tuple[Scenario, Plan]:
    """A mould poured 0-30, lifted 80-90, dry for 100 min, and pressed twice from ``press_start`` on."""
    cast = make.cast(**{"dry": 100, **given})
    plan = pressing(("c1", press_start, 26, "jolley"), ("c1", press_start + 300, 1, "jolley"))
    tasks = (make.task("pour", "pour", 0, 30), make.task("lift", "lift", 80, 90))
    return bowls(casts=[cast]), add(add(plan, "tasks", *tasks), "casts", CastPlan("c1", "pour", "lift"))


def test_a_new_mould_is_pressed_once_it_is_dry() -> None:
    assert lines(*with_cast(190)) == []
    assert lines(*with_cast(189)) == ["R02 batch b1: pressed 1 min before mould c1 is ready"]


def test_a_new_mould_has_uses_too() -> None:
    assert lines(*with_cast(190, uses=2)) == []
    assert lines(*with_cast(190, uses=1)) == ["R02 mould c1: pressed 2 times, 1 uses left"]


def test_a_mould_that_is_not_poured_cannot_be_pressed() -> None:
    scenario, plan = with_cast(190)
    plan = drop(drop(drop(plan, "casts", "c1"), "tasks", "pour"), "tasks", "lift")
    assert lines(scenario, plan) == [f"R02 batch b{i}: mould c1 is not poured and lifted" for i in (1, 2)]


def test_no_press_task_of_no_pieces() -> None:
    plan = edit(lasting(week(), press=1, release=1, trim=1), "batches", "b1", count=0, moulds=())
    assert "R02 batch b1: 0 pieces" in lines(studio(), plan)
