"""The checker accepts the published optimum at exactly its cost, and the planner finds it where it is small enough."""

from __future__ import annotations

from itertools import permutations

import pytest

from planner.checks import check
from planner.plan import Plan
from planner.scenario import Scenario
from planner.solve import Progress, solve
from tests.planner.published import Case
from tests.planner.published_cases import CASES as FIRST_CASES
from tests.planner.published_cases import SHORT_FLOW
from tests.planner.published_kiln_cases import KILN_CASES

BUSY = 8  # times the seconds that a case takes on a calm machine; it ends when the optimum is there

CASES: dict[str, Case] = FIRST_CASES | KILN_CASES


@pytest.mark.parametrize("name", CASES)
def test_the_published_optimum_is_valid_at_its_cost(name: str) -> None:
    case = CASES[name]
    assert [str(v) for v in check(case.scenario, case.plan)] == []
    assert case.plan.cost == case.best


@pytest.mark.parametrize("name", [n for n, c in CASES.items() if c.seconds is not None])
def test_the_planner_finds_the_published_optimum_in_its_time(name: str) -> None:
    case = CASES[name]
    costs: list[int | None] = [None]

    def hear(progress: Progress) -> None:
        costs.append(progress.cost)

    plan = solve(
        case.scenario, seconds=BUSY * case.seconds, workers=2, seed=1,
        on_progress=hear, should_stop=lambda: costs[-1] == case.best,
    )  # fmt: skip
    _is_sound(case.scenario, plan, case.best)
    assert plan.cost == case.best


@pytest.mark.parametrize("name", [n for n, c in CASES.items() if c.seconds is None])
def test_no_plan_is_cheaper_than_a_published_optimum_nor_far_from_it(name: str) -> None:
    case = CASES[name]
    plan = solve(case.scenario, seconds=3, workers=2, seed=1)
    _is_sound(case.scenario, plan, case.best)
    assert plan.cost <= 1.5 * case.best + 1


def _is_sound(scenario: Scenario, plan: Plan, best: int) -> None:
    assert plan.status in ("optimal", "feasible")
    assert check(scenario, plan) == []
    assert plan.cost >= best
    assert plan.bound is None or plan.bound <= best
    assert plan.status != "optimal" or plan.cost == best


def _makespan(turn: list[int], join: list[int], order: tuple[int, ...]) -> int:
    first = second = 0
    for j in order:
        first += turn[j]
        second = max(first, second) + join[j]
    return second


def test_a_minute_less_than_the_shortest_flow_costs_one_batch() -> None:
    """Johnson's five items: all orders tried, the shortest takes 47; without the second item 46 are enough."""
    turn, join = [4, 4, 30, 6, 2], [5, 1, 4, 30, 3]
    assert min(_makespan(turn, join, order) for order in permutations(range(5))) == 47
    assert min(_makespan(turn, join, order) for order in permutations((0, 2, 3, 4))) <= 46
    plan = solve(SHORT_FLOW, seconds=3, workers=2, seed=1)
    _is_sound(SHORT_FLOW, plan, 1)
    assert (plan.cost, len(plan.spoiled)) == (1, 1)
