"""What holds orders up, what relief is worth, and which facts cannot hold together."""

from __future__ import annotations

import sys
from dataclasses import replace
from typing import Any

import pytest

from planner.bench.studios import lifelike
from planner.checks import check
from planner.costs import finished_at, reckon, with_costs
from planner.dispatch import first_plan
from planner.facts import Facts
from planner.plan import Plan
from planner.reasons import infeasible_reasons
from planner.relief import Relief, conflict, late_chains, relief
from planner.relief import conflicts as conflict_module
from planner.relief.chains import WAITS, chain_of, unavoidable, waits_of
from planner.relief.conflicts import filtered
from planner.relief.easings import Easing
from planner.relief.effort import Measure
from planner.relief.facts_held import bare, facts_of, lifted
from planner.relief.words import chain_text, length
from planner.relief.worth import plan_easings
from planner.scenario import Scenario
from tests.planner import builders as b
from tests.planner.brute_core import core

DAY = 1440


def planned(s: Scenario) -> Plan:
    plan = first_plan(s)
    assert plan is not None
    return plan


# chains


@pytest.mark.parametrize("seed", range(8))
def test_a_chain_covers_every_minute_from_now_to_the_box_once(seed: int) -> None:
    s = lifelike(seed, ("tiny", "small")[seed % 2])
    plan = planned(s)
    facts = Facts(s, plan)
    for order, times in finished_at(facts):
        chain = chain_of(facts, order)
        ends = [task.end for n in plan.finishes if n.order == order.id and (task := facts.find(n.task, "finish"))]
        assert bool(chain) == bool(ends) == bool(times.finished)
        if not chain:
            continue
        assert chain[0].start == 0 and chain[-1].end == max(ends)
        assert [x.end for x in chain[:-1]] == [x.start for x in chain[1:]]
        assert unavoidable(chain) + sum(waits_of(chain).values()) == max(ends)


def test_a_chain_names_what_each_stretch_was_for() -> None:
    """Two bowls one after the other in one mould: 1 min to press, out after 60, rest 60, dry 60, two firings of 620."""
    s = b.bisque_and_back(moulds=b.moulds(1), orders=[b.order(qty=2, due=0)])
    facts = Facts(s, planned(s))
    chain = chain_of(facts, s.orders[0])
    by_code: dict[str, int] = {}
    for link in chain:
        by_code[link.code] = by_code.get(link.code, 0) + link.minutes
    assert by_code["setting"] == 60 and by_code["drying"] == 60 and by_code["firing"] == 2 * 600
    second = next(t for t in facts.plan.tasks if t.kind == "press" and t.start > 0)
    free = next(t for t in facts.plan.tasks if t.kind == "release").end + 60  # the mould rests an hour
    assert by_code["moulds"] == free and second.start == free + by_code.get("hands", 0)


def test_a_kiln_with_another_load_in_it_is_named_with_that_load() -> None:
    """One shelf of ten: of twenty bowls, ten wait while the first ten are fired."""
    kiln = b.kiln(shelves=1, stack_mm=130)
    s = b.bisque_and_back(kilns=[kiln], moulds=b.moulds(20), orders=[b.order(qty=20, due=0)])
    facts = Facts(s, planned(s))
    chain = chain_of(facts, s.orders[0])
    kilns = [x for x in chain if x.code == "kiln"]
    assert kilns and all(x.things["kiln"] == "a" and x.things["firing"] in facts.plan.firing for x in kilns)
    assert next(iter(waits_of(chain))) == "kiln"
    assert "for kiln a, which holds" in chain_text(facts, s.orders[0])


@pytest.mark.parametrize("seed", range(4))
def test_every_late_order_has_its_chain_in_words(seed: int) -> None:
    s = lifelike(seed, "small", load=1.3)
    plan = planned(s)
    rows = late_chains(s, plan)
    assert [r.order for r in rows] == [o.id for o in plan.orders if o.late_min > 0]
    for r in rows:
        assert r.text.startswith(f"Order {r.order}:") and r.text.endswith(".") and set(r.waits) <= set(WAITS)


def test_lengths_are_said_as_people_say_them() -> None:
    said = ["5 min", "89 min", "2 h", "36 h", "1.5 days", "4 days"]
    assert [length(n) for n in (5, 89, 90, 2159, 2160, 4 * DAY)] == said


# what relief is worth


def tight(**more: Any) -> Scenario:
    """Ten bowls due on the fourth day, a filling a day in each of two moulds: three late days without more moulds."""
    given: dict[str, Any] = {
        "forms": [b.form(mould_rest=1300)],
        "orders": [b.order(qty=10, due=4 * DAY)],
        "weights": b.weights(late=10, late_step=DAY, tardy=100, kwh=1),
    }
    return b.bisque_and_back(**given | more)


def test_the_mould_that_binds_is_worth_most_and_boards_nothing() -> None:
    s = tight()
    rows = relief(s, planned(s), seconds=1.5)
    assert rows[0].code == "mould" and rows[0].things == {"form": "bowl"} and rows[0].cost > 0
    assert rows[0].piece_minutes > 0 and rows[0].piece_days == rows[0].piece_minutes / DAY
    assert {r.cost for r in rows if r.code == "boards"} == {0}
    assert [r.cost for r in rows] == sorted((r.cost for r in rows), reverse=True)
    assert all("gains nothing" in r.text for r in rows if not r.cost)


@pytest.mark.parametrize("seed", range(3))
def test_relief_is_measured_on_valid_plans_with_equal_effort(seed: int) -> None:
    s = lifelike(20 + seed, "tiny", load=1.2)
    plan = planned(s)
    seen: list[tuple[Relief, ...]] = []
    rows = relief(s, plan, seconds=1, on_progress=seen.append)
    assert seen and rows and len({r.tries for r in seen[-1]}) == 1
    free = replace(s, weights=replace(s.weights, move=0, pin=0))
    for r in rows:
        assert check(r.scenario, r.plan) == []
        assert reckon(r.scenario, r.plan).cost == r.plan.cost
        assert 0 <= r.cost <= with_costs(free, plan).cost
        if r.cost and r.code != "mould":  # a mould more may be one of many alike
            assert check(replace(free, previous=None, pins=()), r.plan) != []


def test_easings_ease_so_that_the_plan_there_is_stays_valid() -> None:
    for seed in range(5):
        s = lifelike(40 + seed, "small")
        plan = planned(s)
        found = plan_easings(s, plan)
        assert {"mould", "boards", "firing", "hour"} <= {e.code for e in found}
        for e in found:
            eased = e.apply(s)
            assert check(eased, with_costs(eased, plan)) == [], e.text
        assert len({(e.code, *sorted(e.things.items()), *sorted(e.minutes.items())) for e in found}) == len(found)


def test_another_kiln_is_there_for_one_load_only() -> None:
    s = tight(kilns=[b.kiln(shelves=1, stack_mm=130)], moulds=b.moulds(40), orders=[b.order(qty=40, due=0)])
    (other,) = [e for e in plan_easings(s, planned(s)) if e.code == "firing"]
    eased = other.apply(s)
    plan = planned(eased)
    (extra,) = [k for k in eased.kilns if k.id != "a"]
    assert eased.forms[0].bisque.per_shelf == {"a": 10, extra.id: 10}
    assert sum(f.kiln == extra.id for f in plan.firings) <= 1 < sum(f.kiln == "a" for f in plan.firings)


def test_a_measure_counts_what_a_plan_comes_to() -> None:
    s = tight()
    plan = planned(s)
    m = Measure.of(s, plan)
    (o,) = plan.orders
    times = next(t for _, t in finished_at(Facts(s, plan)))
    late = [(t - 4 * DAY, n) for t, n in times.finished if t > 4 * DAY]
    assert m.late_piece_minutes == sum(t * n for t, n in late) and m.finished == 10
    assert m.late_orders == frozenset({"o1"}) and max(t for t, _ in late) == o.late_min


# facts that cannot hold together


def deciding(s: Scenario) -> bool:
    """What single things and sums of minutes say: enough for jobs made by hand."""
    if infeasible_reasons(s):
        return False
    work: dict[str, int] = {}
    for j in s.jobs:
        work[j.person or s.people[0].id] = work.get(j.person or s.people[0].id, 0) + j.minutes
    return all(n <= sum(y - x for x, y in s.person[p].hours) for p, n in work.items())


def test_the_filter_keeps_only_what_is_needed() -> None:
    """Three jobs of 40 min in an hour of work: any two of them do not fit, nor does anything else matter."""
    jobs = [b.job(f"j{i}", minutes=40, window=(0, 600)) for i in range(3)]
    s = b.scenario(people=[b.person(hours=[(0, 60)])], jobs=jobs, stations=[b.station(closed=[(5, 9)], free_at=3)])
    found = filtered(s, deciding, lambda: False)
    assert [f.code for f in found] == ["hours", "job", "job"]
    assert found[0].text == "ansa is there for 60 min in 1 stretches, Mon 30 November 08:00 at the earliest"
    assert found[1].text == "j1 must be done (40 min) between Mon 30 November 08:00 and Mon 30 November 18:00"


def test_the_exact_model_gives_a_minimal_set() -> None:
    """The pour must be lifted when nobody is there; a job and a mould in the way of nothing are left out."""
    s = b.scenario(
        people=[b.person(hours=[(0, 60), (400, 500)])],
        forms=[b.form()],
        casts=[b.cast(required=True, pour=30, lift_after=(90, 200), lift=10)],
        jobs=[b.job(minutes=30, window=(400, 500))],
        horizon=520,
    )
    found = conflict(s)
    assert [f.code for f in found] == ["hours", "cast"]
    assert found[1].things == {"cast": "c1", "form": "bowl"}
    assert conflict(lifted(s, [found[0]])) == () == conflict(lifted(s, [found[1]]))


@pytest.mark.parametrize("seed", [s for s in range(60) if core(s)[1] is None][:3])
def test_what_brute_force_finds_impossible_has_a_minimal_set(seed: int) -> None:
    """Each fact lifted alone makes the studio possible again; all others lifted, it stays impossible."""
    s = core(seed)[0]
    found = conflict(s)
    assert found
    others = [f for f in facts_of(bare(s)) if f not in found]
    with conflict_module.Judge(conflict_module.soon(30)) as judge:
        assert judge.possible(lifted(bare(s), others)) is False
        for f in found:
            assert judge.possible(lifted(bare(s), [*others, f])) is True


def test_a_studio_with_a_plan_has_no_conflict() -> None:
    assert conflict(lifelike(3, "tiny")) == ()


def test_without_its_judge_nothing_is_claimed(monkeypatch: pytest.MonkeyPatch) -> None:
    s = b.scenario(people=[b.person(hours=[(0, 60)])], jobs=[b.job(minutes=90)])
    assert [f.code for f in conflict(s)] == ["hours", "job"]
    monkeypatch.setattr(sys, "executable", "/nowhere/python")
    assert conflict(s) == ()


def test_nothing_heavy_is_loaded_by_asking() -> None:
    assert isinstance(plan_easings(tight(), planned(tight()))[0], Easing)
    import subprocess

    code = "import sys, planner.relief, planner.promise; print('ortools' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, timeout=60, check=True)
    assert done.stdout.strip() == "False"
