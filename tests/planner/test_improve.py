"""Improving: sub-models reckon as the rules do, and whatever comes out is valid and cheaper."""

from __future__ import annotations

import random
from dataclasses import replace
from itertools import permutations
from pathlib import Path

import pytest

from planner import jsonio
from planner.bench.studios import lifelike, strange
from planner.bound import lower_bound
from planner.checks import check
from planner.clocks import WallClock, WorkClock
from planner.costs import with_costs
from planner.dispatch import Habits, dispatch, first_plan
from planner.improve import Finds, improve
from planner.model.polish.build import build
from planner.model.polish.freed import Freed
from planner.model.polish.loop import polish, step
from planner.model.polish.neighbourhoods import WAYS, Picker
from planner.model.running import run
from planner.plan import Part, Plan
from planner.promised import Promised
from planner.resequence import resequence
from planner.scenario import Scenario
from planner.search import search
from planner.values import Span
from tests.planner import builders as b
from tests.planner.published import flow_shop

EXAMPLES = ("tiny", "small", "small-repair", "spoiled", "busy", "medium")


def _clock(seconds: float) -> WallClock:
    return WallClock(seconds)


def _cost_in_model(scenario: Scenario, plan: Plan, freed: Freed) -> int:
    """What the sub-model says ``plan`` is priced at: its hints, and nothing else, taken for its values."""
    status, solver = run(build(scenario, plan, freed).sub.m, 10, quick=True, fix_hints=True)
    assert solver.status_name(status) in ("OPTIMAL", "FEASIBLE"), freed
    return round(solver.objective_value)


@pytest.mark.parametrize("way", WAYS)
@pytest.mark.parametrize("name", EXAMPLES)
def test_a_sub_model_holds_the_plan_at_its_cost(examples: Path, name: str, way: str) -> None:
    scenario = jsonio.read_scenario((examples / f"{name}.json").read_bytes())
    plan = jsonio.read_plan((examples / f"{name}.plan.json").read_bytes())
    plan = with_costs(scenario, plan)
    held = 0
    for seed in range(4):
        freed = Picker(scenario, plan, random.Random(seed)).pick(way, 1 + seed % 3)
        if freed is not None:
            assert _cost_in_model(scenario, plan, freed) == Promised(scenario).price(plan)
            held += 1
    assert held > 0


def test_a_lot_may_name_a_source_twice() -> None:
    """The kiln holds the same bowl as two wares; a lot that takes of both names ``now:a`` twice."""
    scenario = b.scenario(
        forms=(b.form(),),
        orders=(b.order("o1", qty=5),),
        kilns=(b.kiln(programs=[b.program("glost")], free_at=None),),
        wip=(b.in_kiln("w1", count=3, fired_stage="bisque"), b.in_kiln("w2", count=2, fired_stage="bisque")),
        weights=b.weights(late=1),
    )
    plan = first_plan(scenario)
    assert plan is not None
    (lot,) = plan.lots
    twice = replace(lot, sources=(Part("now:a", 3), Part("now:a", 2)))
    plan = with_costs(scenario, replace(plan, lots=(twice,)))
    assert check(scenario, plan) == []
    freed = Freed(Span(0, scenario.horizon), lots=frozenset({lot.id}), contents=True)
    assert _cost_in_model(scenario, plan, freed) == Promised(scenario).price(plan)


@pytest.mark.parametrize("seed", range(16))
def test_a_step_gives_a_valid_cheaper_plan_at_the_cost_it_saw(seed: int) -> None:
    """On odd studios of all kinds; the plan goes on from step to step, so that odd states come up too."""
    scenario = strange(seed)
    plan = first_plan(scenario)
    if plan is None:
        assert any(not p.hours for p in scenario.people) or scenario.jobs or scenario.wip or scenario.casts
        return
    chance = random.Random(seed)
    for n in range(8):
        freed = Picker(scenario, plan, chance).pick(WAYS[n % len(WAYS)], chance.choice((1, 2)))
        if freed is None:
            continue
        assert _cost_in_model(scenario, plan, freed) == Promised(scenario).price(plan)
        result = step(scenario, plan, freed, _clock(0.4), n)
        assert result.why in ("", "moulds", "slow")
        if result.plan is not None:
            assert [str(v) for v in check(scenario, result.plan)] == []
            assert result.plan.cost < plan.cost
            plan = result.plan
    assert lower_bound(scenario) <= plan.cost


def test_a_replan_counts_moves_in_the_model_too() -> None:
    """A fresh plan against the one before, some of whose tasks are pinned."""
    scenario = lifelike(7, "tiny")
    before = first_plan(scenario)
    assert before is not None
    again = replace(scenario, previous=before, pins=tuple(t.id for t in before.tasks[::5]))
    fresh = dispatch(again, Habits(press_until=0, jobs_late=False))
    assert fresh is not None
    plan = with_costs(again, fresh)
    assert plan.costs["move"] > 0
    assert plan.costs["pin"] > 0
    held = 0
    for seed in range(12):
        freed = Picker(again, plan, random.Random(seed)).pick(WAYS[seed % len(WAYS)])
        if freed is not None:
            assert _cost_in_model(again, plan, freed) == Promised(again).price(plan)
            held += 1
    assert held > 6


def _two_small_loads() -> tuple[Scenario, Plan]:
    """Two bowls glazed at different minutes, each fired alone for 50 kWh although one load has room for both."""
    scenario = b.scenario(
        forms=(b.form(),),
        kilns=(b.kiln(programs=[b.program("glost", kwh=50)]),),
        orders=(b.order("o1", due=4000), b.order("o2", due=4000)),
        wip=(b.glazed("w1", order="o1"), b.glazed("w2", order="o2", at=30)),
        weights=b.weights(late=1, kwh=1),
    )
    tasks = [
        b.task("t1", "load", 0, 10), b.task("t2", "unload", 700, 710), b.task("t3", "finish", 710, 711),
        b.task("t4", "load", 711, 721), b.task("t5", "unload", 1400, 1410), b.task("t6", "finish", 1410, 1411),
    ]  # fmt: skip
    one = {"kiln": "a", "program": "glost"}
    plan = b.plan(
        tasks,
        firings=(
            b.firing("f1", load="t1", fire=10, unload="t2", pieces=b.parts(w1=1), **one),
            b.firing("f2", load="t4", fire=721, unload="t5", pieces=b.parts(w2=1), **one),
        ),
        finishes=(
            b.finish("n1", order="o1", source="f1", task="t3"),
            b.finish("n2", order="o2", source="f2", task="t6"),
        ),
    )
    return scenario, with_costs(scenario, plan)


def test_polishing_fires_once_what_was_fired_twice() -> None:
    """50 kWh instead of 50 + 50, both orders still in time."""
    scenario, plan = _two_small_loads()
    assert check(scenario, plan) == []
    assert plan.cost == 50 + 50
    finds = Finds(scenario, plan, lambda _: None)
    polish(scenario, finds, _clock(4), 0, lambda: None)
    assert finds.best.cost == 50
    assert finds.refused == 0
    assert check(scenario, finds.best) == []


def test_what_is_fixed_stays_where_it_is() -> None:
    scenario, plan = _two_small_loads()
    freed = Freed(Span(0, 4000), firings=frozenset({"f2"}), finishes=frozenset({"n2"}), contents=True)
    result = step(scenario, plan, freed, _clock(2), 0)
    assert result.plan is None  # the only gain would be to put w2 into f1, which is fixed
    assert result.solved


@pytest.mark.parametrize("seed", range(4))
def test_the_search_gives_valid_plans_that_are_not_dearer(seed: int) -> None:
    scenario = lifelike(seed, "tiny")
    first = first_plan(scenario)
    assert first is not None
    found: list[Plan] = []
    result = search(scenario, first, _clock(1), seed, found.append)
    assert result.tries > 1
    assert result.best.cost <= first.cost
    assert all(check(scenario, p) == [] for p in found)


def _late(times: tuple[int, ...], weight: tuple[int, ...], due: tuple[int, ...]) -> int:
    """The least weighted lateness of one person's line, by trying all orders of work."""
    best = 10**9
    for order in permutations(range(len(times))):
        at = cost = 0
        for i in order:
            at += times[i]
            cost += weight[i] * max(0, at - due[i])
        best = min(best, cost)
    return best


@pytest.mark.parametrize("seed", range(3))
def test_resequencing_finds_the_best_line_of_seven(seed: int) -> None:
    chance = random.Random(seed)
    times = tuple(chance.randint(3, 30) for _ in range(7))
    weight = tuple(chance.randint(1, 9) for _ in range(7))
    due = tuple(chance.randint(10, sum(times)) for _ in range(7))
    scenario = b.scenario(
        forms=tuple(b.form(f"f{i}", finish=b.work(t)) for i, t in enumerate(times)),
        orders=tuple(b.order(f"o{i}", form=f"f{i}", due=due[i], weight=weight[i]) for i in range(7)),
        wip=tuple(b.fired(f"w{i}", form=f"f{i}", order=f"o{i}") for i in range(7)),
        weights=b.weights(late=1),
    )
    plan = first_plan(scenario)
    assert plan is not None
    finds = Finds(scenario, plan, lambda _: None)
    resequence(scenario, plan, _clock(1.5), seed, finds.offer)
    assert finds.best.cost == _late(times, weight, due)
    assert check(scenario, finds.best) == []


def _improved(scenario: Scenario, units: float) -> Plan:
    """What a child makes of the first plan."""
    plan = first_plan(scenario)
    assert plan is not None
    sent = [plan]
    improve(
        scenario, plan, WorkClock(units), seed=0, number=0, found=sent.append, phase=lambda _: None, news=lambda: None
    )
    return sent[-1]


def test_ware_that_the_dispatcher_gives_up_is_saved_where_it_can_be() -> None:
    """Johnson's flow shop of five (1954) takes 47 minutes in the best order: then nothing need be given up.

    With one minute less one batch has to go, and one alone.
    """
    turn, join = [4, 4, 30, 6, 2], [5, 1, 4, 30, 3]
    for horizon, lost in ((47, 0), (46, 1)):
        plan = _improved(flow_shop(turn, join, horizon), 1)
        assert len(plan.spoiled) == plan.costs["spoil"] == lost


def test_finds_sends_only_valid_plans() -> None:
    scenario, plan = _two_small_loads()
    sent: list[Plan] = []
    finds = Finds(scenario, plan, sent.append)
    wrong = replace(plan, tasks=tuple(replace(t, person="nobody") for t in plan.tasks), cost=1)
    assert finds.offer(wrong) is False
    finds.send()
    assert sent == []
    assert finds.refused == 1
