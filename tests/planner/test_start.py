"""A plan to begin from: what was promised by it holds when the order is in the book."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from planner.bench.studios import lifelike, strange
from planner.checks import check
from planner.costs import finished_at, reckon, steps_late
from planner.dispatch import first_plan
from planner.facts import Facts
from planner.jsonio import plan_to_json, read_plan, scenario_from_json, write_plan, write_scenario
from planner.plan import COST_NAMES, Plan
from planner.promise import Promise, promise
from planner.promised import Promised, holding
from planner.scenario import Scenario
from planner.solve import solve
from tests.planner import builders as b
from tests.planner.conftest import Planner

FIXTURES = Path(__file__).parents[2] / "fixtures" / "bench"


def saved(name: str) -> Scenario:
    return scenario_from_json(json.loads((FIXTURES / f"{name}.json").read_text()))


def lateness(s: Scenario, plan: Plan) -> dict[str, int]:
    """Minutes by which each order is late; one that is not finished in the days given has no date to compare."""
    unfinished = {o.id for o, t in finished_at(Facts(s, plan)) if t.reckoned}
    return {o.id: o.late_min for o in reckon(s, plan).orders if o.id not in unfinished}


def answered(s: Scenario, n: int, qty: int) -> Promise:
    return promise(s, form=s.forms[n % len(s.forms)].id, glaze=s.glazes[n % len(s.glazes)].id, qty=qty, seconds=0.4)


def must_hold(s: Scenario, answer: Promise, seconds: float) -> None:
    """The order taken by its day and the weeks planned from the witness: it is in time, and nobody is later."""
    assert answer.plan is not None
    plan = solve(answer.scenario, seconds=seconds, start=answer.plan)
    assert plan.status in ("optimal", "feasible") and check(answer.scenario, plan) == []
    after = {o.id: o.late_min for o in plan.orders}
    assert after[answer.order.id] == 0
    assert answer.reference is not None
    for order, minutes in lateness(replace(answer.scenario, orders=s.orders), answer.reference).items():
        step = s.weights.late_step
        assert steps_late(after[order], step) <= steps_late(minutes, step), order


@pytest.mark.parametrize("kind", [lifelike, strange])
@pytest.mark.parametrize("seed", range(6))
def test_a_promised_day_holds_in_the_first_plan(kind: Callable[[int], Scenario], seed: int) -> None:
    s = kind(seed)
    s = replace(s, previous=first_plan(s)) if seed % 2 else s
    for n, qty in ((0, 1), (1, 7), (2, 20)) if s.forms and s.glazes else ():
        answer = answered(s, n + seed, qty)
        if answer.status == "promise":
            must_hold(s, answer, 0)


@pytest.mark.parametrize("name", ["small-202", "medium-201"])
def test_a_promised_day_holds_in_saved_weeks_and_through_a_search(name: str) -> None:
    s = saved(name)
    s = replace(s, previous=first_plan(s))
    answer = answered(s, 0, 12)
    assert answer.status == "promise"
    must_hold(s, answer, 0)
    must_hold(s, answer, 1)


def test_the_day_would_not_hold_without_the_witness() -> None:
    """Else the tests above would show nothing: planned afresh, some promised order is late or another is later."""
    broken = 0
    for seed in range(8):
        s = lifelike(seed)
        s = replace(s, previous=first_plan(s))
        answer = answered(s, seed, 15)
        if answer.plan is not None:
            plan = solve(answer.scenario, seconds=0)
            broken += Promised(holding(answer.scenario, answer.plan)).broken(plan) > 0
    assert broken > 0


def test_a_plan_some_minutes_old_is_laid_in_again() -> None:
    """The witness stands a week too early to be valid as it is: what can be kept is, and it is said."""
    s = b.bisque_and_back()
    start = first_plan(s)
    assert start is not None
    old = replace(start, tasks=tuple(replace(t, start=t.start - 30, end=t.end - 30) for t in start.tasks))
    plan = solve(s, seconds=0, start=old)
    assert plan.status in ("optimal", "feasible") and check(s, plan) == []
    assert any("laid in again" in n for n in plan.diagnostics["notes"])


def test_a_valid_start_is_never_made_worse() -> None:
    s = saved("small-203")
    good = solve(s, seconds=2, deterministic=True)
    plan = solve(s, seconds=0, start=good)
    assert Promised(holding(s, good)).price(plan) <= good.cost
    assert "notes" not in plan.diagnostics


def test_late_orders_are_not_put_off_further() -> None:
    s = b.bisque_and_back(orders=(b.order("a", due=1), b.order("c", due=1)))
    start = first_plan(s)
    assert start is not None
    late = {o.id: o.late_min for o in start.orders}
    assert min(late.values()) > 0
    held = Promised(holding(s, start))
    assert held.orders == frozenset() and held.broken(start) == 0
    step = s.weights.late_step
    same_day = replace(start, orders=tuple(replace(o, late_min=-(-o.late_min // step) * step) for o in start.orders))
    assert held.broken(same_day) == 0
    worse = replace(start, orders=tuple(replace(o, late_min=o.late_min + 1) for o in same_day.orders))
    assert held.broken(worse) == 2


@pytest.mark.parametrize("held", [None, 3, [], {"a": "x"}, {"nobody": 1}, {"a": [1]}])
def test_odd_diagnostics_of_a_plan_before_are_borne(held: object) -> None:
    s = b.bisque_and_back()
    empty = Plan("feasible", 0, dict.fromkeys(COST_NAMES, 0), None, diagnostics={"held": held})
    plan = solve(replace(s, previous=empty), seconds=0)
    assert check(s, replace(plan, reasons=())) == []


def files(tmp_path: Path, s: Scenario, start: bytes) -> list[str]:
    (tmp_path / "s.json").write_bytes(write_scenario(s))
    (tmp_path / "start.json").write_bytes(start)
    return [str(tmp_path / "s.json"), "-o", str(tmp_path / "p.json"), "--start", str(tmp_path / "start.json")]


def test_on_the_command_line(planner: Planner, tmp_path: Path) -> None:
    s = b.bisque_and_back()
    start = first_plan(s)
    assert start is not None
    done = planner("solve", *files(tmp_path, s, write_plan(start)), "--seconds", "0")
    assert (done.returncode, done.stderr) == (0, "")
    assert read_plan((tmp_path / "p.json").read_bytes()).cost <= start.cost


def test_a_start_that_cannot_be_read_is_told_in_a_line(planner: Planner, tmp_path: Path) -> None:
    s = b.bisque_and_back()
    done = planner("solve", *files(tmp_path, s, b'{"format": 1}'), "--seconds", "0")
    assert done.returncode == 2 and "start.json" in done.stderr and "Traceback" not in done.stderr
    assert not (tmp_path / "p.json").exists()


def test_a_start_of_another_studio_is_told_and_does_no_harm(planner: Planner, tmp_path: Path) -> None:
    s, other = b.bisque_and_back(), saved("small-201")
    stranger = first_plan(other)
    assert stranger is not None
    done = planner("solve", *files(tmp_path, s, write_plan(stranger)), "--seconds", "0")
    assert done.returncode == 0 and "the plan to begin from" in done.stderr and "Traceback" not in done.stderr
    nothing = {**plan_to_json(stranger), "status": "unknown", "cost": 0, "bound": None}
    empty = {k: [] if isinstance(v, list) else v for k, v in nothing.items()}
    empty["costs"] = dict.fromkeys(empty["costs"], 0)
    done = planner("solve", *files(tmp_path, s, json.dumps(empty).encode()), "--seconds", "0")
    assert done.returncode == 0 and "has no tasks" in done.stderr
