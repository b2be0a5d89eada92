"""The solver as its callers see it: time, stopping, progress, statuses, and no solver library where none belongs."""

from __future__ import annotations

import json
import subprocess
import sys
import time
from pathlib import Path

import pytest

from planner import jsonio
from planner.checks import check
from planner.plan import COST_NAMES
from planner.scenario import Scenario
from planner.solve import Progress, solve
from tests.planner import builders as b

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture
def scenario(examples: Path) -> Scenario:
    return jsonio.read_scenario((examples / "small.json").read_bytes())


def _modules_after(program: str, *args: object) -> set[str]:
    """The modules that a fresh Python has loaded after ``program``."""
    end = "\nimport sys, json; print(json.dumps(sorted(sys.modules)))"
    command = [sys.executable, "-c", program + end, *map(str, args)]
    run = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, timeout=60, check=True)
    return set(json.loads(run.stdout))


@pytest.mark.parametrize("seconds", [0, 2])
def test_the_parent_never_loads_the_solver_library(examples: Path, seconds: int) -> None:
    program = (
        "import sys, pathlib\nfrom planner import jsonio\nfrom planner.solve import solve\n"
        "plan = solve(jsonio.read_scenario(pathlib.Path(sys.argv[1]).read_bytes()), seconds=int(sys.argv[2]))\n"
        "assert plan.status == 'feasible' and plan.tasks\n"
    )
    loaded = _modules_after(program, examples / "tiny.json", seconds)
    assert "planner.solve" in loaded
    assert {"ortools", "numpy", "pandas"} & loaded == set()


def test_only_the_models_import_the_solver_library() -> None:
    """Every other module of the planner is imported; none of them brings it along."""
    modules = [
        ".".join(p.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__")
        for p in sorted((ROOT / "planner").rglob("*.py"))
        if "model" not in p.parts and p.name != "__main__.py"
    ]
    assert "planner.child" in modules
    assert "ortools" not in _modules_after("\n".join(f"import {m}" for m in modules))


def test_no_seconds_give_the_first_plan_alone(monkeypatch: pytest.MonkeyPatch, scenario: Scenario) -> None:
    def refuse() -> list[str]:
        raise AssertionError("a child was started")

    monkeypatch.setattr("planner.helper.child_command", refuse)
    plan = solve(scenario, seconds=0)
    assert plan.status == "feasible"
    assert check(scenario, plan) == []


@pytest.mark.parametrize("seconds", [0, 0.5, 2, 4])
def test_wall_clock_stays_within_the_seconds_and_two(scenario: Scenario, seconds: float) -> None:
    begun = time.monotonic()
    plan = solve(scenario, seconds=seconds)
    assert time.monotonic() - begun <= seconds + 2
    assert check(scenario, plan) == []


@pytest.mark.parametrize("after", [0.2, 1.5, 4.0])
def test_a_stop_gives_the_best_plan_so_far_at_once(scenario: Scenario, after: float) -> None:
    begun = time.monotonic()
    plan = solve(scenario, seconds=60, should_stop=lambda: time.monotonic() - begun >= after)
    assert time.monotonic() - begun <= after + 2
    assert plan.status == "feasible"
    assert plan.diagnostics["stopped"] is True
    assert check(scenario, plan) == []


def test_progress_tells_ever_cheaper_plans(scenario: Scenario) -> None:
    told: list[Progress] = []
    plan = solve(scenario, seconds=3, on_progress=told.append)
    costs = [p.cost for p in told if p.cost is not None]
    assert costs == sorted(costs, reverse=True)
    assert told[0].phase == "first"
    assert told[-1].phase == "done"
    assert told[-1].cost == plan.cost
    assert told[-1].costs == plan.costs
    assert told[-1].firings == sum(f.load is not None for f in plan.firings)
    assert told[-1].late_orders == sum(o.late_min > 0 for o in plan.orders)


def test_more_seconds_are_never_dearer_than_none(scenario: Scenario) -> None:
    assert solve(scenario, seconds=3).cost <= solve(scenario, seconds=0).cost


def test_what_cannot_be_cheaper_is_optimal_at_once() -> None:
    """Nothing is owed and nothing must be done: the empty plan costs 0, which is the bound."""
    plan = solve(b.scenario(orders=()), seconds=30)
    assert (plan.status, plan.cost, plan.bound) == ("optimal", 0, 0)
    assert plan.diagnostics["seconds"] < 10


def test_a_job_that_nobody_can_do_is_proven_infeasible() -> None:
    ill = b.scenario(people=(b.person(hours=[(0, 60)]),), jobs=(b.job("talk", minutes=30, window=(100, 200)),))
    plan = solve(ill, seconds=5)
    assert plan.status == "infeasible"
    assert plan.tasks == ()
    assert plan.costs == dict.fromkeys(COST_NAMES, 0)
    assert [r.things for r in plan.reasons] == [{"job": "talk"}]
    assert check(ill, plan) == []


def test_without_time_for_the_proof_it_is_unknown() -> None:
    """Each job has a place alone; that both have none takes the exact model."""
    jobs = [b.job(x, minutes=30, window=(0, 50)) for x in ("talk", "post")]
    ill = b.scenario(people=(b.person(hours=[(0, 50)]),), jobs=jobs)
    assert solve(ill, seconds=0).status == "unknown"


def test_one_thing_without_any_place_is_proof_enough_at_once() -> None:
    ill = b.scenario(people=(b.person(hours=[(0, 60)]),), jobs=(b.job("talk", minutes=30, window=(100, 200)),))
    plan = solve(ill, seconds=0)
    assert (plan.status, [r.code for r in plan.reasons]) == ("infeasible", ["job_window"])
