"""R06: nothing is packed for bisque before it is bone-dry."""

from __future__ import annotations

import pytest

from planner.plan import Plan
from planner.scenario import Scenario
from tests.planner import builders as make
from tests.planner.spec.support import at, drop, edit, lines, studio, week


def test_a_batch_dries_from_the_end_of_its_last_step() -> None:
    # turned by 102, dry 60 min later
    assert lines(studio(), at(week(), load=162)) == []
    assert lines(studio(), at(week(), load=161)) == ["R06 f1: b1 loaded 1 min before it is dry"]


def test_a_batch_without_steps_dries_from_the_end_of_taking_out() -> None:
    # taken out by 72
    plan = drop(edit(week(), "batches", "b1", steps=()), "tasks", "trim")
    assert lines(studio({"steps": ()}), at(plan, load=132)) == []
    assert lines(studio({"steps": ()}), at(plan, load=131)) == ["R06 f1: b1 loaded 1 min before it is dry"]


def loading(source: str, load: int = 100) -> Plan:
    tasks = [make.task("load", "load", load, load + 10), make.task("unload", "unload", load + 900, load + 910)]
    pieces = [make.Part(source, 1)]
    f1 = make.firing(program="bisque", load="load", fire=load + 20, unload="unload", pieces=pieces)
    return make.plan(tasks, firings=[f1])


def dries(*wip: object) -> Scenario:
    form = make.form(steps=[make.step("trim"), make.step("join")])
    return make.bisque_and_back(forms=[form], orders=(), wip=wip)


def test_drying_ware_has_its_minute() -> None:
    assert lines(dries(make.drying(dry_at=100)), loading("w-dry")) == []
    found = lines(dries(make.drying(dry_at=101)), loading("w-dry"))
    assert found == ["R06 f1: w-dry loaded 1 min before it is dry"]


@pytest.mark.parametrize(("done", "left"), [(0, ("trim", "join")), (1, ("join",))])
def test_leather_hard_ware_dries_from_the_end_of_what_is_left(done: int, left: tuple[str, ...]) -> None:
    # the join ends at 31
    plan = loading("w-out", 91)
    tasks = [make.task(kind, kind, start, start + 1) for kind, start in (("trim", 20), ("join", 30)) if kind in left]
    plan = make.plan(
        [*plan.tasks, *tasks], batches=[make.batch("w-out", moulds=(), count=1, steps=left)], firings=plan.firings
    )
    scenario = dries(make.released(steps_done=done))
    assert lines(scenario, plan) == []
    assert lines(scenario, at(plan, load=90)) == ["R06 f1: w-out loaded 1 min before it is dry"]
