"""``python -m planner`` as a person or another program runs it: exit codes, lines, files, signals and time."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from planner.jsonio import read_plan, write_scenario
from tests.planner import builders as b
from tests.planner.conftest import BENCH, EXAMPLES, ROOT, Planner

TINY = EXAMPLES / "tiny.json"


def _saved(path: Path, scenario: b.Scenario) -> Path:
    path.write_bytes(write_scenario(scenario))
    return path


def test_a_plan_is_written_and_found_valid(planner: Planner, tmp_path: Path) -> None:
    out = tmp_path / "plan.json"
    solved = planner("solve", TINY, "-o", out, "--seconds", 1, "--workers", 1, "--seed", 5)
    assert (solved.returncode, solved.stderr) == (0, "")
    plan = read_plan(out.read_bytes())
    assert plan.status in ("optimal", "feasible")
    checked = planner("check", TINY, out)
    assert (checked.returncode, checked.stdout) == (0, f"valid, cost {plan.cost}\n")
    assert [p.name for p in tmp_path.iterdir()] == ["plan.json"]


def test_nought_seconds_give_the_first_plan_without_the_solver_library(tmp_path: Path) -> None:
    out = tmp_path / "plan.json"
    code = (
        "import sys; from planner.__main__ import main; "
        f"assert main(['solve', {str(TINY)!r}, '-o', {str(out)!r}, '--seconds', '0']) == 0; "
        f"assert main(['check', {str(TINY)!r}, {str(out)!r}]) == 0; "
        "print(sorted(m for m in ('ortools', 'numpy', 'pandas', 'django') if m in sys.modules))"
    )
    run = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True)
    assert run.stdout.splitlines()[-1] == "[]"


def test_what_cannot_be_done_at_all_is_told_with_the_reason(planner: Planner, tmp_path: Path) -> None:
    """A job of 30 minutes, a person who is there for 20 (R01)."""
    impossible = b.scenario(people=[b.person(hours=[(0, 20)])], jobs=[b.job(minutes=30)])
    path, out = _saved(tmp_path / "s.json", impossible), tmp_path / "plan.json"
    solved = planner("solve", path, "-o", out, "--seconds", 5)
    assert solved.returncode == 3
    plan = read_plan(out.read_bytes())
    assert (plan.status, plan.tasks, plan.cost) == ("infeasible", (), 0)
    assert plan.reasons and plan.reasons[0].text in solved.stdout
    checked = planner("check", path, out)
    assert (checked.returncode, checked.stdout) == (3, "a plan without tasks (infeasible)\n")


def test_what_was_not_decided_in_the_time_is_said_to_be_unknown(planner: Planner, tmp_path: Path) -> None:
    """Nought seconds leave no time for a proof, unless it is at hand at once."""
    impossible = b.scenario(people=[b.person(hours=[(0, 20)])], jobs=[b.job(minutes=30)])
    path, out = _saved(tmp_path / "s.json", impossible), tmp_path / "plan.json"
    solved = planner("solve", path, "-o", out, "--seconds", 0)
    assert solved.returncode in (3, 4)
    assert read_plan(out.read_bytes()).status == {3: "infeasible", 4: "unknown"}[solved.returncode]
    assert planner("check", path, out).returncode == 3


def test_each_violation_is_one_line_that_begins_with_its_rule(planner: Planner) -> None:
    broken = [e for e in json.loads((EXAMPLES / "index.json").read_bytes()) if not e["valid"]]
    for entry in broken[::20]:
        checked = planner("check", EXAMPLES / entry["scenario"], EXAMPLES / entry["plan"])
        lines = checked.stdout.splitlines()
        assert checked.returncode == 1
        assert lines and all(line[0] == "R" and line[1:3].isdigit() and line[3] == " " for line in lines)
        assert any(line.startswith(entry["rule"]) for line in lines)


def test_a_fault_is_told_with_its_pointer_and_file(planner: Planner, tmp_path: Path) -> None:
    path = tmp_path / "spoiled.json"
    path.write_text(TINY.read_text().replace('"mould_rest"', '"mould_rset"'))
    run = planner("solve", path, "-o", tmp_path / "plan.json")
    assert run.returncode == 2
    assert (
        run.stderr.splitlines()[0] == '/forms/0: unknown key "mould_rset"; did you mean "mould_rest"? (in spoiled.json)'
    )
    assert run.stdout == ""
    assert not (tmp_path / "plan.json").exists()


@pytest.mark.parametrize(
    ("args", "told"),
    [
        (["check", "{tmp}/none.json", "{plan}"], "there is no file"),
        (["check", "{tiny}", "{tmp}"], "is a folder"),
        (["check", "{plan}", "{plan}"], 'unknown key "status"'),
        (["solve", "{tmp}", "-o", "{tmp}/x"], "is a folder"),
        (["solve", "{tiny}", "-o", "{tmp}"], "is a folder; give the path of a file in it"),
        (["solve", "{tiny}", "-o", "{tmp}/no/such/x"], "cannot be written"),
        (["solve", "{tiny}", "-o", "{tiny}"], "is the scenario itself"),
        (["solve", "{tiny}"], "-o/--output"),
        (["solve", "{tiny}", "-o", "{tmp}/x", "--seconds", "-1"], "not within 0 and 86400 seconds"),
        (["solve", "{tiny}", "-o", "{tmp}/x", "--seconds", "nan"], "not within"),
        (["solve", "{tiny}", "-o", "{tmp}/x", "--workers", "0"], "not within 1 and 64"),
        (["solve", "{tiny}", "-o", "{tmp}/x", "--seed", "x"], "invalid int value"),
        ([], "required: command"),
        (["plan"], "invalid choice"),
    ],
)
def test_a_wrong_command_gets_a_message_and_no_traceback(
    planner: Planner, tmp_path: Path, args: list[str], told: str
) -> None:
    before = TINY.read_bytes()
    names = {"tmp": tmp_path, "tiny": TINY, "plan": EXAMPLES / "tiny.plan.json"}
    run = planner(*(a.format(**names) for a in args))
    assert run.returncode == 2
    assert told in run.stderr
    assert "Traceback" not in run.stderr
    assert TINY.read_bytes() == before


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGINT])
def test_a_signal_ends_the_search_and_saves_the_best_plan(tmp_path: Path, number: signal.Signals) -> None:
    out = tmp_path / "plan.json"
    command = [
        sys.executable,
        "-m",
        "planner",
        "solve",
        str(BENCH / "small-201.json"),
        "-o",
        str(out),
        "--seconds",
        "60",
    ]
    with subprocess.Popen(command, cwd=ROOT, stderr=subprocess.PIPE, text=True, start_new_session=True) as process:
        time.sleep(3)
        asked = time.monotonic()
        process.send_signal(number)
        _, errors = process.communicate(timeout=20)
        assert time.monotonic() - asked < 5
    assert (process.returncode, errors) == (0, "")
    assert read_plan(out.read_bytes()).tasks


@pytest.mark.parametrize(("name", "seconds"), [("medium-201.json", 0), ("small-202.json", 2)])
def test_the_wall_clock_stays_within_two_seconds_of_what_was_asked(
    planner: Planner, tmp_path: Path, name: str, seconds: int
) -> None:
    begun = time.monotonic()
    assert planner("solve", BENCH / name, "-o", tmp_path / "p.json", "--seconds", seconds).returncode == 0
    assert time.monotonic() - begun <= seconds + 2


def test_a_failing_solver_leaves_an_honest_unknown(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    from planner import __main__ as cli
    from planner import solve

    def fail(*_: object, **__: object) -> None:
        raise MemoryError("no room")

    monkeypatch.setattr(solve, "solve", fail)
    handlers = [signal.getsignal(n) for n in (signal.SIGINT, signal.SIGTERM)]
    try:
        assert cli.main(["solve", str(TINY), "-o", str(tmp_path / "p.json")]) == 4
    finally:
        for n, handler in zip((signal.SIGINT, signal.SIGTERM), handlers, strict=True):
            signal.signal(n, handler)
    assert read_plan((tmp_path / "p.json").read_bytes()).status == "unknown"
    assert "the planner failed: MemoryError: no room" in capsys.readouterr().err


def test_an_old_plan_stays_whole_until_the_new_one_is(planner: Planner, tmp_path: Path) -> None:
    """Through a link too, which goes on pointing to the file."""
    real, link = tmp_path / "real.json", tmp_path / "link.json"
    real.write_text("old")
    link.symlink_to(real)
    assert planner("solve", TINY, "-o", link, "--seconds", 0).returncode == 0
    assert link.is_symlink()
    assert read_plan(real.read_bytes()).tasks
    assert {p.name for p in tmp_path.iterdir()} == {"link.json", "real.json"}


def test_a_pipe_may_take_the_plan_and_a_closed_one_is_no_failure(tmp_path: Path) -> None:
    base = f"{sys.executable} -m planner"
    solve = f"{base} solve {TINY} -o /dev/stdout --seconds 0"
    shell = f"{solve} | head -c 1; {base} check {TINY} {EXAMPLES}/tiny.plan.json | :"
    run = subprocess.run(["bash", "-c", shell], cwd=ROOT, capture_output=True, text=True, check=False)
    assert (run.stdout, run.stderr) == ("{", "")


def test_a_terminal_without_utf_8_gets_the_message_too(planner: Planner, tmp_path: Path) -> None:
    path = tmp_path / "Töpferei.json"
    path.write_text(TINY.read_text().replace('"beaker"', '"Becherform ≥ ☕"', 1))
    env = {**os.environ, "PYTHONIOENCODING": "ascii", "LC_ALL": "C"}
    command = [sys.executable, "-m", "planner", "check", str(path), str(path)]
    run = subprocess.run(command, cwd=ROOT, env=env, capture_output=True, check=False)
    assert run.returncode == 2
    assert b"Traceback" not in run.stderr and run.stderr.isascii() and b"use one of" in run.stderr
