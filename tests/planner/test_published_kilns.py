"""The optima of :mod:`tests.planner.published_kiln_cases`: tried all ways, and a minute less than each is too short."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from itertools import combinations, permutations

import pytest

from planner.checks import check
from planner.plan import Plan
from planner.scenario import Scenario
from planner.solve import Progress, solve
from tests.planner import published_kiln_cases as c
from tests.planner.published_kilns import flow_makespan, glaze_and_fire, job_shop, oven, oven_makespan


def test_no_choice_of_pots_is_worth_more_than_the_knapsack() -> None:
    """Martello and Toth: 280 of 331, and all of the stack is used."""
    values, weights = c.KNAPSACK_VALUES, c.KNAPSACK_WEIGHTS
    choices = [x for n in range(9) for x in combinations(range(8), n) if sum(weights[j] for j in x) <= c.KNAPSACK_ROOM]
    best = max(choices, key=lambda x: sum(values[j] for j in x))
    assert list(best) == c.KNAPSACK_TAKEN
    assert (sum(values[j] for j in best), sum(values), sum(weights[j] for j in best)) == (280, 331, c.KNAPSACK_ROOM)


def test_nine_items_need_four_bins_though_three_have_the_volume() -> None:
    """Martello and Toth: whatever goes beside 70 leaves room that nothing fills, so three full bins cannot be."""
    items = [60, 50, 33, 33, 33, 11, 7, 3]
    assert 70 + sum(items) == 300
    beside = {sum(x) for n in range(9) for x in combinations(items, n)}
    assert 30 not in beside


def test_carlier_s_seven_jobs_take_fifty() -> None:
    def makespan(order: tuple[int, ...]) -> int:
        now = end = 0
        for j in order:
            now = max(now, c.HEADS[j]) + c.TIMES[j]
            end = max(end, now + c.TAILS[j])
        return end

    assert min(map(makespan, permutations(range(7)))) == makespan(tuple(c.CARLIER_ORDER)) == c.CARLIER_BEST


def test_no_order_has_a_smaller_sum_than_smith_s_rule() -> None:
    def total(order: tuple[int, ...]) -> int:
        ends = [sum(c.SMITH_TIMES[j] for j in order[: i + 1]) for i in range(7)]
        return sum(c.SMITH_WEIGHTS[j] * end for j, end in zip(order, ends, strict=True))

    assert min(map(total, permutations(range(7)))) == c.smith_best()


def test_full_loads_by_falling_time_are_the_shortest() -> None:
    @cache
    def shortest(left: frozenset[int]) -> int:
        if not left:
            return 0
        one, rest = min(left), sorted(left - {min(left)})
        loads = [{one, *x} for n in range(c.OVEN_ROOM) for x in combinations(rest, n)]
        return min(max(c.OVEN_TIMES[j] for j in load) + 2 + shortest(left - load) for load in loads)

    assert shortest(frozenset(range(8))) == oven_makespan(c.OVEN_TIMES, c.OVEN_LOADS)


def test_no_order_of_two_stages_is_shorter() -> None:
    for rack in (1, 9):  # Johnson, 1954: 47, and a board between the two is enough for it
        assert _shortest_flow(c.JOHNSON_GLAZE, c.JOHNSON_FIRE, rack) == c.JOHNSON_BEST
        assert flow_makespan(c.JOHNSON_GLAZE, c.JOHNSON_FIRE, c.JOHNSON_ORDER, rack) == c.JOHNSON_BEST
    best = _shortest_flow(c.NO_WAIT_GLAZE, c.NO_WAIT_FIRE, 0)
    assert best == flow_makespan(c.NO_WAIT_GLAZE, c.NO_WAIT_FIRE, c.NO_WAIT_ORDER, 0)
    assert best > _shortest_flow(c.NO_WAIT_GLAZE, c.NO_WAIT_FIRE, 1)


def _shortest_flow(glaze: list[int], fire: list[int], rack: int) -> int:
    return min(flow_makespan(glaze, fire, order, rack) for order in permutations(range(len(glaze))))


def _sooner() -> Scenario:
    """Carlier's jobs, all due a minute before they can be."""
    s = c.KILN_CASES["seven jobs with heads and tails"].scenario
    return replace(s, orders=tuple(replace(o, due=o.due - 1) for o in s.orders))


A_MINUTE_LESS = {
    "job shop of six by six in 54 minutes": lambda: job_shop(c.FT06, 54),
    "seven jobs with heads and tails": _sooner,
    "three loads of a burn-in oven": lambda: oven(c.OVEN_TIMES, c.OVEN_ROOM, oven_makespan(c.OVEN_TIMES, c.OVEN_LOADS)),
    "glazing and a kiln for one pot": lambda: glaze_and_fire(c.JOHNSON_GLAZE, c.JOHNSON_FIRE, c.JOHNSON_BEST, 9),
    "glazing and a kiln with one board between": lambda: glaze_and_fire(
        c.JOHNSON_GLAZE, c.JOHNSON_FIRE, c.JOHNSON_BEST, 1
    ),
}


@pytest.mark.parametrize("name", A_MINUTE_LESS)
def test_a_minute_less_than_the_optimum_costs_one(name: str) -> None:
    """One batch is given up, or one order late; that nothing is would be sooner than can be."""
    scenario = A_MINUTE_LESS[name]()
    plan = _solved(scenario, 1)
    assert [str(v) for v in check(scenario, plan)] == []
    assert plan.cost == 1
    assert plan.bound is not None and plan.bound <= 1


def _solved(scenario: Scenario, best: int) -> Plan:
    """The planner's plan, at once when it has the optimum."""
    found: list[int | None] = []

    def saw(progress: Progress) -> None:
        found.append(progress.cost)

    return solve(scenario, seconds=4, workers=2, seed=1, on_progress=saw, should_stop=lambda: found[-1:] == [best])


def test_packing_in_the_minute_in_which_glazing_ends_needs_no_board() -> None:
    scenario, plan = c.NO_RACK.scenario, c.NO_RACK.plan
    assert [str(v) for v in check(scenario, plan)] == []
    assert plan.cost == c.NO_RACK.best == 0
    first = solve(scenario, seconds=0)
    assert check(scenario, first) == []
    assert first.bound is not None and first.bound <= 0
