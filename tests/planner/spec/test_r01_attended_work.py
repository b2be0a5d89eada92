"""R01: one person who is there and can do it, at the right station, for as long as the work takes."""

from __future__ import annotations

from dataclasses import replace

import pytest

from planner.plan import JobPlan
from planner.scenario import Scenario, Work
from tests.planner import builders as make
from tests.planner.spec.support import TASKS, add, at, drop, edit, lasting, lines, studio, week

JOB = make.plan([make.task("t1", "job", 60, 90)], jobs=[JobPlan("j1", "t1")])
SORT = make.plan([make.task("t1", "finish", 0, 5)], finishes=[make.finish(count=5, task="t1")])


def only_job(**given: object) -> Scenario:
    return make.scenario(**{"jobs": [make.job()], **given})


def only_sorting(**given: object) -> Scenario:
    """Five bowls of an order came out of the glost long ago."""
    wip = [make.fired(count=5, at=-100)]
    return make.bisque_and_back(**{"orders": [make.order(qty=5)], "wip": wip, **given})


def test_the_whole_way_of_two_bowls_is_valid() -> None:
    assert lines(studio(), week()) == []


@pytest.mark.parametrize("start", [60, 90])
def test_a_task_may_fill_the_edges_of_the_hours(start: int) -> None:
    assert lines(only_job(people=[make.person(hours=[(60, 120)])]), at(JOB, t1=start)) == []


@pytest.mark.parametrize("start", [59, 91])
def test_a_minute_outside_the_hours_is_refused(start: int) -> None:
    found = lines(only_job(people=[make.person(hours=[(60, 120)])]), at(JOB, t1=start))
    assert found == [f"R01 task t1: ansa is not there {start}-{start + 30}"]


def test_hours_and_extra_that_touch_are_one() -> None:
    assert lines(only_job(people=[make.person(hours=[(60, 75)], extra=[(75, 90)])]), JOB) == []


def test_a_minute_between_hours_and_extra_parts_them() -> None:
    found = lines(only_job(people=[make.person(hours=[(60, 75)], extra=[(76, 90)])]), JOB)
    assert found == ["R01 task t1: ansa is not there 60-90"]


def test_a_person_does_only_what_she_can() -> None:
    assert lines(only_job(people=[make.person(skills=["job"])]), JOB) == []
    found = lines(only_job(people=[make.person(skills=["press"])]), JOB)
    assert found == ["R01 task t1: ansa does not do job"]


def test_nobody_of_that_name() -> None:
    assert lines(only_job(), edit(JOB, "tasks", "t1", person="bryn")) == ["R01 task t1: nobody is called bryn"]


def test_one_task_at_a_time() -> None:
    scenario = make.scenario(jobs=[make.job("j1"), make.job("j2")])
    plan = add(add(JOB, "tasks", make.task("t2", "job", 90, 120)), "jobs", JobPlan("j2", "t2"))
    assert lines(scenario, plan) == []
    assert lines(scenario, at(plan, t2=89)) == ["R01 person ansa: t1 and t2 at once"]


def test_a_short_task_inside_a_long_one_is_found_past_its_neighbour() -> None:
    jobs = [make.job("j1", minutes=100), make.job("j2"), make.job("j3")]
    tasks = [make.task("t1", "job", 0, 100), make.task("t2", "job", 10, 40), make.task("t3", "job", 60, 90)]
    plan = make.plan(tasks, jobs=[JobPlan("j1", "t1"), JobPlan("j2", "t2"), JobPlan("j3", "t3")])
    found = lines(make.scenario(jobs=jobs), plan)
    assert found == ["R01 person ansa: t1 and t2 at once", "R01 person ansa: t1 and t3 at once"]


def test_two_people_work_at_once() -> None:
    scenario = make.scenario(jobs=[make.job("j1"), make.job("j2")], people=[make.person(), make.person("bryn")])
    plan = add(add(JOB, "tasks", make.task("t2", "job", 60, 90, person="bryn")), "jobs", JobPlan("j2", "t2"))
    assert lines(scenario, plan) == []


def test_nothing_starts_before_now() -> None:
    scenario = only_sorting(people=[make.person(hours=[(-10, 100)])])
    assert lines(scenario, SORT) == []
    assert lines(scenario, at(SORT, t1=-1)) == ["R01 task t1: starts 1 min before now"]


def test_nothing_ends_after_the_last_minute() -> None:
    scenario = only_sorting(horizon=100, people=[make.person(hours=[(0, 200)])])
    assert lines(scenario, at(SORT, t1=95)) == []
    assert lines(scenario, at(SORT, t1=96)) == ["R01 task t1: ends 1 min after the plan's last minute"]


def test_a_served_kind_names_one_of_its_stations() -> None:
    benches = [make.station(), *(make.station(x, kinds=["finish"]) for x in ("bench", "table"))]
    scenario = only_sorting(stations=benches)
    for right in ("bench", "table"):
        assert lines(scenario, edit(SORT, "tasks", "t1", station=right)) == []
    assert lines(scenario, SORT) == ["R01 task t1: finish names no station"]
    for wrong in ("jolley", "attic"):
        found = lines(scenario, edit(SORT, "tasks", "t1", station=wrong))
        assert found == [f"R01 task t1: finish is not done at {wrong}"]


def test_a_kind_that_no_station_serves_names_none() -> None:
    found = lines(only_sorting(), edit(SORT, "tasks", "t1", station="jolley"))
    assert found == ["R01 task t1: names a station for nothing"]


def test_a_job_is_done_at_its_own_station() -> None:
    scenario = only_job(jobs=[make.job(station="jolley")])
    assert lines(scenario, edit(JOB, "tasks", "t1", station="jolley")) == []
    assert lines(scenario, JOB) == ["R01 task t1: job names no station"]


def test_a_job_for_one_person() -> None:
    scenario = only_job(jobs=[make.job(person="bryn")], people=[make.person(), make.person("bryn")])
    assert lines(scenario, edit(JOB, "tasks", "t1", person="bryn")) == []
    assert lines(scenario, JOB) == ["R01 task t1: job j1 is for bryn, not ansa"]


def bench(**given: object) -> Scenario:
    return only_job(jobs=[make.job(station="bench")], stations=[make.station("bench", **{"kinds": ["x"], **given})])


AT_BENCH = edit(JOB, "tasks", "t1", station="bench")


def test_a_station_is_used_from_the_minute_it_is_free() -> None:
    assert lines(bench(free_at=60), AT_BENCH) == []
    assert lines(bench(free_at=61), AT_BENCH) == ["R01 task t1: bench is free 1 min later"]


@pytest.mark.parametrize("closed", [(0, 60), (90, 100)])
def test_a_station_is_used_up_to_its_closed_span(closed: tuple[int, int]) -> None:
    assert lines(bench(closed=[closed]), AT_BENCH) == []


@pytest.mark.parametrize("closed", [(0, 61), (89, 100), (70, 80)])
def test_nothing_is_done_at_a_closed_station(closed: tuple[int, int]) -> None:
    found = lines(bench(closed=[closed]), AT_BENCH)
    assert found == [f"R01 task t1: bench is closed {closed[0]}-{closed[1]}"]


def test_one_task_at_a_time_at_a_station() -> None:
    scenario = bench()
    scenario = replace(
        scenario,
        jobs=(make.job("j1", station="bench"), make.job("j2", station="bench")),
        people=(make.person(), make.person("bryn")),
    )
    second = make.task("t2", "job", 90, 120, person="bryn", station="bench")
    plan = add(add(AT_BENCH, "tasks", second), "jobs", JobPlan("j2", "t2"))
    assert lines(scenario, plan) == []
    assert lines(scenario, at(plan, t2=89)) == ["R01 station bench: t1 and t2 at once"]


def test_a_reference_leads_to_a_task_of_its_kind() -> None:
    assert lines(only_job(), edit(JOB, "jobs", "j1", task="t9")) == [
        "R01 job j1: no job task t9",
        "R01 task t1: serves nothing",
    ]
    assert "R01 job j1: no job task t1" in lines(only_job(), edit(JOB, "tasks", "t1", kind="finish"))


def test_a_task_serves_one_thing() -> None:
    scenario = make.scenario(jobs=[make.job("j1"), make.job("j2")])
    found = lines(scenario, add(JOB, "jobs", JobPlan("j2", "t1")))
    assert found == ["R01 task t1: serves job j1 and job j2"]


def test_a_task_serves_something() -> None:
    found = lines(only_job(), add(JOB, "tasks", make.task("t2", "job", 90, 120)))
    assert found == ["R01 task t2: serves nothing"]


def test_two_tasks_have_two_ids() -> None:
    found = lines(only_job(), add(JOB, "tasks", make.task("t1", "job", 90, 120)))
    assert found == ["R01 task t1: two tasks have this id"]


@pytest.mark.parametrize("name", [n for n in TASKS if n not in ("press", "glaze")])  # these are R02's and R09's
@pytest.mark.parametrize("more", [-1, 1])
def test_a_task_lasts_what_its_work_says(name: str, more: int) -> None:
    kind, start, end, _ = TASKS[name]
    found = lines(studio(), lasting(week(), **{name: end - start + more}))
    assert found == [f"R01 task {name}: {kind} lasts {end - start + more} min, its work says {end - start}"]


# minutes = fixed + ceil(pieces x seconds / 60), at least 1
@pytest.mark.parametrize(
    ("work", "minutes"),
    [(Work(0, 0), 1), (Work(0, 12), 1), (Work(0, 13), 2), (Work(3, 12), 4), (Work(3, 0), 3), (Work(0, 60), 5)],
)
def test_minutes_are_rounded_up_for_all_pieces_together(work: Work, minutes: int) -> None:
    scenario = only_sorting(forms=[make.form(finish=work)])
    assert lines(scenario, lasting(SORT, t1=minutes)) == []
    found = lines(scenario, lasting(SORT, t1=minutes + 1))
    assert found == [f"R01 task t1: finish lasts {minutes + 1} min, its work says {minutes}"]


def test_a_task_does_not_end_before_it_starts() -> None:
    assert "R01 task t1: ends before it starts" in lines(only_job(), lasting(JOB, t1=-5))


def test_dropping_a_task_names_what_needs_it() -> None:
    for name, (kind, *_) in TASKS.items():
        assert any(f": no {kind} task {name}" in line for line in lines(studio(), drop(week(), "tasks", name)))
