"""The hand rule that plans are compared with, and the command that measures them."""

from __future__ import annotations

import json
import os
import shutil
import signal
import subprocess
import sys
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from planner.bench import studios
from planner.bench.alone import Failed, alone
from planner.bench.events import EVENTS, after, moved
from planner.bench.saved import saved
from planner.bench.season import season
from planner.bench.tables import gap, ratio
from planner.checks import check
from planner.costs import with_costs
from planner.dispatch import dispatch, first_plan
from planner.dispatch.hand import hand_plan
from planner.jsonio import scenario_from_json
from planner.plan import Plan
from planner.scenario import Scenario
from tests.planner import builders as b
from tests.planner.conftest import BENCH, ROOT, Planner

DAY = b.DAY
SAVED = {x.name: x for x in saved(BENCH)}


def sound(scenario: Scenario, plan: Plan | None) -> Plan:
    """The plan, once the checker has nothing to say against it."""
    assert plan is not None, "no plan"
    assert [str(v) for v in check(scenario, plan)] == []
    return plan


@pytest.mark.parametrize("name", sorted(SAVED))
def test_first_plan_is_no_dearer_than_the_hand_rule(name: str) -> None:
    scenario = SAVED[name].scenario()
    by_hand = sound(scenario, hand_plan(scenario))
    assert sound(scenario, first_plan(scenario)).cost <= by_hand.cost


def test_saved_studios_of_all_sizes() -> None:
    sizes = [x.size for x in SAVED.values()]
    assert {sizes.count(s) for s in ("tiny", "small", "medium", "large")} == {6}
    assert {x.size for x in SAVED.values() if x.scenario().previous is not None} == {"tiny", "small", "medium", "large"}


@pytest.mark.parametrize("start", range(0, 100, 20))
def test_hand_rule_on_odd_studios(start: int) -> None:
    """Whatever the format allows: a valid plan, or none where the dispatcher finds none either."""
    made = 0
    for seed in range(start, start + 20):
        scenario = studios.strange(seed)
        plan = hand_plan(scenario)
        if plan is None:
            assert first_plan(scenario) is None, seed
        else:
            sound(scenario, plan)
            made += 1
    assert made >= 10


@pytest.mark.parametrize("size", ["tiny", "small", "medium", "large"])
@pytest.mark.parametrize("load", [0.7, 1.0, 1.6])
def test_hand_rule_on_lifelike_studios(size: str, load: float) -> None:
    for seed in (1, 2):
        scenario = studios.lifelike(seed, size, load=load)
        sound(scenario, hand_plan(scenario))
        worse = studios.disturbed(scenario, seed, 2)
        if (plan := hand_plan(worse)) is not None:
            sound(worse, plan)


@pytest.mark.parametrize("name", ["tiny-201", "small-202", "medium-203"])
def test_hand_rule_keeps_to_its_word(name: str) -> None:
    """Nothing it presses is covered in the mould; it pours no optional cast; what it decides needs no evening."""
    scenario = SAVED[name].scenario()
    plan = sound(scenario, hand_plan(scenario))
    own = [x for x in plan.batches if x.press is not None]
    assert own
    assert not any(x.covered_in_mould for x in own)
    assert all(scenario.cast[c.id].required or scenario.cast[c.id].poured is not None for c in plan.casts)
    chosen = [t for x in own for t in (x.press, x.release, *x.steps)]
    chosen += [x.glaze for x in plan.lots] + [x.task for x in plan.finishes] + [x.load for x in plan.firings if x.load]
    for t in (plan.task[t] for t in chosen if t is not None):
        assert not any(a < t.end and t.start < e for a, e in scenario.person[t.person].extra), t


@pytest.mark.parametrize("sooner", [0, 1])
def test_hand_rule_presses_what_is_due_first(tiny: dict[str, Any], sooner: int) -> None:
    """Nothing is under way: whichever of two forms is due sooner is pressed first."""
    forms = [f["id"] for f in tiny["forms"]][:2]
    like = tiny["orders"][0]
    tiny["wip"], tiny["casts"], tiny["jobs"], tiny["previous"], tiny["pins"] = [], [], [], None, []
    tiny["orders"] = [{**like, "id": f"o{n}", "form": f, "qty": 2, "due": 9000} for n, f in enumerate(forms)]
    tiny["orders"][sooner]["due"] = 8000
    for mould in tiny["moulds"]:
        mould["ready"] = 0
    for kiln in tiny["kilns"]:
        kiln["free_at"] = 0
    scenario = scenario_from_json(tiny)
    plan = sound(scenario, hand_plan(scenario))
    begun = sorted((plan.task[x.press].start, x.form) for x in plan.batches if x.press)
    assert begun[0][1] == forms[sooner]
    assert {f for _, f in begun} == set(forms)


@pytest.mark.parametrize("event", EVENTS)
@pytest.mark.parametrize("name", ["tiny-202", "medium-201"])
def test_events_change_the_studio_and_leave_it_sound(event: str, name: str) -> None:
    scenario = SAVED[name].scenario()
    before = sound(scenario, first_plan(scenario))
    changed = after(scenario, before, event)
    assert changed.previous == before
    assert any(getattr(changed, k) != getattr(scenario, k) for k in ("moulds", "kilns", "people", "orders", "wip"))
    assert changed == after(scenario, before, event)
    sound(changed, first_plan(changed))


def test_moved_counts_what_the_rules_charge() -> None:
    scenario = SAVED["small-201"].scenario()
    before = sound(scenario, first_plan(scenario))
    changed = after(scenario, before, "person away a day")
    plan = sound(changed, first_plan(changed))
    assert moved(before, plan) * changed.weights.move == plan.costs["move"]
    assert moved(before, before) == 0


@pytest.mark.parametrize("pieces", [1, 50, 355, 356, 1000])
def test_a_season_owes_what_was_asked(pieces: int) -> None:
    scenario = season(SAVED["medium-203"].scenario(), pieces)
    assert sum(o.qty for o in scenario.orders) == pieces
    sound(scenario, with_costs(scenario, dispatch(scenario) or Plan("unknown", 0, {}, None)))


def test_a_season_of_nothing_is_refused() -> None:
    scenario = SAVED["medium-203"].scenario()
    stock = tuple(replace(w, order=None) if hasattr(w, "order") else w for w in scenario.wip)
    idle = replace(scenario, orders=(), wip=stock)
    with pytest.raises(ValueError, match="orders"):
        season(idle, 50)


def test_ratios_and_gaps() -> None:
    assert ratio(3, 4) == 0.75
    assert ratio(None, 4) is None
    assert ratio(3, 0) is None
    assert gap(200, 150) == 0.25
    assert gap(0, 0) == 0
    assert gap(10, None) is None


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A folder with one saved scenario and a cost reached before."""
    made = tmp_path / "saved"
    made.mkdir()
    shutil.copy(BENCH / "tiny-202.json", made)
    (made / "bench.json").write_text('{"tiny-202": {"hand": 9658, "best_20s": 3231}}')
    return made


def test_the_command_measures_and_prints(planner: Planner, folder: Path, tmp_path: Path) -> None:
    out = tmp_path / "figures.json"
    asked = ["--folder", folder, "--seconds", "0.5,2", "--seeds", "0,1", "--repair-seconds", "0", "--growth", "50"]
    done = planner("bench", *asked, "--json", out, timeout=180)
    assert done.returncode == 0, done.stderr
    figures = json.loads(out.read_bytes())
    (tiny,) = figures["measured"]
    scenario = saved(folder)[0].scenario()
    assert tiny["hand"]["cost"] == sound(scenario, hand_plan(scenario)).cost
    assert tiny["first"]["cost"] == sound(scenario, first_plan(scenario)).cost
    for search in tiny["searches"]:
        costs = [look["cost"] for look in search["looks"]]
        assert costs == sorted(costs, reverse=True)
        assert costs[0] <= tiny["first"]["cost"]
        assert search["looks"][-1]["bound"] <= costs[-1]
    assert {r["event"] for r in tiny["repairs"]} == set(EVENTS)
    assert tiny["memory"] > 5
    assert tiny["memory_child"] > 5
    assert [g["pieces"] for g in figures["grown"]] == [50]
    rows = cells(done.stdout)
    assert rows["tiny-202"][4:6] == [str(tiny["hand"]["cost"]), str(tiny["first"]["cost"])]
    assert figures["machine"]["python"] in done.stdout.splitlines()[0]


def cells(text: str) -> dict[str, list[str]]:
    """The rows of the Markdown tables in ``text`` by their first cell; of the same name the first."""
    rows: dict[str, list[str]] = {}
    for line in text.splitlines():
        if line.startswith("| "):
            row = [c.strip() for c in line.strip("| ").split("|")]
            rows.setdefault(row[0], row)
    return rows


@pytest.mark.parametrize(
    ("given", "said"),
    [
        (["--only", "huge"], "no scenario huge"),
        (["--seconds", "0"], "names no seconds above 0"),
        (["--growth", "0"], "not within 1 and 100000 pieces"),
        (["--seconds", "x"], "invalid"),
    ],
)
def test_what_cannot_be_measured_is_told(planner: Planner, folder: Path, given: list[str], said: str) -> None:
    done = planner("bench", "--folder", folder, *given)
    assert done.returncode == 2
    assert said in done.stderr
    assert "Traceback" not in done.stderr


def test_an_unreadable_scenario_is_told(planner: Planner, folder: Path) -> None:
    (folder / "tiny-bad.json").write_text("{")
    done = planner("bench", "--folder", folder, "--only", "tiny-bad", "--seconds", "0.5", "--growth", "none")
    assert done.returncode in (1, 2)
    assert "tiny-bad" in done.stdout + done.stderr
    assert "Traceback" not in done.stderr


def test_ctrl_c_ends_it_at_once(folder: Path) -> None:
    """Nothing is left running, and nobody sees a traceback."""
    command = [sys.executable, "-m", "planner", "bench", "--folder", str(folder), "--seconds", "30"]
    pipes = {"stdout": subprocess.PIPE, "stderr": subprocess.PIPE, "text": True}
    process = subprocess.Popen(command, cwd=ROOT, start_new_session=True, **pipes)  # type: ignore[call-overload]
    assert process.stderr is not None
    process.stderr.readline()  # it has begun to measure
    os.killpg(process.pid, signal.SIGINT)
    _, errors = process.communicate(timeout=10)
    assert process.returncode == 130
    assert "Traceback" not in errors


def test_a_crash_costs_one_result() -> None:
    with pytest.raises(Failed, match="ended with code 3"):
        alone(os._exit, (3,))
    with pytest.raises(Failed, match="ZeroDivisionError"):
        alone(divmod, (1, 0))
    assert alone(divmod, (7, 2)) == (3, 1)
