"""Repeating a plan: the same scenario, seed and work give the same file, however busy the machine is."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

from planner.checks import check
from planner.clocks import WallClock, WorkClock
from planner.dispatch import first_plan
from planner.jsonio import read_plan, read_scenario
from planner.search import search
from planner.solve import solve
from tests.planner import builders as b

ROOT = Path(__file__).resolve().parents[2]
WORK = "2.1"  # units: enough for some neighbourhoods of the polish


def _begun(out: Path, examples: Path, seed: int, hashing: int) -> subprocess.Popen[bytes]:
    """A deterministic solve on the command line, in a Python whose sets have an order of their own."""
    command = [sys.executable, "-m", "planner", "solve", str(examples / "tiny.json"), "-o", str(out)]
    command += ["--deterministic", "--seconds", WORK, "--seed", str(seed)]
    return subprocess.Popen(
        command, cwd=ROOT, env={**os.environ, "PYTHONHASHSEED": str(hashing)}, stdout=subprocess.DEVNULL
    )


def test_the_same_work_gives_the_same_file_on_any_load(examples: Path, tmp_path: Path) -> None:
    """Once alone; then with a busy loop beside it, and with sets in another order."""
    quiet, busy = tmp_path / "quiet.json", tmp_path / "busy.json"
    assert _begun(quiet, examples, 4, 1).wait(timeout=90) == 0
    loop = subprocess.Popen([sys.executable, "-c", "while True: pass"])
    try:
        assert _begun(busy, examples, 4, 2).wait(timeout=90) == 0
    finally:
        loop.kill()
        loop.wait()
    assert quiet.read_bytes() == busy.read_bytes()
    scenario = read_scenario((examples / "tiny.json").read_bytes())
    plan = read_plan(quiet.read_bytes())
    assert check(scenario, plan) == []
    assert plan.cost <= solve(scenario, seconds=0).cost
    assert "notes" not in plan.diagnostics


def test_another_seed_searches_another_way(examples: Path) -> None:
    """Among three seeds there are two plans at least: a seed that changed nothing would be no seed."""
    scenario = read_scenario((examples / "small.json").read_bytes())
    first = first_plan(scenario)
    assert first is not None
    tried: set[int] = set()
    for seed in range(3):
        paths: list[int] = []
        search(scenario, first, WorkClock(0.2), seed, lambda plan, paths=paths: paths.append(plan.cost))
        tried.add(hash(tuple(paths)))
    assert len(tried) > 1


def test_no_work_is_the_first_plan_alone(examples: Path) -> None:
    scenario = read_scenario((examples / "tiny.json").read_bytes())
    plan, first = solve(scenario, seconds=0, deterministic=True), solve(scenario, seconds=0)
    assert (plan.tasks, plan.cost) == (first.tasks, first.cost)


def test_what_cannot_be_placed_is_proven_in_work_too() -> None:
    """Each job has a place alone; that both have none takes the exact model."""
    jobs = [b.job(x, minutes=30, window=(0, 50)) for x in ("talk", "post")]
    ill = b.scenario(people=(b.person(hours=[(0, 50)]),), jobs=jobs)
    assert solve(ill, seconds=3, deterministic=True).status == "infeasible"


def test_a_clock_of_work_moves_by_what_is_spent_alone() -> None:
    clock = WorkClock(10)
    half = clock.share(0.5)
    little = half.within(1)
    little.spend(0.75)
    assert (clock.left(), half.left(), little.left()) == (9.25, 4.25, 0.25)
    half.spend(5)
    assert (clock.left(), half.left(), little.left()) == (4.25, 0, 0)
    clock.stop.set()
    assert clock.left() == 0


def test_a_clock_on_the_wall_takes_no_notice_of_work() -> None:
    clock = WallClock(1000)
    clock.share(0.5).spend(990)
    assert 900 < clock.left() <= 1000
    assert clock.within(5).left() <= 5
    clock.stop.set()
    assert clock.share(0.5).left() == 0
