"""The must-do core: its exact model, the lemma that it alone decides feasibility, and what it says is in the way."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from planner import jsonio
from planner.bench.studios import strange
from planner.checks import check
from planner.clocks import WallClock
from planner.core import CoreVerdict, bare_plan, must
from planner.costs import with_costs
from planner.dispatch import first_plan
from planner.model.core_model import build, decide, placement
from planner.model.running import run
from planner.plan import Batch, Plan
from planner.scenario import InMould, Released, Scenario
from planner.solve import solve
from tests.planner import builders as b

SEEDS = range(24)


def _left_alone(scenario: Scenario, plan: Plan) -> Plan:
    """The tasks of the core that ``plan`` holds, everything that may be spoiled spoiled, and nothing else."""
    core = must(scenario)
    firings = tuple(f for f in plan.firings if f.load is None)
    casts = tuple(c for c in plan.casts if c.id in {x.id for x in core.casts})
    batches = tuple(_spoiled(scenario, x) for x in plan.batches if x.press is None)
    wanted = {t for f in firings for t in (f.unload,)} | {t for c in casts for t in (c.pour, c.lift)}
    wanted |= {x.release for x in batches} | {j.task for j in plan.jobs}
    spoiled = [x.id for x in batches] + [c.id for c in scenario.casts if c.poured is not None]
    bare = replace(
        plan, tasks=tuple(t for t in plan.tasks if t.id in wanted), batches=batches, firings=firings, casts=casts,
        lots=(), finishes=(), spoiled=tuple(spoiled), reasons=(),
    )  # fmt: skip
    return with_costs(scenario, bare)


def _spoiled(scenario: Scenario, batch: Batch) -> Batch:
    assert isinstance(scenario.ware[batch.id], InMould | Released)
    return replace(batch, steps=(), covered=False)


@pytest.mark.parametrize("seed", SEEDS)
def test_every_valid_plan_holds_a_core_that_is_valid_alone(seed: int) -> None:
    """The lemma, "only if": what a valid plan does of the core is a valid plan when all else is left out."""
    scenario = strange(seed)
    plan = first_plan(scenario)
    if plan is None:
        assert decide(scenario, WallClock(10)).verdict == "infeasible"
    else:
        assert check(scenario, plan) == []
        assert check(scenario, _left_alone(scenario, plan)) == []


@pytest.mark.parametrize("seed", SEEDS)
def test_every_placed_core_is_a_valid_plan(seed: int) -> None:
    """The lemma, "if": place only what cannot be given up, spoil the rest, add nothing."""
    scenario = strange(seed)
    core = build(scenario, must(scenario), spoil_all=True)
    status, solver = run(core.model, 10)
    verdict = decide(scenario, WallClock(10))
    if solver.status_name(status) == "INFEASIBLE":
        assert verdict.verdict == "infeasible"
        assert verdict.reasons
        return
    assert solver.status_name(status) in ("OPTIMAL", "FEASIBLE")
    assert verdict.verdict == "feasible"
    bare = bare_plan(placement(core, solver, scenario))
    given_up = [w.id for w in scenario.wip if isinstance(w, Released)]
    given_up += [c.id for c in scenario.casts if c.poured is not None]
    left_out = tuple(
        Batch(w.id, w.form, w.count, (), None, None, (), False, False) for w in scenario.wip if isinstance(w, Released)
    )
    bare = replace(bare, batches=(*bare.batches, *left_out), spoiled=(*bare.spoiled, *given_up))
    assert [str(v) for v in check(scenario, with_costs(scenario, bare))] == []


@pytest.mark.parametrize("seed", SEEDS)
def test_the_core_that_keeps_what_it_can_is_a_valid_plan(seed: int) -> None:
    scenario = strange(seed)
    verdict = decide(scenario, WallClock(10))
    assert verdict.verdict in ("feasible", "infeasible")
    if verdict.placement is not None:
        assert [str(v) for v in check(scenario, with_costs(scenario, bare_plan(verdict.placement)))] == []


def test_both_verdicts_come_up() -> None:
    verdicts = {decide(strange(seed), WallClock(10)).verdict for seed in SEEDS}
    assert verdicts == {"feasible", "infeasible"}


def test_boards_spoil_a_batch_but_never_the_plan() -> None:
    """The drying rack is full of ware that nobody can load: what comes out of the moulds is given up."""
    bowl = b.form(boards=b.Boards(1, 1))
    full = b.scenario(
        forms=(bowl,),
        moulds=(b.mould(ready=None),),
        racks=b.Racks(0, 2, 0),
        kilns=(b.kiln(closed=[(0, b.HORIZON)]),),
        wip=(b.in_mould(), b.drying(count=2)),
    )
    verdict = decide(full, WallClock(5))
    assert verdict.verdict == "feasible"
    assert verdict.placement is not None
    assert verdict.placement.spoiled == ("w-in",)
    roomy = replace(full, racks=b.Racks(0, 3, 0))
    kept = decide(roomy, WallClock(5)).placement
    assert kept is not None
    assert kept.spoiled == ()


def test_a_rack_that_stands_over_full_takes_nothing() -> None:
    bowl = b.form(boards=b.Boards(1, 1))
    over = b.scenario(
        forms=(bowl,), moulds=(b.mould(ready=None),), racks=b.Racks(0, 2, 0), wip=(b.in_mould(), b.drying(count=5))
    )
    verdict = decide(over, WallClock(5))
    assert verdict.placement is not None
    assert verdict.placement.spoiled == ("w-in",)


def test_the_conflict_names_what_is_in_the_way_and_nothing_else() -> None:
    """Two jobs of 40 minutes want the same hour of one person; the third has all day."""
    jobs = (
        b.job("tea", minutes=40, window=(0, 60)),
        b.job("talk", minutes=40, window=(0, 60)),
        b.job("sweep", minutes=40, window=(0, 1400)),
    )
    ill = b.scenario(jobs=jobs)
    plan = solve(ill, seconds=10)
    assert plan.status == "infeasible"
    assert set(decide(ill, WallClock(5)).reasons[0].things.values()) == {"tea", "talk"}
    for fewer in ((jobs[0], jobs[2]), (jobs[1], jobs[2])):
        assert decide(replace(ill, jobs=fewer), WallClock(5)).verdict == "feasible"


def test_a_verdict_survives_its_way_through_json(examples: Path) -> None:
    scenario = jsonio.read_scenario((examples / "spoiled.json").read_bytes())
    verdict = decide(scenario, WallClock(5))
    assert verdict.placement is not None
    assert verdict.placement.spoiled == ("w03-in_mould",)
    assert CoreVerdict.from_json(verdict.as_json()) == verdict


def test_what_the_dispatcher_cannot_place_the_model_can(monkeypatch: pytest.MonkeyPatch, examples: Path) -> None:
    """The dispatcher gives up: the exact core gives the plan, and the dispatcher builds around it."""
    scenario = jsonio.read_scenario((examples / "small.json").read_bytes())
    monkeypatch.setattr("planner.solve.first_plan", lambda _: None)
    plan = solve(scenario, seconds=4)
    assert plan.status == "feasible"
    assert check(scenario, plan) == []
    assert plan.finishes  # more than the bare core
