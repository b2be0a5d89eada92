"""The studio's own rate of drying: true constants come back from noisy weighings, within the error that is said."""

from __future__ import annotations

import random
from math import exp, log

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import t

from planner.craft.estimates import Factor, log_student, most_likely
from planner.craft.mould_rate import STUDIO_PRIOR, Dried, fit_rate, mould_prior, odd_ones, rate_from_two
from planner.craft.ranges import OutOfRange

pytestmark = pytest.mark.one_lane


def weighed(rng: random.Random, factor: float, n: int, scale_g: float = 5, between: float = 0.15) -> list[Dried]:
    """Pairs of weighings as a studio of this true factor would make them, with some pressings between."""
    seen = []
    for _ in range(n):
        before, hours, rate = rng.uniform(80, 700), rng.uniform(10, 70), rng.choice((0.007, 0.0117, 0.016))
        taken = ((hours * rng.random(), rng.uniform(8, 40)),) if rng.random() < 0.3 else ()
        own = factor * exp(rng.gauss(0, between))
        after = Dried(before, 0, hours, rate, taken).expected_g(own) + rng.gauss(0, scale_g)
        seen.append(Dried(max(0.0, before + rng.gauss(0, scale_g)), after, hours, rate, taken))
    return seen


def off(estimate: Factor, true: float) -> float:
    """How many of its standard errors an estimate is off."""
    return abs(log(estimate.median / true)) / estimate.spread


@settings(max_examples=40, deadline=None, derandomize=True)
@given(st.floats(0.5, 2), st.integers(6, 30), st.integers(0, 2**32))
def test_the_true_factor_comes_back_within_the_stated_error(true: float, n: int, seed: int) -> None:
    found = fit_rate(weighed(random.Random(seed), true, n))
    assert off(found, true) < 4.5
    assert found.spread < STUDIO_PRIOR.spread / 2


def test_the_stated_error_is_neither_boast_nor_excuse() -> None:
    rng = random.Random(7)
    offs = []
    for _ in range(80):
        true = exp(rng.gauss(0, 0.4))
        offs.append(off(fit_rate(weighed(rng, true, 10)), true))
    within_one, within_two = (sum(o < k for o in offs) / len(offs) for k in (1, 2))
    assert 0.55 < within_one < 0.92 and within_two > 0.9  # 0.68 and 0.95 for a perfect error


@settings(max_examples=25, deadline=None, derandomize=True)
@given(st.floats(0.6, 1.7), st.integers(0, 2**32), st.sampled_from([-400, -150, 150, 400, 1000]))
def test_one_odd_weighing_does_no_harm(true: float, seed: int, wrong_g: float) -> None:
    seen = weighed(random.Random(seed), true, 12)
    odd = Dried(300, 300 * exp(-0.0117 * true * 40) + wrong_g, 40, 0.0117)
    clean, disturbed = fit_rate(seen), fit_rate([*seen, odd])
    assert abs(log(disturbed.median / clean.median)) < clean.spread
    assert 12 in odd_ones([*seen, odd], disturbed)


def test_two_weighings_calibrate_a_mould() -> None:
    # 300 g of free water that are 150 g after 40 h: half in 40 h, so ln 2 / 40.
    assert rate_from_two(300, 150, 40) == pytest.approx(log(2) / 40)
    before = mould_prior(Factor(1.2, 0.05))
    assert before.median == 1.2 and before.spread > 0.15
    true = log(2) / 40
    after = fit_rate([Dried(300, 150, 40, 0.0117)], before, between=0.01)
    assert abs(log(after.median * 0.0117 / true)) < 0.05 and after.spread < before.spread / 2


def test_with_nothing_seen_the_prior_stays_and_more_seen_is_surer() -> None:
    assert fit_rate([]) == STUDIO_PRIOR
    seen = weighed(random.Random(3), 1.4, 40)
    spreads = [fit_rate(seen[:n]).spread for n in (1, 5, 40)]
    assert spreads[0] > spreads[1] > spreads[2]


def test_slower_moulds_make_a_lower_factor() -> None:
    wetter = fit_rate([Dried(300, 240, 40, 0.0117)])
    drier = fit_rate([Dried(300, 120, 40, 0.0117)])
    assert wetter.median < 1 < drier.median


def test_normal_observations_give_the_textbook_posterior() -> None:
    # Conjugate normal mean, Gelman et al., Bayesian Data Analysis, section 2.5: precisions add, means are weighted.
    prior, seen, sd = Factor(1.0, 0.5), [0.3, 0.5, 0.1], 0.2
    found = most_likely(prior, lambda f: sum(-(((log(f) - y) / sd) ** 2) / 2 for y in seen))
    precision = 1 / 0.5**2 + 3 / sd**2
    assert log(found.median) == pytest.approx(sum(seen) / sd**2 / precision, abs=1e-4)
    assert found.spread == pytest.approx(precision**-0.5, rel=1e-3)
    low, high = found.interval()
    assert (
        log(high) - log(found.median) == pytest.approx(log(found.median) - log(low)) == pytest.approx(2 * found.spread)
    )


def test_students_t_is_scipys() -> None:
    for x in (-3.0, 0.0, 0.5, 40.0):
        assert log_student(x, 2.5) == pytest.approx(float(t.logpdf(x, 4, scale=2.5)), rel=1e-12)


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (lambda: rate_from_two(150, 300, 40), "did not grow lighter"),
        (lambda: rate_from_two(300, 150, 0), "time between"),
        (lambda: fit_rate([], scale_error_g=0), "error of the scale"),
        (lambda: fit_rate([], between=3), "spread among moulds"),
        (lambda: Dried(-1, 0, 1, 0.01), "first weighing"),
        (lambda: Factor(0, 0.1), "median of a factor"),
        (lambda: Factor(1, 9), "spread of a factor"),
        (lambda: log_student(0, 0), "scale of an error"),
    ],
)
def test_what_is_out_of_range_is_said(call, says: str) -> None:
    with pytest.raises(OutOfRange, match=says):
        call()
