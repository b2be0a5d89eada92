"""No bound is above the cost of any plan: of the examples, the dispatcher, the search, brute force, or tighter studios.

A plan of the same studio with fewer moulds, boards, uses or hours is a plan of the studio itself, so its bound holds
for that one too. The last tests break the relaxation on purpose and see that the ones before would notice.
"""

from __future__ import annotations

import random
from collections.abc import Iterable, Iterator
from functools import cache

import pytest

from planner.bench.studios import disturbed, lifelike, strange
from planner.bound import Alone, lower_bound
from planner.checks import check
from planner.costs import reckon
from planner.dispatch import dispatch, first_plan
from planner.dispatch.first import first_habits
from planner.dispatch.vary import mutated
from planner.jsonio import scenario_from_json, scenario_to_json
from planner.model.proof import firing, kilns, leather, moulds, orders, pressing, tools, turns
from planner.model.proof.exact import Known, solve_whole
from planner.model.proof.prove import DAYS, EVENINGS, HALF_DAYS, LONG, MINUTES, SHORT, prove
from planner.model.proof.relaxation import Level, Relaxation
from planner.model.proof.time import Hands
from planner.plan import Plan
from planner.scenario import Scenario
from tests.planner.brute_problems import FAMILIES
from tests.planner.test_examples import VALID, load, name_of

LEVELS = pytest.mark.parametrize("level", [DAYS, SHORT, HALF_DAYS], ids=["days", "short", "half days"])
ROUNDING = 1e-4
STRANGE = range(45)


def bound_of(scenario: Scenario, level: Level) -> float:
    """What one relaxation alone proves in fractions."""
    return Relaxation(scenario, level).fractional(5) or 0.0


def whole_bound_of(scenario: Scenario, level: Level, seconds: float) -> float:
    """What it proves in whole numbers; infinity if it has no solution at all."""
    heard = [0.0]
    solved = solve_whole(Relaxation(scenario, level).mip, seconds, Known(), None, heard.append)
    if solved.ended and heard[-1] == float("inf"):
        return heard[-1]
    return max(heard)


def tighter(scenario: Scenario, chance: random.Random) -> Scenario:
    """The same studio with less of something."""
    s = scenario_to_json(scenario)
    free = [m for m in s["moulds"] if m["ready"] is not None]
    for _ in range(chance.randint(1, 3)):
        what = chance.choice(["moulds", "boards", "hours", "extra", "uses"])
        if what == "moulds" and free:
            lost = free.pop(chance.randrange(len(free)))
            s["moulds"] = [m for m in s["moulds"] if m is not lost]
        elif what == "boards":
            rack = chance.choice(["damp", "drying", "glazed"])
            s["racks"][rack] = s["racks"][rack] * 2 // 3
        elif what in ("hours", "extra") and s["people"]:
            spans = chance.choice(s["people"])[what]
            if spans:
                spans.pop(chance.randrange(len(spans)))
        elif what == "uses" and s["moulds"]:
            mould = chance.choice(s["moulds"])
            mould["uses_left"] = mould["uses_left"] // 2
    return scenario_from_json(s)


def plans_of(scenario: Scenario, chance: random.Random, times: int) -> Iterator[Plan]:
    """What the dispatcher makes of a studio with its first and with random habits, here and where there is less."""
    for n in range(times):
        ground = scenario if n % 2 == 0 else tighter(scenario, chance)
        habits = chance.choice(first_habits(ground))
        for _ in range(n):
            habits = mutated(habits, ground, chance)
        plan = first_plan(ground) if n < 2 else dispatch(ground, habits)
        if plan is not None and check(scenario, plan) == []:
            yield plan


@cache
def least_of(seed: int) -> tuple[Scenario, int | None]:
    """A strange studio and the cheapest of some plans for it, in its own terms."""
    scenario = strange(seed)
    costs = [reckon(scenario, plan).cost for plan in plans_of(scenario, random.Random(seed), 4)]
    return scenario, min(costs, default=None)


def too_high(seeds: Iterable[int], level: Level) -> list[int]:
    """Seeds of strange studios for which a plan is cheaper than the bound."""
    made = [(seed, *least_of(seed)) for seed in seeds]
    return [seed for seed, s, cost in made if cost is not None and bound_of(s, level) > cost + ROUNDING]


@LEVELS
def test_no_bound_is_above_a_plan_of_a_strange_studio(level: Level) -> None:
    assert sum(least_of(seed)[1] is not None for seed in STRANGE) > 35
    assert too_high(STRANGE, level) == []


@LEVELS
def test_no_whole_bound_is_above_a_plan_of_a_strange_studio(level: Level) -> None:
    made = [(seed, *least_of(seed)) for seed in STRANGE]
    short = [(seed, whole_bound_of(s, level, 0.5), cost) for seed, s, cost in made if cost is not None]
    assert [(seed, bound, cost) for seed, bound, cost in short if bound > cost + ROUNDING] == []


@pytest.mark.parametrize("seed", range(6))
def test_no_bound_is_above_a_plan_of_a_lifelike_or_disturbed_studio(seed: int) -> None:
    scenario = lifelike(seed, days=6, load=0.7 + 0.1 * (seed % 6))
    for s in (scenario, disturbed(scenario, seed, 2)):
        least = min((reckon(s, p).cost for p in plans_of(s, random.Random(seed), 4)), default=10**9) + ROUNDING
        assert max(lower_bound(s), bound_of(s, HALF_DAYS), bound_of(s, DAYS)) <= least


@pytest.mark.parametrize(
    "level", [DAYS, EVENINGS, SHORT, LONG, MINUTES], ids=["days", "evenings", "short", "long", "minutes"]
)
def test_no_whole_bound_is_above_a_plan(level: Level) -> None:
    for seed in range(3):
        scenario = lifelike(seed, days=5, load=0.6)
        costs = [reckon(scenario, p).cost for p in plans_of(scenario, random.Random(seed), 6)]
        assert whole_bound_of(scenario, level, 1) <= min(costs) + ROUNDING


@pytest.mark.parametrize("entry", VALID, ids=name_of)
def test_no_bound_is_above_a_worked_plan(entry: dict[str, object]) -> None:
    scenario, plan = load(entry)
    cost = reckon(scenario, plan).cost
    assert lower_bound(scenario) <= cost
    assert bound_of(scenario, DAYS) <= cost + ROUNDING
    if len(scenario.orders) < 5:
        assert prove(scenario, 1, None, lambda bound: None) <= cost
        assert bound_of(scenario, HALF_DAYS) <= cost + ROUNDING


@pytest.mark.parametrize("family", list(FAMILIES))
def test_no_bound_is_above_the_cheapest_of_all_ways(family: str) -> None:
    """Brute force knows the optimum; the proof is not told of it."""
    for seed in range(10):
        scenario, best = FAMILIES[family](seed)
        if best is not None:
            assert prove(scenario, 1, None, lambda bound: None) <= best


def test_bounds_rise_and_end_at_the_incumbent() -> None:
    scenario, best = FAMILIES["finishing"](3)
    assert best is not None
    heard: list[int] = []
    last = prove(scenario, 2, best, heard.append)
    assert heard == sorted(set(heard))
    assert last == heard[-1] <= best


def test_nothing_is_looked_at_below_a_plan_that_costs_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    scenario, _ = FAMILIES["finishing"](3)
    looked: list[Level] = []
    monkeypatch.setattr(Relaxation, "__init__", lambda self, scenario, level: looked.append(level))
    assert prove(scenario, 2, 0, lambda bound: None) >= 0
    assert looked == []


@pytest.mark.parametrize(
    "breaking", ["kilns", "labour", "loads", "moulds", "dry", "glazed", "ready", "loaded", "hurry"]
)
def test_a_relaxation_that_cuts_off_plans_is_caught(breaking: str, monkeypatch: pytest.MonkeyPatch) -> None:
    right_lit, right_each, right_alone = kilns.lit_from, orders.each, firing.alone
    right_turns, right_dry, right_glazed = moulds.Moulds.turns, moulds.Moulds.most_dry, Alone.glazed_from
    if breaking == "kilns":  # lit a day late
        monkeypatch.setattr(kilns, "lit_from", lambda kiln, at: right_lit(kiln, at + 1440))
    elif breaking == "labour":
        for module in (pressing, leather, tools, orders):
            monkeypatch.setattr(module, "each", lambda work, most=None: 30 * right_each(work, most))
    elif breaking == "loads":
        monkeypatch.setattr(firing, "alone", lambda kiln, form, stage: right_alone(kiln, form, stage) // 8)
    elif breaking == "dry":
        monkeypatch.setattr(moulds.Moulds, "most_dry", lambda *given: right_dry(*given) // 4)
    elif breaking == "ready":  # moulds ready a day late
        right_node = turns.Turns.node
        monkeypatch.setattr(turns.Turns, "node", lambda t, at, bucket=0: right_node(t, at + 1440, bucket))
    elif breaking == "loaded":  # ware loaded half a day early
        right_last = firing.Firing._last
        monkeypatch.setattr(firing.Firing, "_last", lambda *given: right_last(*given) - 720)
    elif breaking == "hurry":
        right_after = Hands.minutes_after
        monkeypatch.setattr(Hands, "minutes_after", lambda *given: right_after(*given) // 20)
    elif breaking == "glazed":
        monkeypatch.setattr(Alone, "glazed_from", lambda *given: right_glazed(*given)[1:])
    else:
        monkeypatch.setattr(moulds.Moulds, "turns", lambda *given: right_turns(*given) // 2)
    assert too_high(STRANGE, HALF_DAYS) != []
