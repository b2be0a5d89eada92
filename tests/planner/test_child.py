"""The children of a solve: whatever happens to them, the best plan so far comes back and nobody is left behind."""

from __future__ import annotations

import contextlib
import os
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from planner import helper, jsonio
from planner.checks import check
from planner.scenario import Scenario
from planner.solve import solve

ROOT = Path(__file__).resolve().parents[2]

# Programs that take the child's place. Each is started as the child would be.
CRASHES = "import sys; sys.stdin.readline(); import os; os.abort()"
NO_MEMORY = 'import sys; sys.stdin.readline(); print(\'{"failed": "there was not enough memory"}\', flush=True)'
TALKS_NONSENSE = 'import sys; sys.stdin.readline(); print(\'{"plan": {"format": 1}}\\n[]\\nno json\', flush=True)'
HANGS = "import time; time.sleep(600)"
SHORT = "import sys; sys.exit(3)"


@pytest.fixture
def scenario(examples: Path) -> Scenario:
    return jsonio.read_scenario((examples / "small.json").read_bytes())


def _instead(monkeypatch: pytest.MonkeyPatch, program: str) -> None:
    monkeypatch.setattr(helper, "child_command", lambda: [sys.executable, "-c", program])


def _children() -> list[int]:
    """Processes whose parent is this one."""
    found = []
    for stat in Path("/proc").glob("[0-9]*/stat"):
        with contextlib.suppress(OSError):
            after_name = stat.read_text().rpartition(")")[2].split()
            if int(after_name[1]) == os.getpid() and after_name[0] != "Z":
                found.append(int(stat.parent.name))
    return found


@pytest.fixture(autouse=True)
def nobody_left_behind() -> Iterator[None]:
    before = set(_children())
    yield
    assert set(_children()) <= before


@pytest.mark.parametrize(
    ("program", "note"),
    [
        (CRASHES, "was ended by signal 6"),
        (NO_MEMORY, "gave up: there was not enough memory"),
        (SHORT, "ended with code 3"),
        (TALKS_NONSENSE, "ended with code 0"),
    ],
)
def test_a_child_that_ends_badly_leaves_the_first_plan_and_a_note(
    monkeypatch: pytest.MonkeyPatch, scenario: Scenario, program: str, note: str
) -> None:
    _instead(monkeypatch, program)
    plan = solve(scenario, seconds=3, workers=2)
    assert plan.status == "feasible"
    assert check(scenario, plan) == []
    assert len(plan.diagnostics["notes"]) == 2  # one per child
    assert all(note in n for n in plan.diagnostics["notes"])


def test_a_child_that_hangs_is_ended_in_time(monkeypatch: pytest.MonkeyPatch, scenario: Scenario) -> None:
    _instead(monkeypatch, HANGS)
    begun = time.monotonic()
    plan = solve(scenario, seconds=1, workers=2)
    assert time.monotonic() - begun <= 1 + 2
    assert plan.status == "feasible"
    assert check(scenario, plan) == []


@pytest.mark.skipif(sys.platform != "linux", reason="finds the children in /proc")
@pytest.mark.parametrize("seed", range(5))
def test_kill_9_of_the_children_leaves_the_best_plan_so_far(scenario: Scenario, seed: int) -> None:
    """Killed at a different moment each time: while starting, searching, loading the solver, polishing."""
    before = set(_children())
    first = solve(scenario, seconds=0)

    def kill() -> None:
        until = time.monotonic() + 5
        while len(set(_children()) - before) < 2 and time.monotonic() < until:  # the second one starts a moment later
            time.sleep(0.05)
        time.sleep(0.7 * seed)
        for pid in set(_children()) - before:
            with contextlib.suppress(OSError):
                os.kill(pid, signal.SIGKILL)

    killer = threading.Thread(target=kill)
    killer.start()
    plan = solve(scenario, seconds=12, workers=2, seed=seed)
    killer.join()
    assert plan.status in ("feasible", "optimal")
    assert plan.cost <= first.cost
    assert check(scenario, plan) == []
    assert plan.diagnostics["seconds"] < 11  # it does not wait for the dead
    assert any("signal 9" in n for n in plan.diagnostics["notes"])


def test_no_child_at_all_leaves_the_first_plan(monkeypatch: pytest.MonkeyPatch, scenario: Scenario) -> None:
    monkeypatch.setattr(helper, "child_command", lambda: ["/nowhere/there-is-no-such-program"])
    plan = solve(scenario, seconds=2)
    assert plan.status == "feasible"
    assert any("could not be started" in n for n in plan.diagnostics["notes"])


def test_too_little_memory_for_the_solver_leaves_a_plan(scenario: Scenario) -> None:
    plan = solve(scenario, seconds=4, workers=1, memory_mb=60)
    assert plan.status == "feasible"
    assert check(scenario, plan) == []


@pytest.mark.skipif(sys.platform != "linux", reason="looks into /proc")
def test_children_end_with_their_parent(examples: Path, tmp_path: Path) -> None:
    """The parent is killed with -9 while its children are at work; within three seconds they are gone."""
    program = (
        "import sys, pathlib\n"
        "from planner import jsonio\n"
        "from planner.solve import solve\n"
        "solve(jsonio.read_scenario(pathlib.Path(sys.argv[1]).read_bytes()), seconds=60)\n"
    )
    command = [sys.executable, "-c", program, str(examples / "medium.json")]
    parent = subprocess.Popen(command, cwd=ROOT)
    pids: list[int] = []
    until = time.monotonic() + 10
    while len(pids) < 2 and time.monotonic() < until:
        time.sleep(0.2)
        pids = _children_of(parent.pid)
    assert len(pids) == 2
    parent.kill()
    parent.wait()
    until = time.monotonic() + 3
    while any(_runs(p) for p in pids) and time.monotonic() < until:
        time.sleep(0.1)
    assert not any(_runs(p) for p in pids)


def _children_of(pid: int) -> list[int]:
    listed = Path(f"/proc/{pid}/task/{pid}/children").read_text().split()
    return [int(p) for p in listed]


def _runs(pid: int) -> bool:
    try:
        return Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0] != "Z"
    except OSError:
        return False
