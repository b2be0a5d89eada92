"""The window of each task against the checker: every start inside is allowed, a minute outside breaks a rule."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import cache

import pytest

from planner.checks import check
from planner.checks.boards import RACKS, rack_levels
from planner.costs import with_costs
from planner.facts import Facts
from planner.jsonio import read_plan, read_scenario
from planner.plan import CastPlan, Plan, Task
from planner.rules import Rule
from planner.scenario import Boards, Racks, Scenario
from planner.windows import TaskWindow, windows
from tests.planner import builders as make
from tests.planner.conftest import EXAMPLES
from tests.planner.spec.support import at, edit, lines, studio, week


@cache
def example(name: str) -> tuple[Scenario, Plan]:
    scenario = read_scenario((EXAMPLES / f"{name}.json").read_bytes())
    return scenario, read_plan((EXAMPLES / f"{name}.plan.json").read_bytes())


def tight(scenario: Scenario, plan: Plan) -> Scenario:
    """The scenario with racks that the plan just fills."""
    found = rack_levels(Facts(scenario, plan))
    return replace(scenario, racks=Racks(**{r: max([0, *(x.boards for x in found[r])]) for r in RACKS}))


def alone(scenario: Scenario, plan: Plan) -> tuple[Scenario, Plan]:
    """Each task has a person of its own, so that nobody is in anybody's way."""
    people = tuple(make.person(f"p-{t.id}", hours=[(0, scenario.horizon)]) for t in plan.tasks)
    tasks = tuple(replace(t, person=f"p-{t.id}") for t in plan.tasks)
    jobs = tuple(replace(j, person=None) for j in scenario.jobs)
    return replace(scenario, people=people, jobs=jobs), replace(plan, tasks=tasks)


def refused(scenario: Scenario, plan: Plan, task: Task, start: int) -> list[str]:
    tasks = tuple(replace(t, start=start, end=start + t.end - t.start) if t.id == task.id else t for t in plan.tasks)
    return [str(v) for v in check(scenario, replace(plan, tasks=tasks)) if v.rule is not Rule.R14]


def cases() -> Iterator[tuple[str, Scenario, Plan]]:
    for name in ("tiny", "spoiled", "small", "busy", "medium"):
        scenario, plan = example(name)
        yield f"{name} with full racks", tight(scenario, plan), plan
        if name == "medium":
            continue
        yield name, scenario, plan
        own_scenario, own_plan = alone(scenario, plan)
        yield f"{name} with many hands", own_scenario, own_plan
        yield f"{name} with many hands and full racks", tight(own_scenario, own_plan), own_plan


CASES = list(cases())


def starts(window: TaskWindow, task: Task) -> tuple[int, int]:
    return window.earliest, window.latest - (task.end - task.start)


@pytest.mark.parametrize(("name", "scenario", "plan"), CASES, ids=[c[0] for c in CASES])
def test_the_ends_of_each_window_are_sharp(name: str, scenario: Scenario, plan: Plan) -> None:
    assert check(scenario, with_costs(scenario, plan)) == []
    found = windows(scenario, plan)
    assert set(found) == {t.id for t in plan.tasks}
    for task in plan.tasks:
        first, last = starts(found[task.id], task)
        assert first <= task.start <= last
        for start in {first, last}:
            assert refused(scenario, plan, task, start) == [], f"{task} at {start}"
        for start in (first - 1, last + 1):
            assert refused(scenario, plan, task, start), f"{task} at {start}"


@pytest.mark.parametrize("name", ["tiny", "tiny with full racks", "spoiled with full racks"])
def test_every_start_inside_a_window_is_allowed(name: str) -> None:
    scenario, plan = next((s, p) for n, s, p in CASES if n == name)
    for task in plan.tasks:
        first, last = starts(windows(scenario, plan)[task.id], task)
        for start in range(first, last + 1):
            assert refused(scenario, plan, task, start) == [], f"{task} at {start}"


@pytest.mark.parametrize("name", ["tiny with many hands and full racks", "busy with many hands and full racks"])
def test_starts_all_over_a_wide_window_are_allowed(name: str) -> None:
    scenario, plan = next((s, p) for n, s, p in CASES if n == name)
    found = windows(scenario, plan)
    for task in plan.tasks:
        first, last = starts(found[task.id], task)
        for start in range(first, last + 1, max(1, (last - first) // 12)):
            assert refused(scenario, plan, task, start) == [], f"{task} at {start}"


# --- the week of two bowls: which rule ends each window -------------------------------------------------------------

LAST = make.HORIZON


def test_the_week_of_two_bowls() -> None:
    scenario, plan = alone(studio(), week())
    assert lines(scenario, plan) == []
    found = windows(scenario, plan)
    # (earliest start, latest end) with the rule that sets it
    assert found == {
        "press": TaskWindow(0, 10),  # now; taken out at 70, 60 after (R03)
        "release": TaskWindow(62, 100),  # pressed by 2, 60 after (R03); turned at 100 (R04)
        "trim": TaskWindow(72, 140),  # taken out by 72 (R04); packed at 200, 60 after (R06)
        "load": TaskWindow(162, 250),  # turned by 102, 60 after (R06); lit at 250 (R07)
        "unload": TaskWindow(850, 1000),  # lit at 250, cool after 600 (R07); glazed at 1000 (R09)
        "glaze": TaskWindow(910, 1040),  # drawn by 910; packed at 1100, 60 after (R09)
        "load2": TaskWindow(1062, 1150),  # glazed by 1002, 60 after (R09); lit at 1150 (R07)
        "unload2": TaskWindow(1750, 1900),  # lit at 1150, cool after 600 (R07); sorted at 1900 (R10)
        "finish": TaskWindow(1810, LAST),  # drawn by 1810 (R10); the horizon
        "pour": TaskWindow(2080 - 240 - 30, 2080 - 45),  # lifted at 2080 (R11)
        "lift": TaskWindow(2030 + 45, 2030 + 240 + 10),  # poured by 2030 (R11)
        "job": TaskWindow(0, 600),  # its own window (R13)
    }


def only(name: str, scenario: Scenario, plan: Plan) -> TaskWindow:
    assert lines(scenario, plan) == []
    return windows(scenario, plan)[name]


def test_hands_that_have_other_work() -> None:
    scenario = studio(people=[make.person(hours=[(0, 320), (320, 345), (346, LAST)])])
    assert only("job", scenario, week()) == TaskWindow(210, 345)  # the load is in at 210; nobody is there at 345


def test_the_latest_minute_out_of_the_mould() -> None:
    scenario, plan = alone(studio(), at(week(), press=0, release=590, trim=1100, load=1180))
    scenario = replace(scenario, horizon=LAST)
    late = edit(edit(plan, "firings", "f1", fire=1200), "tasks", "unload", start=1900, end=1910)
    late = replace(late, firings=late.firings[:1], lots=(), finishes=())
    late = replace(late, tasks=tuple(t for t in late.tasks if t.id not in ("glaze", "load2", "unload2", "finish")))
    # the first piece at 1: out by 601; turned by 1102, at most 600 after 590
    assert only("release", scenario, late) == TaskWindow(1102 - 600, 601)
    assert only("press", scenario, late) == TaskWindow(0, 590 - 60)
    assert only("trim", scenario, late) == TaskWindow(592, 1180 - 60)


def test_a_press_stays_on_its_side_of_midnight() -> None:
    """Midnight is at 960. The second press has a recheck of 5 min, for it is on the next day."""
    scenario = make.bisque_and_back(
        forms=[make.form(recheck=5)], orders=(), people=[make.person(x) for x in ("a", "b", "c", "d")]
    )
    tasks = [
        make.task("p1", "press", 900, 901, "a", "jolley"),
        make.task("r1", "release", 1300, 1301, "b"),
        make.task("p2", "press", 1000, 1006, "c", "jolley"),
        make.task("r2", "release", 1400, 1401, "d"),
    ]
    batches = [make.batch(f"b{i}", moulds=(f"m{i}",), press=f"p{i}", release=f"r{i}") for i in (1, 2)]
    plan = make.plan(tasks, batches=batches)
    assert only("p1", scenario, plan).latest == 960  # starts at 959
    assert only("p2", scenario, plan).earliest == 960
    same_day = at(plan, p1=970)
    same_day = edit(same_day, "tasks", "p2", end=1001)
    assert only("p1", scenario, same_day).earliest == 960
    assert only("p2", scenario, same_day).latest == 1340  # out at 1400, 60 after


def test_a_board_that_is_free_only_now() -> None:
    """A rack for one board: the second bowl is taken out when the first is packed (300) or later."""
    form = make.form(boards=Boards(1, 1))
    people = [make.person(x) for x in ("a", "b", "c")]
    scenario = make.bisque_and_back(forms=[form], orders=(), people=people, racks=Racks(0, 1, 0))
    tasks = [
        make.task("p1", "press", 0, 1, "a", "jolley"),
        make.task("r1", "release", 70, 71, "b"),
        make.task("p2", "press", 10, 11, "a", "jolley"),
        make.task("r2", "release", 320, 321, "b"),
        make.task("load", "load", 300, 310, "c"),
        make.task("unload", "unload", 1000, 1010, "c"),
    ]
    batches = [make.batch(f"b{i}", moulds=(f"m{i}",), press=f"p{i}", release=f"r{i}") for i in (1, 2)]
    f1 = make.firing(program="bisque", load="load", fire=400, unload="unload", pieces=make.parts(b1=1))
    plan = make.plan(tasks, batches=batches, firings=[f1])
    assert only("r2", scenario, plan) == TaskWindow(300, 611)
    assert only("load", scenario, plan) == TaskWindow(131, 330)  # it starts by 320
    assert only("load", replace(scenario, racks=Racks(0, 2, 0)), plan) == TaskWindow(131, 400)


def test_a_frame_that_another_mould_is_in() -> None:
    casts = [make.cast("c1", holds=["frame"]), make.cast("c2", holds=["frame"])]
    scenario = make.scenario(casts=casts, forms=[make.form()], people=[make.person(x) for x in "abcd"])
    tasks = [
        make.task("pour1", "pour", 100, 130, "a"),
        make.task("lift1", "lift", 200, 210, "b"),
        make.task("pour2", "pour", 230, 260, "c"),
        make.task("lift2", "lift", 320, 330, "d"),
    ]
    plan = make.plan(tasks, casts=[CastPlan("c1", "pour1", "lift1"), CastPlan("c2", "pour2", "lift2")])
    assert only("lift1", scenario, plan) == TaskWindow(175, 230)
    assert only("pour2", scenario, plan) == TaskWindow(210, 275)


def test_windows_of_a_plan_that_breaks_rules_hold_its_times() -> None:
    plan = at(week(), trim=20, load=5, unload=6, lift=9000)
    found = windows(studio(), plan)
    for task in plan.tasks:
        assert found[task.id].earliest <= task.start
        assert found[task.id].latest >= task.end
