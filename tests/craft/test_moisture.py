"""Water in clay on its two bases, against a printed table and a textbook's mass balance."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.craft.moisture import Basis, Moisture, water_lost_g
from planner.craft.ranges import OutOfRange

pytestmark = pytest.mark.one_lane


# db = wb / (1 − wb): arithmetic, to the digits of usual tables.
@pytest.mark.parametrize(("wet", "dry"), [(5, 5.26), (10, 11.11), (15, 17.65), (18, 21.95), (20, 25), (30, 42.86)])
def test_the_two_bases(wet: float, dry: float) -> None:
    assert Moisture(wet / 100, Basis.WET).dry_basis * 100 == pytest.approx(dry, abs=0.005)
    assert Moisture(dry / 100, Basis.DRY).wet_basis * 100 == pytest.approx(wet, abs=0.005)


def test_treybals_mass_balance() -> None:
    # Treybal, Mass-Transfer Operations, illustration 12.1: from 80 to 5 % of the wet weight, 3750 kg of water go for
    # each 1000 kg of product; so what came was 4750 kg.
    assert water_lost_g(4750, Moisture(0.80, Basis.WET), Moisture(0.05, Basis.WET)) == pytest.approx(3750)


def test_a_piece_of_500_g() -> None:
    # Mass balance: 500 (1 − 0.80 / 0.85).
    assert water_lost_g(500, Moisture(0.20, Basis.WET), Moisture(0.15, Basis.WET)) == pytest.approx(29.41, abs=0.005)


@given(st.floats(0, 0.8), st.floats(0, 0.8), st.floats(0, 0.8), st.floats(1, 5000))
def test_two_steps_lose_what_one_loses(a: float, b: float, c: float, grams: float) -> None:
    low, middle, high = (Moisture(share, Basis.WET) for share in sorted((a, b, c)))
    first = water_lost_g(grams, high, middle)
    second = water_lost_g(grams - first, middle, low)
    assert first + second == pytest.approx(water_lost_g(grams, high, low), abs=1e-6)


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (lambda: Moisture(22, Basis.WET), "of the wet weight, must be from 0 to 0.8, not 22"),
        (lambda: water_lost_g(-1, Moisture(0.2, Basis.WET), Moisture(0.1, Basis.WET)), "weight of the piece"),
        (lambda: water_lost_g(1, Moisture(0.1, Basis.WET), Moisture(0.2, Basis.WET)), "takes water up"),
    ],
)
def test_what_is_out_of_range_is_said(call, says: str) -> None:
    with pytest.raises(OutOfRange, match=says):
        call()
