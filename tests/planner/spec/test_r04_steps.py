"""R04: leather-hard work in order, not before and not after its window."""

from __future__ import annotations

from dataclasses import replace

import pytest

from planner.plan import Plan
from planner.scenario import Scenario
from tests.planner import builders as make
from tests.planner.spec.support import at, edit, lines

STEPS = (
    make.step("trim", after=(10, 100), after_covered=(20, 3000)),
    make.step("join", after=(15, 200), after_covered=(30, 4000)),
)


def released(covered: bool = False, **form: object) -> tuple[Scenario, Plan]:
    """Two mugs out of the mould 100-102, turned 150-152 and handled 160-162."""
    scenario = make.bisque_and_back(forms=[make.form(**{"steps": STEPS, **form})], orders=())
    tasks = [
        make.task("press", "press", 0, 2, station="jolley"),
        make.task("release", "release", 100, 102),
        make.task("trim", "trim", 150, 152),
        make.task("join", "join", 160, 162),
    ]
    batch = make.batch(moulds=("m1", "m2"), press="press", release="release", steps=("trim", "join"), covered=covered)
    return scenario, make.plan(tasks, batches=[batch])


def test_open_steps_inside_their_windows() -> None:
    scenario, plan = released()
    assert lines(scenario, at(plan, trim=112, join=117)) == []  # 102 + 10, 102 + 15
    assert lines(scenario, at(plan, trim=198, join=298)) == []  # done by 100 + 100 and 100 + 200


@pytest.mark.parametrize(
    ("starts", "text"),
    [
        ({"trim": 111}, "trim 1 min too early"),
        ({"trim": 199, "join": 210}, "trim 1 min too late"),
        ({"trim": 112, "join": 116}, "join 1 min too early"),
        ({"join": 299}, "join 1 min too late"),
    ],
)
def test_open_steps_a_minute_outside(starts: dict[str, int], text: str) -> None:
    scenario, plan = released()
    assert lines(scenario, at(plan, **starts)) == [f"R04 batch b1: {text}"]


def test_covered_steps_inside_their_windows() -> None:
    scenario, plan = released(covered=True)
    assert lines(scenario, at(plan, trim=122, join=132)) == []  # 102 + 20, 102 + 30
    assert lines(scenario, at(plan, trim=3098, join=4098)) == []  # done by 100 + 3000 and 100 + 4000


@pytest.mark.parametrize(
    ("starts", "text"),
    [
        ({"trim": 121}, "trim 1 min too early"),
        ({"trim": 3099, "join": 3200}, "trim 1 min too late"),
        ({"trim": 122, "join": 131}, "join 1 min too early"),
        ({"join": 4099}, "join 1 min too late"),
    ],
)
def test_covered_steps_a_minute_outside(starts: dict[str, int], text: str) -> None:
    scenario, plan = released(covered=True)
    assert lines(scenario, at(plan, **starts)) == [f"R04 batch b1: {text}"]


def test_one_step_after_the_other() -> None:
    people = (make.person(), make.person("bryn"))
    scenario, plan = released()
    scenario, plan = replace(scenario, people=people), edit(plan, "tasks", "join", person="bryn")
    assert lines(scenario, at(plan, trim=150, join=152)) == []
    found = lines(scenario, at(plan, trim=150, join=151))
    assert found == ["R04 batch b1: join starts 1 min before trim has ended"]


def test_a_step_that_cannot_wait_covered() -> None:
    scenario, plan = released(covered=True, steps=(STEPS[0], make.step("join", after_covered=None)))
    assert lines(scenario, plan) == ["R04 batch b1: cannot wait covered for join"]


def test_nothing_to_do_is_not_covered() -> None:
    scenario, plan = released(steps=())
    plan = edit(replace(plan, tasks=plan.tasks[:2]), "batches", "b1", steps=())
    assert lines(scenario, plan) == []
    assert lines(scenario, edit(plan, "batches", "b1", covered=True)) == ["R04 batch b1: covered for nothing"]


def leather_hard(**given: object) -> tuple[Scenario, Plan]:
    """A mug out of the mould from -20 to -10 and turned already; its handle waits."""
    wip = [make.released(**{"steps_done": 1, **given})]
    scenario = make.bisque_and_back(forms=[make.form(steps=STEPS)], orders=(), wip=wip)
    batch = make.batch("w-out", moulds=(), count=1, steps=("join",), covered=bool(given.get("covered")))
    return scenario, make.plan([make.task("join", "join", 50, 51)], batches=[batch])


# open: from -10 + 15 = 5, done by -20 + 200 = 180; covered: from -10 + 30 = 20, done by -20 + 4000 = 3980
@pytest.mark.parametrize(
    ("given", "first", "last"),
    [({}, 5, 179), ({"covered": True}, 20, 3979), ({"until": 90}, 5, 89), ({"until": 500}, 5, 499)],
)
def test_what_is_leather_hard_now(given: dict[str, object], first: int, last: int) -> None:
    scenario, plan = leather_hard(**given)
    assert lines(scenario, at(plan, join=first)) == []
    assert lines(scenario, at(plan, join=last)) == []
    assert lines(scenario, at(plan, join=first - 1)) == ["R04 batch w-out: join 1 min too early"]
    assert lines(scenario, at(plan, join=last + 1)) == ["R04 batch w-out: join 1 min too late"]


def test_the_persons_word_on_a_filled_mould_does_not_bind_the_steps() -> None:
    form = make.form(steps=STEPS[:1])
    wip = [make.in_mould(until=50)]
    scenario = make.scenario(forms=[form], moulds=[make.mould(ready=None)], wip=wip)
    tasks = [make.task("release", "release", 40, 41), make.task("trim", "trim", 139, 140)]
    plan = make.plan(tasks, batches=[make.batch("w-in", release="release", steps=("trim",))])
    assert lines(scenario, plan) == []  # done by 40 + 100
    assert lines(scenario, at(plan, trim=140)) == ["R04 batch w-in: trim 1 min too late"]
