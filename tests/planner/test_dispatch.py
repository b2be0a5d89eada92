"""The first plan: always valid, never dearer than the hand rule, and minute for minute where the way is plain."""

from __future__ import annotations

import json
import random
import subprocess
import sys
import time
from dataclasses import fields, replace
from pathlib import Path

import pytest

from planner.bench import studios
from planner.checks import check
from planner.core import placement_of
from planner.costs import with_costs
from planner.dispatch import Habits, dispatch, first_plan
from planner.dispatch.vary import CHOICES
from planner.jsonio import read_scenario
from planner.plan import Plan
from planner.scenario import Scenario
from tests.planner import builders as b
from tests.planner.conftest import BENCH, EXAMPLES, ROOT

STUDIOS = sorted(p for p in EXAMPLES.glob("*.json") if ".plan." not in p.name and p.name != "index.json")
HAND = {k: v["hand"] for k, v in json.loads((BENCH / "bench.json").read_bytes()).items()}


def sound(scenario: Scenario, plan: Plan | None) -> Plan:
    """The plan, once the checker has nothing to say against it."""
    assert plan is not None, "no plan"
    assert [str(v) for v in check(scenario, plan)] == []
    return plan


def minutes_of(plan: Plan) -> list[tuple[str, int, int]]:
    return [(t.kind, t.start, t.end) for t in sorted(plan.tasks, key=lambda t: t.start)]


@pytest.mark.parametrize("path", STUDIOS, ids=lambda p: p.stem)
def test_worked_scenarios(path: Path) -> None:
    scenario = read_scenario(path.read_bytes())
    sound(scenario, first_plan(scenario))


@pytest.mark.parametrize("name", sorted(HAND))
def test_no_dearer_than_the_hand_rule(name: str, record_property: pytest.RecordProperty) -> None:
    """The hand rule: each morning press what the earliest order needs, fire what is there (costs in bench.json)."""
    scenario = read_scenario((BENCH / f"{name}.json").read_bytes())
    began = time.perf_counter()
    plan = sound(scenario, first_plan(scenario))
    record_property("seconds", round(time.perf_counter() - began, 3))
    record_property("of_hand", round(plan.cost / HAND[name], 2))
    assert plan.cost <= HAND[name]


@pytest.mark.parametrize("load", [0.7, 1.0, 1.3, 1.6])
@pytest.mark.parametrize("size", ["tiny", "small", "medium", "large"])
@pytest.mark.parametrize("seed", [1, 2])
def test_lifelike_studios(size: str, load: float, seed: int) -> None:
    scenario = studios.lifelike(seed, size, None, load)
    sound(scenario, first_plan(scenario))


@pytest.mark.parametrize("seed", range(80))
def test_strange_studios_get_a_valid_plan_or_none(seed: int) -> None:
    scenario = studios.strange(seed)
    plan = first_plan(scenario)
    if plan is not None:
        sound(scenario, plan)


def test_most_strange_studios_get_a_plan() -> None:
    got = [first_plan(studios.strange(seed)) is not None for seed in range(80)]
    assert sum(got) >= 60


@pytest.mark.parametrize("seed", range(40))
def test_all_habits_give_valid_plans(seed: int) -> None:
    r = random.Random(seed)
    scenario = studios.lifelike(seed, r.choice(["tiny", "small"]), None, r.choice([0.8, 1.2]))
    n = len(scenario.orders)
    habits = Habits(
        **{name: r.choice(values) for name, values in CHOICES.items()},
        order_pull=tuple(r.choice([0.1, 1, 8]) for _ in range(r.randrange(n + 2))),
        due_shift=tuple(r.randrange(-9000, 9000) for _ in range(r.randrange(n + 2))),
        firing_pull=tuple(r.choice([0.1, 1, 8]) for _ in range(r.randrange(12))),
    )
    sound(scenario, with_costs(scenario, dispatch(scenario, habits)))


def test_the_search_knows_only_habits_that_there_are() -> None:
    assert set(CHOICES) <= {f.name for f in fields(Habits)}


def test_the_same_scenario_gives_the_same_plan() -> None:
    path = BENCH / "small-202.json"
    one, two = (first_plan(read_scenario(path.read_bytes())) for _ in range(2))
    assert one == two


def test_it_needs_no_solver() -> None:
    code = "import sys, planner.dispatch, planner.repair, planner.reasons; print('ortools' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "False"


def test_one_bowl_takes_the_shortest_way() -> None:
    """Press 0-1, out 60 min after, dry for 60, two firings of 10 + 300 + 300 + 10, a minute of glaze, dry for 60."""
    scenario = b.bisque_and_back(weights=b.weights(late=1), orders=[b.order(due=0)])
    plan = sound(scenario, first_plan(scenario))
    out = 1 + 60
    load = out + 1 + 60
    drawn = load + 10 + 300 + 300
    glaze = drawn + 10
    again = glaze + 1 + 60
    last = again + 10 + 600
    assert minutes_of(plan) == [
        ("press", 0, 1),
        ("release", out, out + 1),
        ("load", load, load + 10),
        ("unload", drawn, drawn + 10),
        ("glaze", glaze, glaze + 1),
        ("load", again, again + 10),
        ("unload", last, last + 10),
        ("finish", last + 10, last + 11),
    ]


def test_a_mould_filled_in_the_afternoon_is_covered_overnight() -> None:
    """Open it would have to come out at 421-901, when nobody is there; covered it may wait till the morning."""
    scenario = b.bisque_and_back(
        weights=b.weights(late=1),
        people=[b.person(hours=[(300, 400), (1000, 1400), (2440, 2900), (3880, 4400)])],
        forms=[b.form(release_after=(120, 600))],
        moulds=b.moulds(1, ready=300),
        orders=[b.order(due=0)],
    )
    batch = sound(scenario, first_plan(scenario)).batches[0]
    assert batch.covered_in_mould


def test_nothing_is_pressed_that_nobody_is_owed() -> None:
    scenario = b.bisque_and_back(orders=[b.order(qty=3)], moulds=b.moulds(20), weights=b.weights(late=1))
    assert sum(x.count for x in sound(scenario, first_plan(scenario)).batches) == 3


def test_ware_under_way_is_used_before_more_is_pressed() -> None:
    wip = [b.drying(count=2), b.bisqued(count=3), b.glazed(count=1), b.fired(count=1)]
    scenario = b.bisque_and_back(
        orders=[b.order(qty=9)], moulds=b.moulds(20), wip=wip, weights=b.weights(late=1)
    )
    plan = sound(scenario, first_plan(scenario))
    assert sum(x.count for x in plan.batches) == 9 - 2 - 3 - 1 - 1
    assert sum(x.count for x in plan.finishes) == 9


def test_nothing_is_added_to_a_rack_that_stands_over_full() -> None:
    scenario = b.bisque_and_back(
        racks=b.Racks(10, 2, 10),
        wip=[b.drying(count=30, dry_at=b.HORIZON)],
        orders=[b.order(qty=50, due=0)],
        weights=b.weights(late=1),
    )
    assert sound(scenario, first_plan(scenario)).batches == ()


def test_a_kiln_is_fired_to_make_room_for_a_batch_that_must_come_out() -> None:
    """25 pieces stand on 3 boards of a rack for 2: the batch in the mould has no board until they are in the kiln."""
    scenario = b.bisque_and_back(
        racks=b.Racks(0, 2, 10),
        moulds=[b.mould(ready=None)],
        wip=[b.drying(count=25), b.in_mould()],
        orders=[b.order(qty=26, due=3000)],
        weights=b.weights(late=1, spoil=10),
    )
    plan = sound(scenario, first_plan(scenario))
    assert plan.spoiled == ()
    assert plan.firings[0].load is not None


def test_a_batch_that_nobody_can_take_out_in_time_is_given_up() -> None:
    scenario = b.bisque_and_back(
        people=[b.person(hours=[(1000, 2000)])],
        moulds=[b.mould(ready=None)],
        wip=[b.in_mould(until=900)],
        weights=b.weights(spoil=10),
    )
    plan = sound(scenario, first_plan(scenario))
    assert plan.spoiled == ("w-in",)
    assert plan.batches[0].release is not None


def test_without_hands_for_what_must_be_done_there_is_no_plan() -> None:
    scenario = b.bisque_and_back(people=[b.person(hours=[(700, 900)])], jobs=[b.job(window=(0, 600))])
    assert first_plan(scenario) is None


def test_two_tight_jobs_and_a_wide_one_find_their_places() -> None:
    """Taken by their windows' ends alone the wide job would stand in the way of a tight one."""
    jobs = [b.job("tight", minutes=60, window=(0, 60)), b.job("late", minutes=60, window=(120, 180)), b.job("wide")]
    scenario = b.scenario(people=[b.person(hours=[(0, 180)])], jobs=[replace(j) for j in jobs])
    plan = sound(scenario, first_plan(scenario))
    at = {j.id: plan.task[j.task].start for j in plan.jobs}
    assert (at["tight"], at["late"]) == (0, 120)
    assert 60 <= at["wide"] <= 90


def test_a_given_core_stays_where_it_is() -> None:
    scenario = read_scenario((EXAMPLES / "medium.json").read_bytes())
    wip = tuple(w for w in scenario.wip if w.stage in ("in_mould", "released") or (w.stage == "firing" and not w.order))
    bare = replace(scenario, orders=(), wip=wip)
    made = dispatch(bare)
    assert made is not None
    core = placement_of(made)
    scenario = replace(bare, orders=scenario.orders)
    plan = sound(scenario, with_costs(scenario, dispatch(scenario, core=core)))
    assert set(core.tasks) <= set(plan.tasks)
    assert set(core.batches) <= set(plan.batches)
    assert len(plan.tasks) > len(core.tasks) > 4
