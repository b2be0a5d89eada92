"""``python -m planner bench --random N``: random studios, each planned, checked and held against the hand rule."""

from __future__ import annotations

import json
from collections import Counter
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from planner.bench import at_random
from planner.bench.at_random import DRAWN_SIZES, LOADS, draw, try_all
from planner.bench.tables import drawn
from planner.jsonio import write_scenario
from planner.plan import Plan
from tests.planner.conftest import Planner


def test_sizes_and_loads_come_by_turns_and_one_in_ten_is_searched() -> None:
    some = draw(480)
    assert {Counter(d.size for d in some)[size] for size in DRAWN_SIZES} == {80}
    assert {(d.size, d.load) for d in some} == {(size, load) for size in DRAWN_SIZES for load in LOADS}
    searched = Counter(d.size for d in some if d.searched)
    assert searched == dict.fromkeys(DRAWN_SIZES, 8)
    assert {d.size for d in draw(10, ["small", "odd"])} == {"small", "odd"}
    assert draw(25) == some[:25]
    repairs = [d.scenario() for d in draw(12, ["repair"])]
    assert all(s.previous is not None and s.previous.batches for s in repairs)
    assert {bool(s.pins) for s in repairs} == {True, False}
    assert len({write_scenario(d.scenario()) for d in draw(6, ["odd"])}) == 6


def test_first_plans_of_random_studios_are_valid_and_no_dearer_than_by_hand() -> None:
    tried = try_all([replace(d, searched=False) for d in draw(24)], 0, 1)
    assert [t.faults for t in tried] == [()] * 24
    assert sum(t.status == "feasible" or t.status == "optimal" for t in tried) >= 20
    assert not any(t.dearer_than_hand or t.refused for t in tried)


def test_whatever_is_wrong_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    """A plan with a task too few, a search that makes it worse, a crash: each is a fault of that studio alone."""
    sound = at_random.solve

    def spoiled(scenario: Any, *, seconds: float, **more: Any) -> Plan:
        plan = sound(scenario, seconds=0)
        if seconds:
            return replace(plan, cost=plan.cost + 1)
        return replace(plan, tasks=plan.tasks[:-1])

    def broken(scenario: Any, **more: Any) -> Plan:
        raise ZeroDivisionError("by hand")

    (one,) = draw(1)
    assert one.searched
    monkeypatch.setattr(at_random, "solve", spoiled)
    (tried,) = try_all([one], 1, 1)
    assert any("first plan: R" in f for f in tried.faults)
    assert any("search: R14" in f for f in tried.faults)
    assert any("worse than the first" in f for f in tried.faults)
    monkeypatch.setattr(at_random, "solve", broken)
    (tried,) = try_all([one], 1, 1)
    assert (tried.status, tried.faults) == ("failed", ("tiny studio, seed 0, load 0.7: ZeroDivisionError: by hand",))
    row = next(line for line in drawn([tried]) if line.startswith("| tiny"))
    assert [c.strip() for c in row.split("|")][2:8] == ["1", "0", "0", "0", "1", "0"]


def test_the_command_draws_tries_and_prints(planner: Planner, tmp_path: Path) -> None:
    out = tmp_path / "figures.json"
    asked = ["--random", "6", "--only", "tiny,odd", "--seconds", "0.5", "--workers", "1", "--json", out]
    done = planner("bench", *asked, timeout=120)
    assert done.returncode == 0, done.stdout + done.stderr
    figures = json.loads(out.read_bytes())
    assert [t["size"] for t in figures["tried"]] == ["tiny", "odd"] * 3
    assert figures["failed"] == []
    assert "| tiny | 3 | 3 |" in done.stdout


@pytest.mark.parametrize(
    ("given", "said"),
    [(["--random", "0"], "not within 1 and 100000"), (["--random", "3", "--only", "huge"], "no size huge")],
)
def test_what_cannot_be_drawn_is_told(planner: Planner, given: list[str], said: str) -> None:
    done = planner("bench", *given)
    assert done.returncode == 2
    assert said in done.stderr
    assert "Traceback" not in done.stderr
