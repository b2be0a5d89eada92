"""Shrinkage against published figures and worked examples."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.craft.ranges import OutOfRange
from planner.craft.shrinkage import (
    Basis,
    Shrinkage,
    bisque_mm,
    dry_mm,
    drying_shrinkage,
    fired_mm,
    firing_shrinkage,
    mean_of_bars,
    model_mm,
    total_shrinkage,
    volume_shrinkage,
    wet_mm,
)

pytestmark = pytest.mark.one_lane


def test_bars_are_averaged_on_the_dry_basis() -> None:
    """100 to 94 to 87 and 100 to 94 to 86 mm: 94 to 86.5 between them, whatever basis the figures were told on."""
    bars = [Shrinkage(0.06, 7 / 94), Shrinkage(0.06, 8 / 100, Basis.WET)]
    assert mean_of_bars(bars).total == pytest.approx(0.135)
    with pytest.raises(OutOfRange):
        mean_of_bars([])


def test_a_bar_of_100_mm() -> None:
    """The maker's test bar, ASTM C326 (formulas from memory): 100 mm marks, 94 dry, 88.36 fired."""
    assert drying_shrinkage(100, 94) == pytest.approx(0.06)
    assert firing_shrinkage(94, 88.36) == pytest.approx(0.06)  # 94 × 0.94 = 88.36
    assert total_shrinkage(100, 88.36) == pytest.approx(0.1164)
    assert Shrinkage(0.06, 0.06).total == pytest.approx(0.1164)  # not 0.12


def test_the_three_bases_of_one_bar_agree() -> None:
    """100 → 94 → 88: of the wet length 6 %, of the dry 6/94, of the fired 6/88 (a test method of a glaze reference)."""
    for basis, share in ((Basis.WET, 6 / 100), (Basis.DRY, 6 / 94), (Basis.FIRED, 6 / 88)):
        assert Shrinkage(0.06, share, basis).total == pytest.approx(0.12)


def test_a_clay_makers_range_of_drying_and_firing_makes_its_total() -> None:
    """A published stoneware: drying 6 to 7 %, firing 5 to 6 % at cone 10, so 10.7 to 12.6 % in all."""
    assert Shrinkage(0.06, 0.05).total == pytest.approx(0.107)
    assert Shrinkage(0.07, 0.06).total == pytest.approx(0.1258)


def test_volume_from_linear() -> None:
    assert volume_shrinkage(0.12) == pytest.approx(0.318528)  # 1 − 0.88³


def test_the_plate_of_250_mm() -> None:
    body = Shrinkage.of_total(0.12, 0.06)
    assert wet_mm(250, body) == pytest.approx(284.09, abs=0.005)  # 250 / 0.88
    assert fired_mm(284.0909, body) == pytest.approx(250, abs=1e-3)
    assert model_mm(250, body, 0.0021) == pytest.approx(283.495, abs=1e-3)  # 284.0909 / 1.0021
    assert dry_mm(100, body) == pytest.approx(94)


def test_moulds_made_ten_per_cent_too_large_for_clay_that_shrinks_twelve() -> None:
    """A published project note: scaled by 1.10 and shrinking 12 %, ware comes out at 0.968 of what was wanted."""
    assert fired_mm(110, Shrinkage.of_total(0.12, 0.06)) / 100 == pytest.approx(0.968)


def test_ware_enters_the_glost_about_six_per_cent_larger_than_it_leaves() -> None:
    """Common practice, no source: stoneware of 12 % in all, 6.5 % of it in drying, a low bisque."""
    assert bisque_mm(100, Shrinkage.of_total(0.12, 0.065)) == pytest.approx(106, abs=1)


@given(st.floats(1, 600), st.floats(0, 0.1), st.floats(0, 0.15), st.sampled_from(Basis))
def test_there_and_back(size: float, drying: float, firing: float, basis: Basis) -> None:
    body = Shrinkage(drying, firing, basis)
    assert fired_mm(wet_mm(size, body), body) == pytest.approx(size)
    assert Shrinkage.of_total(max(drying, body.total), drying).firing == pytest.approx(body.firing_of_dry, abs=1e-12)


def test_what_cannot_be_is_refused_in_words() -> None:
    with pytest.raises(OutOfRange, match="swapped"):
        drying_shrinkage(94, 100)
    with pytest.raises(OutOfRange, match="drying shrinkage must be"):
        drying_shrinkage(100, 60)
    with pytest.raises(OutOfRange, match="more than the whole"):
        Shrinkage.of_total(0.05, 0.06)
    with pytest.raises(OutOfRange, match="expansion"):
        model_mm(250, Shrinkage(0.06, 0.06), 0.2)
