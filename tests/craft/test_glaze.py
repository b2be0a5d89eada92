"""Glaze in the bucket and the week's needs."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.craft.glaze import (
    density_g_l,
    dry_by_surface_g,
    dry_g_per_l,
    dry_per_piece_g,
    dry_to_add_g,
    left_in,
    take,
    water_g_per_l,
    water_to_add_l,
    water_to_take_l,
)
from planner.craft.needs import Buy, Fired, Glazing, Kind, Pouring, Pressing, needs, reclaimed_g, shopping
from planner.craft.ranges import OutOfRange

pytestmark = pytest.mark.one_lane


@pytest.mark.parametrize(
    ("density", "dry"),
    [(1050, 81), (1100, 162), (1200, 325), (1300, 487), (1400, 650), (1500, 812), (1600, 975), (1700, 1137)],
)
def test_the_table_of_a_potters_handbook(density: float, dry: float) -> None:
    """Dry matter a litre at 2.6: a table from a handbook for potters, quoting Brongniart 1854 (cut, not rounded)."""
    assert 0 <= dry_g_per_l(density, 2.6) - dry < 1


def test_the_slop_that_got_too_much_water() -> None:
    """A potters' mailing list, 1998: at 1500 g/l and 2.5, 833.3 g dry and 666.7 g water a litre; 14 kg dry hold 11.2 kg
    of water, at 1750 g/l only 5.6 kg: 5.6 litres to take off."""
    assert dry_g_per_l(1500, 2.5) == pytest.approx(833.3, abs=0.05)
    assert water_g_per_l(1500, 2.5) == pytest.approx(666.7, abs=0.05)
    assert density_g_l(14_000, 11_200, 2.5) == pytest.approx(1500)
    assert density_g_l(14_000, 5_600, 2.5) == pytest.approx(1750)
    litres = 14_000 / dry_g_per_l(1500, 2.5)
    assert water_to_take_l(litres, 1500, 1750) == pytest.approx(5.6)
    assert water_to_add_l(litres - 5.6, 1750, 1500) == pytest.approx(5.6)


@given(st.floats(1010, 1900), st.floats(1010, 1900), st.floats(1, 100))
def test_thinning_and_thickening_reach_what_is_wanted(one: float, two: float, litres: float) -> None:
    """Weighed again: (weight + what was added) / (litres + its volume) is the density wanted."""
    thick, thin = max(one, two), min(one, two)
    water = water_to_add_l(litres, thick, thin)
    assert (litres * thick + 1000 * water) / (litres + water) == pytest.approx(thin)
    dry = dry_to_add_g(litres, thin, thick)
    assert (litres * thin + dry) / (litres + dry / 2600) == pytest.approx(thick)


def test_glaze_on_a_piece() -> None:
    assert dry_per_piece_g([310, 305], [352, 343]) == 40
    assert dry_by_surface_g(600, 0.5) == pytest.approx(42)  # 600 × 0.05 × 1.4
    used = take(45, 40, 1500, dripped=0.1)
    assert (used.dry_g, used.litres) == (pytest.approx(2000), pytest.approx(2000 / 812.5))


def test_what_is_left_in_the_bucket() -> None:
    """The mailing list's bucket: 14 kg dry at 1500 g/l and 2.5. Half of it taken leaves half the litres."""
    litres = 14_000 / dry_g_per_l(1500, 2.5)
    left = left_in(litres, 1500, 7000, 2.5)
    assert (left.dry_g, left.litres) == (pytest.approx(7000), pytest.approx(litres / 2))
    assert left_in(litres, 1500, 20_000, 2.5).litres == 0
    with pytest.raises(OutOfRange, match="glaze taken"):
        left_in(litres, 1500, -1)


def test_the_shopping_list_of_a_week() -> None:
    """Counts by hand: 60 × 560 + 24 × (460 + 60) = 46 080 g of stoneware, and so on."""
    week = needs(
        [
            Pressing("stoneware", 60, 560, spare_g=25),
            Pressing("stoneware", 24, 460, handle_g=60),
            Glazing("white", 45, 36, 1500),
            Pouring("pottery plaster", 3, 4000),
            Fired("A", 2, 105),
            Fired("A", 1, 65),
        ]
    )
    assert week == pytest.approx(
        {
            (Kind.CLAY, "stoneware"): 46_080,
            (Kind.GLAZE, "white"): 1800,
            (Kind.PLASTER, "pottery plaster"): 12_000,
            (Kind.ENERGY, "A"): 275,
        }
    )
    back = reclaimed_g(Pressing("stoneware", 60, 560, spare_g=25))
    assert back == 1200  # 60 × 25 × 0.8
    there = {(Kind.CLAY, "stoneware"): 20_000 + back, (Kind.PLASTER, "pottery plaster"): 25_000}
    packs = {(Kind.CLAY, "stoneware"): 12_500, (Kind.PLASTER, "pottery plaster"): 25_000, (Kind.GLAZE, "white"): 1000}
    clay, glaze, plaster, energy = shopping(week, there, packs)
    assert clay == Buy(Kind.CLAY, "stoneware", 46_080, 21_200, pytest.approx(29_488), 3)  # 46 080 × 1.1 − 21 200
    assert (glaze.missing, glaze.packs) == (pytest.approx(1980), 2)
    assert (plaster.missing, plaster.packs) == (0, 0)
    assert (energy.missing, energy.packs) == (275, 0)


def test_what_cannot_be_is_refused_in_words() -> None:
    with pytest.raises(OutOfRange, match="density of the glaze"):
        dry_g_per_l(1.5)
    with pytest.raises(OutOfRange, match="thinner than 1600 already"):
        water_to_add_l(10, 1500, 1600)
    with pytest.raises(OutOfRange, match="add water"):
        water_to_take_l(10, 1500, 1400)
    with pytest.raises(OutOfRange, match="add water"):
        dry_to_add_g(10, 1500, 1400)
    with pytest.raises(OutOfRange, match="same pieces before and after"):
        dry_per_piece_g([300], [])
    with pytest.raises(OutOfRange, match="dry glaze on must be from 300"):
        dry_per_piece_g([300], [290])
    with pytest.raises(OutOfRange, match="energy of a firing"):
        needs([Fired("A", 1, -5)])
