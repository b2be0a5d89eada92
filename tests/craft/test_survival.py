"""The life of moulds, against published survival tables and a reference library."""

from __future__ import annotations

from itertools import pairwise
from math import exp, log
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from planner.craft.ranges import OutOfRange
from planner.craft.survival import (
    Life,
    Stated,
    bounds,
    kaplan_meier,
    lasts,
    learned,
    outlook,
    to_pour,
    uses_left,
)

pytestmark = pytest.mark.one_lane


def lives(text: str) -> list[Life]:
    """Times as textbooks print them, a plus for those still going."""
    return [Life(int(x.rstrip("+")), not x.endswith("+")) for x in text.split()]


# Freireich and others, Blood 1963, weeks of remission under 6-MP; data as in Le, Introductory Biostatistics, ex. 11.1.
SIX_MP = lives("6 6 6 6+ 7 9+ 10 10+ 11+ 13 16 17+ 19+ 20+ 22 23 25+ 32+ 32+ 34+ 35+")
PLACEBO = lives("1 1 2 2 3 4 4 5 5 8 8 8 8 11 11 12 12 15 17 22 23")
# Miller, Survival Analysis 1981, acute myelogenous leukaemia with maintenance (from memory).
AML = lives("9 13 13+ 18 23 28+ 31 34 45+ 48 161+")


def test_the_remissions_of_freireich() -> None:
    """Survival and Greenwood's error as textbooks of survival analysis print them for 6-MP (digits from memory)."""
    table = [(6, 21, 0.857, 0.0764), (7, 17, 0.807, 0.0869), (10, 15, 0.753, 0.0963), (13, 12, 0.690, 0.1068),
             (16, 11, 0.627, 0.1141), (22, 7, 0.538, 0.1282), (23, 6, 0.448, 0.1346)]  # fmt: skip
    got = kaplan_meier(SIX_MP)
    assert [(s.uses, s.at_risk) for s in got] == [(t, n) for t, n, _, _ in table]
    assert [s.lasting for s in got] == pytest.approx([x for _, _, x, _ in table], abs=5e-4)
    assert [s.error for s in got] == pytest.approx([e for _, _, _, e in table], abs=5e-5)


def test_without_any_still_going_it_is_the_plain_share() -> None:
    """Placebo: of 21 children 8 relapsed later than 8 weeks, so 8/21, with the error of a plain share."""
    at_8 = next(s for s in kaplan_meier(PLACEBO) if s.uses == 8)
    assert at_8.lasting == pytest.approx(8 / 21)
    assert at_8.error == pytest.approx((8 / 21 * 13 / 21 / 21) ** 0.5)
    assert kaplan_meier(PLACEBO)[-1].lasting == pytest.approx(0, abs=1e-12)


def test_the_maintained_patients_of_miller() -> None:
    """0.909, 0.818, 0.716, 0.614, 0.491, 0.368, 0.184 (from memory)."""
    assert [s.lasting for s in kaplan_meier(AML)] == pytest.approx(
        [0.909, 0.818, 0.716, 0.614, 0.491, 0.368, 0.184], abs=5e-4
    )


@pytest.mark.parametrize("data", [SIX_MP, AML])
def test_curve_and_bounds_are_those_of_scipy(data: list[Life]) -> None:
    reference = stats.ecdf(stats.CensoredData.right_censored([x.uses for x in data], [not x.ended for x in data])).sf
    wide = reference.confidence_interval(0.95, method="log-log")
    for step in kaplan_meier(data):
        low, high = bounds(step, 0.95)
        assert step.lasting == pytest.approx(reference.evaluate(step.uses))
        assert (low, high) == (
            pytest.approx(wide.low.evaluate(step.uses)),
            pytest.approx(wide.high.evaluate(step.uses)),
        )


def test_a_stated_life_of_next_to_no_weight_is_kaplan_and_meier() -> None:
    """Walker and Muliere 1997: the posterior tends to the product-limit curve as the prior's weight falls."""
    steps = {s.uses: s.lasting for s in kaplan_meier(SIX_MP)}
    curve = learned(SIX_MP, Stated(usual=20, shape=1.5, moulds=0.5))
    heavy = learned(SIX_MP, Stated(usual=20, shape=1.5, moulds=50))
    for uses, lasting in steps.items():
        assert curve.beyond(uses) == pytest.approx(lasting, abs=0.03)
        assert heavy.beyond(uses) == pytest.approx(Stated(20, 1.5).lasting(uses), abs=0.16)


def test_without_a_record_it_is_the_stated_life() -> None:
    curve = learned([])
    assert curve.beyond(90) == pytest.approx(0.5)
    assert [curve.beyond(u) for u in (0, 30, 150)] == pytest.approx([Stated().lasting(u) for u in (0, 30, 150)])


def test_moulds_may_outlast_whatever_was_stated() -> None:
    """A mould still good after 1900 uses where five were stated: the curve is 1 until then, and ends there."""
    curve = learned([Life(1900, False)], Stated(usual=5, shape=6, moulds=0.5))
    assert curve.beyond(1900) == pytest.approx(
        1 - 0.5 / 1.5, abs=0.01
    )  # the stated half mould ended, one of 1.5 did not
    assert curve.beyond(1901) == 0 and uses_left(curve, 1901) == 0


def test_bad_luck_alone_leaves_a_mould_as_good_as_new() -> None:
    """Shape 1 forgets: half-life 70, so 1 / (e^(ln 2 / 70) − 1) uses left at any time, the mean of a geometric life."""
    curve = learned([], Stated(usual=70, shape=1))
    mean = 1 / (exp(log(2) / 70) - 1)
    assert uses_left(curve, 0) == pytest.approx(mean, rel=1e-3)
    assert uses_left(curve, 100) == pytest.approx(mean, rel=1e-3)
    assert lasts(curve, 40, 70) == pytest.approx(0.5)


def test_worn_moulds_come_first_and_new_ones_are_poured_in_time() -> None:
    curve = learned([])
    seen = outlook({"3": 20, "7": 110, "9": 85}, 20, curve)
    assert [o.mould for o in seen] == ["7", "9", "3"]
    assert seen[0].lasts < 0.6 and seen[2].lasts > 0.9 and seen[2].left > 60
    one = lasts(curve, 0, 20)
    two = to_pour({"7": 110}, 20, curve, keep=2)
    good = seen[0].lasts * stats.binom.sf(0, two, one) + (1 - seen[0].lasts) * stats.binom.sf(1, two, one)
    less = seen[0].lasts * stats.binom.sf(0, two - 1, one) + (1 - seen[0].lasts) * stats.binom.sf(1, two - 1, one)
    assert good >= 0.9 > less
    assert to_pour({"3": 0, "4": 0}, 5, curve, keep=1) == 0


@settings(max_examples=10, deadline=None)
@given(st.integers(0, 10**6), st.floats(50, 140))
def test_a_true_life_is_recovered_from_a_made_up_record(seed: int, usual: float) -> None:
    """80 moulds, some still good: the use that half outlast is found within 0.32 in ln.

    The standard error of a median of 80, a third of them censored, is near 1.25 × 0.51 / √55 = 0.09 in ln, as this
    Weibull life spreads by π / (√6 × 2.5) = 0.51 in ln; the prior of 4 moulds at 90 uses adds at most 0.03.
    """
    chance = Random(seed)
    record = []
    for _ in range(80):
        true = round(usual * (-log(chance.random()) / log(2)) ** (1 / 2.5))
        watched = chance.randrange(30, 250)
        record.append(Life(min(true, watched), true <= watched))
    curve = learned(record)
    half = next(u for u in range(600) if curve.beyond(u) <= 0.5)
    assert abs(log(half / usual)) < 0.32
    assert all(a >= b for a, b in pairwise(curve.lasting))


def test_what_cannot_be_is_refused_in_words() -> None:
    with pytest.raises(OutOfRange, match="uses of a mould"):
        Life(-1, True)
    with pytest.raises(OutOfRange, match="usual life"):
        Stated(usual=2)
    with pytest.raises(OutOfRange, match="longer than a new mould lasts"):
        to_pour({}, 400, learned([]), 3)
    with pytest.raises(OutOfRange, match="uses planned"):
        lasts(learned([]), 3, -1)


def test_one_watched_late_counts_from_then_on() -> None:
    """By hand: of three moulds one is watched from 20 uses on. At 10 two are at risk and one ends: 1/2. At 30 the other
    two are at risk, one ends: 1/4. Entered at 0, the third would have been at risk at 10 too: 2/3 and 1/3."""
    late = [Life(10, True), Life(30, True), Life(50, False, entered=20)]
    assert [(s.uses, s.at_risk, s.lasting) for s in kaplan_meier(late)] == [(10, 2, 0.5), (30, 2, 0.25)]
    early = [Life(10, True), Life(30, True), Life(50, False)]
    assert [s.lasting for s in kaplan_meier(early)] == pytest.approx([2 / 3, 1 / 3])
    light = Stated(usual=1000, shape=1, moulds=0.5)
    assert learned(late, light).beyond(40) < learned(early, light).beyond(40)


def test_the_curve_of_late_ones_is_the_formula_by_hand() -> None:
    """The product over uses of 1 − (c (G(u−1) − G(u)) + ended) / (c G(u−1) + at risk), at risk counted one by one."""
    record = [
        Life(10, True),
        Life(30, True),
        Life(50, False, 20),
        Life(25, True, 25),
        Life(0, True),
        Life(60, True, 59),
    ]
    stated = Stated(usual=40, shape=2, moulds=3)
    share = 1 - 1 / (3 + 3)  # at no use: three were there from new, one of them ended
    curve = learned(record, stated)
    for u in range(1, 90):
        risk = sum(x.entered < u <= x.uses for x in record)
        ended = sum(x.ended and x.uses == u and x.entered < u for x in record)
        g0, g1 = stated.lasting(u - 1), stated.lasting(u)
        share *= 1 - (3 * (g0 - g1) + ended) / (3 * g0 + risk)
        assert curve.beyond(u) == pytest.approx(share)
    assert curve.beyond(0) == pytest.approx(5 / 6)


@settings(max_examples=8, deadline=None)
@given(st.integers(0, 10**6), st.floats(60, 130))
def test_a_true_life_is_recovered_though_half_were_watched_late(seed: int, usual: float) -> None:
    """As above, but every other mould came with 40 uses behind it, and those that had ended by then were never seen.

    Fewer are seen at few uses, so within 0.36 in ln: 4 × the standard error of 0.09.
    """
    chance = Random(seed)
    record = []
    while len(record) < 80:
        true = round(usual * (-log(chance.random()) / log(2)) ** (1 / 2.5))
        entered = 40 * (len(record) % 2)
        if true > entered:
            watched = chance.randrange(entered + 10, 250)
            record.append(Life(min(true, watched), true <= watched, entered))
    curve = learned(record)
    half = next(u for u in range(600) if curve.beyond(u) <= 0.5)
    assert abs(log(half / usual)) < 0.36
