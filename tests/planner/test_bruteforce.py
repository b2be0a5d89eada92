"""The planner against every way there is, on studios a few minutes long.

Feasibility is asked both ways and apart: what brute force can do the planner plans, what it cannot the planner proves
impossible. No plan is ever cheaper than the cheapest way, no bound ever above it, and nearly all plans reach it.
"""

from __future__ import annotations

from functools import cache
from time import monotonic

import pytest

from planner.checks import check
from planner.plan import Plan
from planner.solve import Progress, solve
from tests.planner.brute_parts import Problem
from tests.planner.brute_problems import FAMILIES

SECONDS = 0.5
PATIENCE = 8
SEEDS = {"core": range(30), "finishing": range(10), "chain": range(10), "sharing": range(10)}
ALL = [(family, seed) for family, seeds in SEEDS.items() for seed in seeds]


@cache
def _problem(family: str, seed: int) -> Problem:
    made: Problem = FAMILIES[family](seed)
    return made


@cache
def _solved(family: str, seed: int) -> Plan:
    """The planner's answer: for at least ``SECONDS``, and for up to ``PATIENCE`` while the cheapest way is not found.

    A slow or busy machine then costs time, not the outcome.
    """
    scenario, best = _problem(family, seed)
    begun = monotonic()
    cheapest: list[int | None] = [None]

    def saw(progress: Progress) -> None:
        cheapest[0] = progress.cost

    def enough() -> bool:
        return monotonic() - begun > SECONDS and best is not None and cheapest[0] == best

    return solve(scenario, seconds=PATIENCE, workers=2, seed=seed, on_progress=saw, should_stop=enough)


@pytest.mark.parametrize(("family", "seed"), ALL)
def test_the_planner_agrees_on_what_is_possible(family: str, seed: int) -> None:
    best = _problem(family, seed)[1]
    plan = _solved(family, seed)
    if best is None:
        assert plan.status == "infeasible"
        assert plan.reasons
    else:
        assert plan.status in ("feasible", "optimal")


@pytest.mark.parametrize(("family", "seed"), ALL)
def test_no_plan_is_cheaper_and_no_bound_higher_than_the_cheapest_way(family: str, seed: int) -> None:
    scenario, best = _problem(family, seed)
    plan = _solved(family, seed)
    if best is None:
        assert plan.tasks == ()
        return
    assert [str(v) for v in check(scenario, plan)] == []
    assert plan.cost >= best
    assert plan.bound is None or plan.bound <= best
    assert plan.status == "feasible" or plan.cost == best


@pytest.mark.parametrize("family", SEEDS)
def test_nearly_all_plans_are_the_cheapest_there_are(family: str) -> None:
    possible = [seed for seed in SEEDS[family] if _problem(family, seed)[1] is not None]
    reached = [seed for seed in possible if _solved(family, seed).cost == _problem(family, seed)[1]]
    assert len(reached) >= 0.75 * len(possible), sorted(set(possible) - set(reached))


def test_both_answers_are_asked_for() -> None:
    """A test that only ever meets possible studios, or impossible ones, would say nothing of the other."""
    impossible = [seed for seed in SEEDS["core"] if _problem("core", seed)[1] is None]
    assert 5 <= len(impossible) <= len(SEEDS["core"]) - 5


def test_every_part_of_the_must_do_core_comes_up() -> None:
    scenarios = [_problem("core", seed)[0] for seed in SEEDS["core"]]
    assert {w.stage for s in scenarios for w in s.wip} == {"in_mould", "released", "firing"}
    assert {c.poured is None for s in scenarios for c in s.casts} == {True, False}
    assert any(len(s.people) == 2 for s in scenarios) and any(s.jobs for s in scenarios)
    assert {j.person is None for s in scenarios for j in s.jobs} == {
        j.station is None for s in scenarios for j in s.jobs
    }
