"""Moulds: the rest they bear for ever, new ones, and what is out of range."""

from __future__ import annotations

from math import exp

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from planner.craft import air, moulds
from planner.craft.moisture import Basis, Moisture
from planner.craft.moulds import Mould, Weighing
from planner.craft.ranges import OutOfRange

pytestmark = pytest.mark.one_lane
UPTAKES, LIMITS, RATES = st.floats(1, 500), st.floats(5, 500), st.floats(0.001, 0.2)
DEFICITS = st.floats(100, 4000)


def before_each_use(start_g: float, uptake_g: float, rate: float, rest_h: float, uses: int = 200) -> list[float]:
    """Free water before each of the next uses, by stepping through them."""
    free, found = start_g, []
    for _ in range(uses):
        free = (free + uptake_g) * exp(-rate * rest_h)
        found.append(free)
    return found


@given(UPTAKES, LIMITS, RATES, st.floats(0, 1))
def test_200_uses_at_the_rest_never_find_the_mould_too_damp(w: float, limit: float, rate: float, start: float) -> None:
    rest = moulds.sustainable_rest_h(w, limit, rate)
    assert max(before_each_use(start * limit, w, rate, rest)) <= limit * (1 + 1e-9)


@given(st.floats(20, 500), st.floats(20, 200), RATES, st.floats(0.8, 0.97))
def test_200_uses_with_less_rest_do(w: float, limit: float, rate: float, part: float) -> None:
    rest = moulds.sustainable_rest_h(w, limit, rate)
    assert before_each_use(0, w, rate, rest * part, uses=200)[-1] > limit


def test_200_uses_come_to_the_limit_itself() -> None:
    # From dry or from soaked, with exactly that rest: the last of 200 uses finds the limit.
    rest = moulds.sustainable_rest_h(16, 90, 0.0117)
    for start in (0, 800):
        assert before_each_use(start, 16, 0.0117, rest)[-1] == pytest.approx(90, rel=1e-6)


def test_drying_is_the_solution_of_its_differential_equation() -> None:
    # scipy's integrator as the reference: du/dt = −k u · deficit / ordinary deficit, through a damp and a dry spell.
    rate, spells = 0.012, [(30, air.DAMP.deficit_pa), (20, air.DRY.deficit_pa)]
    reference, ours = 400.0, 400.0
    for hours, pa in spells:
        slope = rate * pa / air.ORDINARY.deficit_pa
        done = solve_ivp(lambda _, u, s=slope: -s * u, (0, hours), [reference], rtol=1e-10, atol=1e-10)
        reference = float(done.y[0, -1])
        ours = moulds.free_after_g(ours, rate, moulds.ordinary_hours(hours, pa))
    assert ours == pytest.approx(reference, rel=1e-7)
    assert moulds.hours_to_dry(400, ours, rate) == pytest.approx(sum(moulds.ordinary_hours(h, p) for h, p in spells))


@given(UPTAKES, LIMITS, RATES, DEFICITS, st.floats(1.05, 3))
def test_damper_air_more_water_and_a_lower_limit_all_ask_for_more_rest(w, limit, rate, pa, more) -> None:
    rest = moulds.sustainable_rest_h(w, limit, rate, pa)
    assert moulds.sustainable_rest_h(w, limit, rate, pa / more) == pytest.approx(rest * more)
    assert moulds.sustainable_rest_h(w * more, limit, rate, pa) > rest
    assert moulds.sustainable_rest_h(w, limit / more, rate, pa) > rest
    assert moulds.sustainable_rest_h(w, limit, rate * more, pa) == pytest.approx(rest / more)


# Rest in an ordinary and in a damp week, h: common practice, no source.
@pytest.mark.parametrize(("rest", "damp"), [(12, 24), (14, 28), (16, 30), (18, 36), (20, 36)])
def test_the_rest_of_practice_gives_a_rate_and_the_rate_the_rest(rest: float, damp: float) -> None:
    rate = moulds.rate_from_rest(rest, 16, 90)
    assert moulds.sustainable_rest_h(16, 90, rate) == pytest.approx(rest)
    assert moulds.sustainable_rest_h(16, 90, rate, air.DAMP.deficit_pa) == pytest.approx(damp, rel=0.13)
    assert moulds.sustainable_rest_h(16, 90, rate, air.CUPBOARD.deficit_pa) < rest / 3


def test_a_new_mould_is_dry_when_studios_say_so() -> None:
    # 5 to 10 days in a room with moving air: potters' pages on moulds; the rate here comes from the rest alone.
    bowl = Mould(1800, 16, moulds.rate_from_rest(14, 16, 90))
    assert 5 <= moulds.days_to_first_use(bowl) <= 10
    assert moulds.days_to_first_use(bowl, air.DAMP.deficit_pa) == pytest.approx(
        moulds.days_to_first_use(bowl) / air.times_ordinary(air.DAMP)
    )


def test_water_taken_is_the_moulds_share_of_what_the_piece_lost() -> None:
    # Mass balance: 500 g from 20 to 15 % of the wet weight lose 29.41 g; the ball had 60 g of spare on it.
    wet, out = Moisture(0.20, Basis.WET), Moisture(0.15, Basis.WET)
    assert moulds.water_taken_g(560, 60, wet, out, 1) == pytest.approx(29.41, abs=0.005)
    assert moulds.water_taken_g(560, 60, wet, out, 0.5) == pytest.approx(14.71, abs=0.005)
    # A dry mould of 1 kg with 5 % of free water then holds 7.94 %.
    assert (50 + moulds.water_taken_g(500, 0, wet, out, 1)) / 1000 == pytest.approx(0.0794, abs=5e-5)


def test_constant_weight_is_two_weighings_a_day_apart_that_hardly_differ() -> None:
    at = moulds.at_constant_weight
    assert not at([]) and not at([Weighing(0, 1900)])
    assert not at([Weighing(0, 1900), Weighing(5, 1899)])  # too soon to tell
    assert not at([Weighing(0, 1900), Weighing(24, 1880)])
    assert at([Weighing(0, 1900), Weighing(24, 1895)])
    assert not at([Weighing(0, 1895), Weighing(24, 1960)])  # somebody pressed in it
    assert at([Weighing(0, 2400), Weighing(120, 1830), Weighing(96, 1834), Weighing(119, 1900)])
    assert not at([Weighing(0, 1900), Weighing(72, 1860)]) and at([Weighing(0, 1900), Weighing(72, 1880)])


@given(st.floats(0.004, 0.05), st.floats(0.002, 0.01), st.floats(300, 3000))
def test_what_a_mould_at_constant_weight_can_still_hold(rate: float, share: float, pa: float) -> None:
    hours = moulds.ordinary_hours(24, pa)
    if 1 - exp(-rate * hours) < 2 * share:
        return
    left = moulds.left_at_constant_weight(rate, share, pa)
    for free, passes in ((left * 0.98, True), (left * 1.02, False)):
        later = moulds.free_after_g(1000 * free, rate, hours)
        pair = [Weighing(0, 1000 * (1 + free)), Weighing(24, 1000 + later)]
        assert moulds.at_constant_weight(pair, share) is passes


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (lambda: Mould(10, 1, 0.01), "dry weight of the mould must be from 50 to 200000 g, not 10"),
        (lambda: Mould(1000, 0, 0.01), "water a pressing leaves"),
        (lambda: Mould(1000, 10, 0), "rate of drying"),
        (lambda: Mould(1000, 10, 0.01, ready_share=0.6), "ready to press in"),
        (lambda: moulds.sustainable_rest_h(10, 0, 0.01), "free water of a mould ready"),
        (lambda: moulds.sustainable_rest_h(10, 50, 0.01, 0), "vapour-pressure deficit must be from 10 to 20000 Pa"),
        (lambda: moulds.free_after_g(-1, 0.01, 1), "free water"),
        (lambda: moulds.free_after_g(1, 0.01, -1), "the time must"),
        (lambda: moulds.hours_to_dry(1, 0, 0.01), "come to"),
        (lambda: moulds.rate_from_rest(0, 16, 90), "the rest"),
        (lambda: moulds.water_taken_g(560, 600, Moisture(0.2, Basis.WET), Moisture(0.1, Basis.WET)), "spare"),
        (lambda: moulds.at_constant_weight([], 0.5), "share of the weight"),
        (lambda: moulds.left_at_constant_weight(0.0001), "weigh a week apart"),
    ],
)
def test_what_is_out_of_range_is_said(call, says: str) -> None:
    with pytest.raises(OutOfRange, match=says):
        call()
