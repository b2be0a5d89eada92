"""Reasons: one for each late order and everything given up, with minutes that can be reckoned by hand."""

from __future__ import annotations

from pathlib import Path

import pytest

from planner.bench import studios
from planner.dispatch import first_plan
from planner.jsonio import read_plan, read_scenario
from planner.plan import Plan, Reason
from planner.reasons import infeasible_reasons, with_reasons
from planner.scenario import Scenario
from tests.planner import builders as b
from tests.planner.conftest import EXAMPLES

PLANS = sorted(p for p in EXAMPLES.glob("*.plan.json") if "broken" not in p.name)
LATE = {"too_soon", "moulds", "hands", "kiln", "boards", "not_finished"}


def explained(scenario: Scenario) -> tuple[Plan, tuple[Reason, ...]]:
    plan = first_plan(scenario)
    assert plan is not None
    return plan, with_reasons(scenario, plan).reasons


def check_all(scenario: Scenario, plan: Plan, reasons: tuple[Reason, ...]) -> None:
    late = [o.id for o in plan.orders if o.late_min > 0]
    assert [r.things["order"] for r in reasons if "order" in r.things] == late
    given_up = [r.things.get("batch") or r.things.get("cast") for r in reasons if r.code.startswith("spoiled")]
    assert given_up == list(plan.spoiled)
    for r in reasons:
        if "order" in r.things:
            done = next(o for o in plan.orders if o.id == r.things["order"])
            assert r.code in LATE
            assert r.minutes["late"] == done.late_min == r.minutes["done"] - r.minutes["due"]
            assert 1 <= r.counts["late"] <= r.counts["of"] == scenario.order[done.id].qty
            assert str(done.late_min) in r.text


@pytest.mark.parametrize("path", PLANS, ids=lambda p: p.stem)
def test_worked_plans(path: Path) -> None:
    scenario = read_scenario((EXAMPLES / path.name.replace(".plan", "")).read_bytes())
    plan = read_plan(path.read_bytes())
    check_all(scenario, plan, with_reasons(scenario, plan).reasons)


@pytest.mark.parametrize("seed", range(60))
def test_strange_studios(seed: int) -> None:
    scenario = studios.strange(seed)
    plan = first_plan(scenario)
    if plan is None:
        infeasible_reasons(scenario)
    else:
        check_all(scenario, plan, with_reasons(scenario, plan).reasons)


def test_an_order_that_no_plan_could_make_in_time() -> None:
    """The shortest way of one bowl is worked out in test_dispatch: its last task ends at 1424."""
    scenario = b.bisque_and_back(weights=b.weights(late=1), orders=[b.order(due=1423)])
    _, (reason,) = explained(scenario)
    assert reason.code == "too_soon"
    assert reason.minutes == {"due": 1423, "done": 1424, "late": 1, "soonest": 1424}


def test_a_kiln_that_is_not_free() -> None:
    scenario = b.bisque_and_back(
        weights=b.weights(late=1), orders=[b.order(due=2000)], wip=[b.glazed()], kilns=[b.kiln(free_at=5000)]
    )
    _, (reason,) = explained(scenario)
    assert reason.code == "kiln"
    assert reason.minutes["waited"] == 5000


def test_nobody_there_to_finish() -> None:
    scenario = b.bisque_and_back(
        weights=b.weights(late=1), orders=[b.order(due=100)], wip=[b.fired()], people=[b.person(hours=[(700, 800)])]
    )
    _, (reason,) = explained(scenario)
    assert (reason.code, reason.minutes["waited"]) == ("hands", 700)


def test_too_few_moulds() -> None:
    scenario = b.bisque_and_back(
        weights=b.weights(late=1), orders=[b.order(qty=40, due=9000)], moulds=[b.mould(uses_left=2)]
    )
    _, (reason,) = explained(scenario)
    assert (reason.code, reason.counts["not_pressed"]) == ("moulds", 38)


def test_still_under_way_at_the_end() -> None:
    scenario = b.bisque_and_back(
        weights=b.weights(late=1), horizon=1300, orders=[b.order(due=1450)], people=[b.person(hours=[(0, 1300)])]
    )
    plan, (reason,) = explained(scenario)
    assert plan.orders[0].reckoned
    assert (reason.code, reason.minutes["end"]) == ("not_finished", 1300)
    assert reason.counts == {"late": 1, "of": 1, "under_way": 1, "glazed": 1}


def test_too_few_ware_boards() -> None:
    """One board of ten pieces, and no kiln that would empty it."""
    scenario = b.bisque_and_back(
        weights=b.weights(late=1),
        racks=b.Racks(5, 1, 5),
        moulds=b.moulds(40),
        kilns=[b.kiln(free_at=b.HORIZON)],
        orders=[b.order(qty=40, due=9000)],
    )
    plan, (reason,) = explained(scenario)
    assert sum(x.count for x in plan.batches) == 10
    assert (reason.code, reason.counts["not_pressed"]) == ("boards", 30)


def test_a_batch_given_up_says_until_when_it_could_have_been_saved() -> None:
    scenario = b.bisque_and_back(
        people=[b.person(hours=[(1000, 2000)])], moulds=[b.mould(ready=None)], wip=[b.in_mould(until=900)], orders=()
    )
    _, (reason,) = explained(scenario)
    assert (reason.code, reason.minutes, reason.counts) == ("spoiled_in_mould", {"until": 900}, {"pieces": 1})


JOB = {"jobs": [b.job(window=(0, 600))]}
IMPOSSIBLE = {
    "job_window": {**JOB, "people": [b.person(hours=[(580, 900)])]},
    "nobody_with_skill": {**JOB, "people": [b.person(skills={"press"})]},
    "unload_no_hands": {
        "wip": [b.in_kiln(opens=500)], "kilns": [b.kiln(free_at=None)], "people": [b.person(hours=[(0, 505)])]
    },
    "release_no_hands": {
        "wip": [b.in_mould()], "moulds": [b.mould(ready=None)], "people": [b.person(hours=[(0, 30)])]
    },
    "lift_window": {
        "casts": [b.cast(required=True, lift_after=(45, 60))], "people": [b.person(hours=[(0, 40), (200, 240)])]
    },
    "shared_model": {
        "horizon": 150,
        "casts": [b.cast(f"c{n}", required=True, holds=["model"]) for n in range(2)],
        "people": [b.person(hours=[(0, 150)])],
        "orders": (),
    },
}


@pytest.mark.parametrize("code", sorted(IMPOSSIBLE))
def test_impossible(code: str) -> None:
    scenario = b.bisque_and_back(**IMPOSSIBLE[code])
    assert first_plan(scenario) is None
    assert [r.code for r in infeasible_reasons(scenario)] == [code]


@pytest.mark.parametrize("seed", range(60))
def test_what_has_a_plan_is_never_called_impossible(seed: int) -> None:
    scenario = studios.strange(seed)
    if first_plan(scenario) is not None:
        assert infeasible_reasons(scenario) == ()
