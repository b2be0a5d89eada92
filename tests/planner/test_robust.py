"""How sure a plan is: exact chances where they are known, properties where they are not."""

from __future__ import annotations

import time
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise
from math import comb, sqrt
from random import Random

import pytest

from planner.bench.studios import lifelike
from planner.checks import check
from planner.costs import with_costs
from planner.dispatch import first_plan
from planner.plan import Plan
from planner.promise.horizon import longer
from planner.robust import Losses, Range, Spread, Sureness, at_least, starts_needed, sureness
from planner.robust.compile import line_of
from planner.robust.play import Run
from planner.robust.spread import NOTHING, STEADY
from planner.scenario import Scenario
from tests.craft.starts import STARTS
from tests.planner import builders as b

DAY = 1440


def planned(s: Scenario) -> Plan:
    plan = first_plan(s)
    assert plan is not None
    return plan


def within(share: float, exact: float, runs: int) -> bool:
    """Within four standard deviations of the exact chance."""
    return abs(share - exact) <= 4 * sqrt(exact * (1 - exact) / runs)


# exact chances; the figures were computed with scipy.stats.binom (SciPy, BSD licence)


@pytest.mark.parametrize(
    ("need", "share", "sure", "starts", "chance", "one_less"),
    STARTS,
)
def test_pieces_to_start_agree_with_the_binomial_tail(
    need: int, share: float, sure: float, starts: int, chance: float, one_less: float
) -> None:
    assert starts_needed(need, share, sure) == starts
    assert at_least(starts, share, need) == pytest.approx(chance, abs=5e-6)
    assert at_least(starts - 1, share, need) == pytest.approx(one_less, abs=5e-6)


@pytest.mark.parametrize("pieces", [1, 7, 30, 200])
def test_the_tail_is_the_sum_of_the_exact_fractions(pieces: int) -> None:
    share = Fraction(9, 10)
    for need in range(0, pieces + 2, max(1, pieces // 7)):
        exact = sum(
            comb(pieces, k) * share**k * (1 - share) ** (pieces - k) for k in range(need, pieces + 1)
        )
        assert at_least(pieces, 0.9, need) == pytest.approx(float(exact), rel=1e-9, abs=1e-12)


def test_the_tail_holds_for_many_pieces_and_at_its_ends() -> None:
    assert at_least(499, 0.9, 440) == pytest.approx(at_least(500, 0.9, 440), abs=0.05)
    assert at_least(5000, 0.9, 4500) == pytest.approx(0.5, abs=0.02)  # the mean
    assert (at_least(5, 1.0, 5), at_least(5, 0.0, 1), at_least(5, 0.5, 0), at_least(5, 0.5, 6)) == (1, 0, 1, 0)
    assert starts_needed(0, 0.9, 0.9) == 0 and starts_needed(7, 1.0, 0.99) == 7
    with pytest.raises(ValueError, match="both lie between 0 and 1"):
        starts_needed(5, 0.0, 0.9)


def in_the_kiln(count: int = 30) -> Scenario:
    """``count`` glazed bowls that go into the glost now and are packed."""
    return b.bisque_and_back(
        wip=[b.glazed(count=count)], orders=[b.order(qty=count, due=DAY)], kilns=[b.kiln(shelves=8)], moulds=()
    )


def test_enough_good_pieces_as_often_as_the_binomial_says() -> None:
    """30 pieces of which nine in ten come out good: 27 or more with 1 - 0.352561 (the table's cdf at 26)."""
    s = in_the_kiln()
    spread = replace(NOTHING, usual_losses=Losses(0, 0, 0.1))
    (row,) = sureness(s, planned(s), spread=spread, firsts={"o1": 27}, runs=2000)
    assert within(row.enough, 1 - 0.352561, 2000) and row.on_date == row.enough
    assert row.fewest == 25  # ppf .1: cdf(24) = .0732, cdf(25) = .1755
    assert row.sure_by is None and row.slack is None
    assert row.more == starts_needed(27, 0.9, 0.9) - 30 == 2
    assert "2 more to start make it 9 in 10" in row.text


def test_on_its_date_as_often_as_the_triangle_says() -> None:
    """A work that takes 0.5 to 2 times as long, 1 most often: within the plan in (1 - 0.5) / (2 - 0.5) = 1 of 3."""
    form = b.form(finish=b.Work(1000, 0))
    s = b.bisque_and_back(forms=[form], wip=[b.fired()], orders=[b.order(due=1000)], moulds=())
    spread = replace(NOTHING, kinds={"finish": Range(0.5, 1, 2)})
    (row,) = sureness(s, planned(s), spread=spread, runs=2000)
    assert within(row.on_date, 1 / 3, 2000)
    # nine in ten: 1 - (2 - x)**2 / ((2 - 0.5) * (2 - 1)) = 0.9
    assert row.sure_by == pytest.approx(1000 * (2 - sqrt(0.1 * 1.5)), rel=0.02)
    assert row.slack is not None and row.sure_by == 1000 + row.slack


# properties


@pytest.mark.parametrize("seed", range(16))
def test_a_plan_in_which_nothing_varies_is_never_later_than_planned(seed: int) -> None:
    s = lifelike(seed, ("tiny", "small", "medium", "tiny")[seed % 4], load=(0.7, 1.1)[seed % 2])
    plan = planned(s)
    assert check(s, plan) == []
    run = Run(line_of(s, plan), NOTHING, Random(0))
    tasks = sorted(plan.tasks, key=lambda t: (t.start, t.end, t.id))
    assert [(t.id, t.end, end) for t, end in zip(tasks, run.ends, strict=True) if end > t.end] == []
    packed = {o: sum(n for _, n in rows) for o, rows in run.packed.items()}
    wanted: dict[str, int] = {}
    for n in plan.finishes:
        wanted[n.order] = wanted.get(n.order, 0) + n.count
    assert packed == wanted


@pytest.mark.parametrize("seed", range(8))
def test_nobody_and_no_station_does_two_things_at_once(seed: int) -> None:
    s = lifelike(60 + seed, "small")
    plan = planned(s)
    line = line_of(longer(s, 21), plan)
    run = Run(line, Spread(), Random(seed))
    for key in ("person", "station"):
        rows: dict[int, list[tuple[int, int]]] = {}
        for place, start, end in zip(line.places, run.starts, run.ends, strict=True):
            if (who := getattr(place, key)) >= 0:
                rows.setdefault(who, []).append((start, end))
        for line_of_one in rows.values():
            line_of_one.sort()
            assert all(x[1] <= y[0] for x, y in pairwise(line_of_one))


@pytest.mark.parametrize("seed", range(6))
def test_the_slack_that_is_named_makes_it_nine_in_ten(seed: int) -> None:
    s = lifelike(80 + seed, "small", load=0.8)
    plan = planned(s)
    rows = {r.order: r for r in sureness(s, plan, runs=60)}
    assert all(0 <= r.on_date <= 1 and r.slack is not None for r in rows.values())
    later = tuple(
        replace(o, due=o.due + (rows[o.id].slack or 0)) if o.id in rows else o for o in s.orders
    )
    eased = replace(s, orders=later)
    again = sureness(eased, with_costs(eased, plan), runs=60)
    assert [r.order for r in again] == list(rows)
    assert all(r.on_date >= 0.9 for r in again)
    for r in rows.values():
        assert r.slack == 0 or r.on_date < 0.9


def test_orders_that_the_plan_leaves_open_are_left_out() -> None:
    s = lifelike(3, "small", load=1.6)
    plan = planned(s)
    open_ = {o.id for o in plan.orders if o.reckoned}
    assert open_ and not open_ & {r.order for r in sureness(s, plan, runs=5)}


def test_more_losses_never_make_more_orders_sure() -> None:
    s = lifelike(4, "small", load=0.8)
    plan = planned(s)
    firsts = {o.id: max(1, o.qty * 8 // 10) for o in s.orders}

    def enough(share: float) -> list[float]:
        losses = Losses(share, 0, share)
        rows = sureness(s, plan, spread=replace(NOTHING, usual_losses=losses), firsts=firsts, runs=40)
        return [r.enough for r in rows]

    none, some, many = enough(0), enough(0.1), enough(0.4)
    assert none == [1.0] * len(none)
    assert sum(some) <= sum(none) and sum(many) < sum(none)


def test_the_same_seed_gives_the_same_answer_and_another_another() -> None:
    s = lifelike(7, "tiny")
    plan = planned(s)
    assert sureness(s, plan, runs=30, seed=1) == sureness(s, plan, runs=30, seed=1)
    ends = {tuple(Run(line_of(s, plan), Spread(), Random(n)).ends) for n in range(5)}
    assert len(ends) == 5


def test_two_hundred_runs_of_a_medium_plan_take_less_than_a_second() -> None:
    s = lifelike(2, "medium")
    plan = planned(s)
    begun = time.process_time()
    rows: tuple[Sureness, ...] = sureness(s, plan)
    assert rows and time.process_time() - begun < 1


def test_a_wish_to_stop_is_heard() -> None:
    s = lifelike(2, "tiny")
    assert {r.runs for r in sureness(s, planned(s), should_stop=lambda: True)} == {1}


def test_ware_past_its_window_is_lost_as_often_as_said() -> None:
    """Nobody is there from minute 30 to 900 and the mould cannot be covered: 8 pieces in it must be out by 300."""
    s = b.bisque_and_back(
        forms=[b.form(release_after_covered=None)],
        moulds=b.moulds(8, ready=None),
        wip=[b.in_mould(moulds=[f"m{i + 1}" for i in range(8)], until=300)],
        people=[b.person(hours=[(0, 30), (900, 9 * DAY)])],
        orders=[b.order(qty=8, due=9 * DAY)],
    )
    late = replace(s, people=(b.person(hours=[(0, 300), (301, 9 * DAY)]),))
    plan = planned(late)
    assert plan.spoiled == () and plan.finishes
    spread = replace(NOTHING, past_window=1.0)
    kept, lost = Run(line_of(late, plan), spread, Random(0)), Run(line_of(s, plan), spread, Random(0))
    assert sum(n for _, n in kept.packed["o1"]) == 8 and sum(n for _, n in lost.packed["o1"]) == 0


def test_nonsense_is_refused() -> None:
    for low, usual, high in ((0, 1, 2), (1, 0.5, 2), (1, 2, 1.5)):
        with pytest.raises(ValueError, match="no range"):
            Range(low, usual, high)
    with pytest.raises(ValueError, match="no share"):
        Losses(making=1.0)
    assert STEADY.draw(Random(0)) == 1.0
    assert Spread(losses={"bowl": Losses(0.1, 0.1, 0.1)}).of_form("bowl").survival == pytest.approx(0.729)
