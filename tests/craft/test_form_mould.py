"""A form's moulds from practice alone: the rest and the days of a new mould come back."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.craft import air, form_mould, moulds, ware
from planner.craft.moulds import READY_SHARE
from planner.craft.ranges import OutOfRange
from studio.defaults.table import KINDS
from tests.craft.kinds import WARES

pytestmark = pytest.mark.one_lane


# Rests and eight days for a new mould: common practice, no source. A mould of three to six times the ball's weight.
@pytest.mark.parametrize("times", [3, 6])
@pytest.mark.parametrize("key", sorted(KINDS))
def test_each_kind_gets_its_rest_and_its_eight_days_back(key: str, times: float) -> None:
    kind, made = KINDS[key], WARES[key]
    took = form_mould.uptake_g(made, kind.ball_g, 0.1 * kind.ball_g, ware.take_out(made).latest_h)
    mould = form_mould.usual_mould(times * kind.ball_g, took, kind.rest_h[0])
    assert moulds.sustainable_rest_h(took, mould.ready_g, mould.rate_per_h) == pytest.approx(kind.rest_h[0])
    assert moulds.days_to_first_use(mould) == pytest.approx(8, rel=1e-6)
    assert 0.005 < mould.ready_share < 0.15  # published bands for casting moulds end at 15 % of free water


@given(st.floats(0.002, 0.05), st.floats(2, 100), st.floats(1, 60))
def test_the_rest_comes_back_whatever_the_days(a: float, rest: float, days: float) -> None:
    mould = form_mould.usual_mould(2000, 2000 * a, rest, days)
    assert moulds.sustainable_rest_h(2000 * a, mould.ready_g, mould.rate_per_h) == pytest.approx(rest)
    assert mould.ready_share == READY_SHARE or moulds.days_to_first_use(mould) == pytest.approx(days, rel=1e-6)


def test_what_a_pot_leaves_in_its_mould_is_less_than_it_lost() -> None:
    # Mass balance: 504 g of clay of 22 % hold 110.9 g of water; in the open a third of what goes, covered most of it.
    bowl = WARES["bowl"]
    for covered, hours in ((False, 12), (True, 24)):
        out = ware.moisture_out(bowl, hours, covered=covered)
        lost = 504 / (1 + ware.PRESSED) * (ware.PRESSED - out)
        took = form_mould.uptake_g(bowl, 560, 56, hours, covered=covered)
        assert took == pytest.approx(lost * ware.share_to_mould(bowl, covered=covered))
        assert 0 < took < lost < 110.9
    assert form_mould.uptake_g(bowl, 560, 56, 24, covered=True) > form_mould.uptake_g(bowl, 560, 56, 12)


@given(st.sampled_from(sorted(WARES)), st.floats(1, 20), st.floats(0, 0.2))
def test_a_longer_stay_and_a_drier_mould_take_up_more(key: str, hours: float, share: float) -> None:
    took = form_mould.uptake_g(WARES[key], 500, 50, hours, air.DAMP.deficit_pa, False, share)
    assert form_mould.uptake_g(WARES[key], 500, 50, hours + 1, air.DAMP.deficit_pa, False, share) > took
    assert form_mould.uptake_g(WARES[key], 500, 50, hours, air.DAMP.deficit_pa, False, share + 0.05) < took


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (lambda: form_mould.uptake_g(WARES["bowl"], 560, 56, 0), "time in the mould"),
        (lambda: form_mould.usual_mould(2000, 16, 14, 0), "days of a new mould must be from 1 to 60 d"),
        (lambda: form_mould.usual_mould(2000, 16, 0), "the rest"),
        (lambda: form_mould.usual_mould(2000, 0, 14), "water a pressing leaves"),
    ],
)
def test_what_is_out_of_range_is_said(call, says: str) -> None:
    with pytest.raises(OutOfRange, match=says):
        call()
