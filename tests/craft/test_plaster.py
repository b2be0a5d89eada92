"""Plaster against stoichiometry, makers' sheets and a maker's own weighings."""

from __future__ import annotations

from math import pi

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.craft import plaster
from planner.craft.plaster import BoxFrame, Model, RoundFrame
from planner.craft.ranges import OutOfRange

pytestmark = pytest.mark.one_lane
LB_FT3 = 16.01846  # kg/m³
CONSISTENCIES = st.floats(20.01, 99.99)
# Consistency, wet and dry density in lb/ft³ as makers' data sheets print them, columns measured apart.
SHEETS = [(65, 100.0, 72.5), (70, 99.0, 69.0), (74, 97.6, 66.0), (45, 110.6, 90.0), (38, 115.0, 99.0),
          (32, 119.4, 108.7), (22, 129.0, 127.1)]  # fmt: skip


def test_100_of_plaster_bind_18_6_of_water() -> None:
    # Stoichiometry, CaSO4·½H2O + 1½ H2O; a maker's bulletin says about 18, plaster notes 18.6.
    assert plaster.combined_water_g(100) == pytest.approx(18.618, abs=0.002)
    assert plaster.dry_weight_g(100) == pytest.approx(118.618, abs=0.002)
    assert plaster.plaster_in_g(118.618) == pytest.approx(100, abs=0.002)
    # Gypsum loses 15.70 % of its weight on the way back to plaster.
    assert plaster.combined_water_g(100) / plaster.dry_weight_g(100) == pytest.approx(0.1570, abs=1e-4)


@pytest.mark.parametrize(("c", "wet", "dry"), SHEETS)
def test_wet_and_dry_density_of_data_sheets_agree_by_stoichiometry(c: float, wet: float, dry: float) -> None:
    assert plaster.dry_density_kg_m3(c, wet * LB_FT3) == pytest.approx(dry * LB_FT3, rel=0.014)


@pytest.mark.parametrize(("c", "wet", "dry"), SHEETS)
def test_without_a_sheet_the_wet_density_is_near_enough(c: float, wet: float, dry: float) -> None:
    assert plaster.wet_density_kg_m3(c) == pytest.approx(wet * LB_FT3, rel=0.011)
    assert plaster.dry_density_kg_m3(c) == pytest.approx(dry * LB_FT3, rel=0.025)


# Grams to the litre from the sheets' wet densities: mass balance.
@pytest.mark.parametrize(
    ("c", "wet", "plaster_g", "water_g"), [(65, 100, 970.8, 631.0), (70, 99, 932.8, 653.0), (74, 97.6, 898.5, 664.9)]
)
def test_a_litre_of_slurry(c: float, wet: float, plaster_g: float, water_g: float) -> None:
    mix = plaster.mix_for(1, c, wet * LB_FT3)
    assert (mix.plaster_g, mix.water_g) == (pytest.approx(plaster_g, abs=0.1), pytest.approx(water_g, abs=0.1))
    assert plaster.litres_from(mix.plaster_g, c, wet * LB_FT3) == pytest.approx(1)


def test_plaster_and_water_of_a_cubic_foot() -> None:
    # Consistency 70, wet 99.0 lb/ft³: 58.24 lb of plaster and 40.76 lb of water. A circulated polynomial says 69.9 lb
    # of plaster, which is the dry cast's weight: with its water it would weigh 118.8 lb in a cubic foot of 99.
    mix = plaster.mix_for(28.316846592, 70, 99 * LB_FT3)
    assert mix.plaster_g / 453.59237 == pytest.approx(58.24, abs=0.01)
    assert mix.water_g / 453.59237 == pytest.approx(40.76, abs=0.01)
    assert plaster.dry_weight_g(mix.plaster_g) / 453.59237 == pytest.approx(69.0, abs=0.2)


def test_a_studios_mould_and_a_suppliers_bag() -> None:
    # A ceramics reference page: a jigger mould of 1300 g plaster and 900 g water, consistency 69.2. A supplier: 50 lb
    # of plaster to 4.17 US gallons, about 69.6. Another: 1 kg to 700 ml.
    assert plaster.consistency_of(1300, 900) == pytest.approx(69.2, abs=0.05)
    assert plaster.consistency_of(50 * 453.592, 4.17 * 3785.41 * 0.998) == pytest.approx(69.6, abs=0.3)
    assert plaster.consistency_of(1000, 700) == 70


# Mass balance from the stoichiometry, % of the dry weight and % of the fresh weight.
@pytest.mark.parametrize(
    ("c", "free", "lost"),
    [
        (60, 34.89, 25.86),
        (66, 39.95, 28.54),
        (68, 41.63, 29.39),
        (70, 43.32, 30.22),
        (74, 46.69, 31.83),
        (80, 51.75, 34.10),
    ],
)
def test_free_water_and_what_drying_takes(c: float, free: float, lost: float) -> None:
    assert 100 * plaster.free_water_share(c) == pytest.approx(free, abs=0.01)
    assert 100 * plaster.as_cast_loss(c) == pytest.approx(lost, abs=0.01)


def test_a_makers_own_weighings() -> None:
    # A maker who weighed moulds of about 70 fresh and dry, on a forum: "30 % every time".
    assert plaster.as_cast_loss(70) == pytest.approx(0.30, abs=0.005)
    assert plaster.dry_from_lifted_g(2000, 70) == pytest.approx(1400, abs=8)


@given(CONSISTENCIES, st.floats(0.1, 50))
def test_nothing_is_lost_between_bucket_and_dry_mould(c: float, litres: float) -> None:
    mix, cast = plaster.mix_for(litres, c), plaster.expected_cast(litres, c)
    assert cast.lifted_g == pytest.approx(mix.plaster_g + mix.water_g)
    assert cast.dry_g == pytest.approx(plaster.dry_from_lifted_g(cast.lifted_g, c) if cast.lifted_g > 10 else 0)
    assert cast.free_g == pytest.approx(cast.free_share * cast.dry_g, rel=1e-9)
    assert cast.dry_g / litres == pytest.approx(plaster.dry_density_kg_m3(c))
    assert plaster.consistency_of(mix.plaster_g, mix.water_g) == pytest.approx(c)


@given(st.floats(20, 99), st.floats(0.1, 1))
def test_more_water_makes_lighter_thirstier_moulds(c: float, more: float) -> None:
    assert plaster.wet_density_kg_m3(c + more) < plaster.wet_density_kg_m3(c)
    assert plaster.dry_density_kg_m3(c + more) < plaster.dry_density_kg_m3(c)
    assert plaster.free_water_share(c + more) > plaster.free_water_share(c)


def test_the_volume_of_a_mould() -> None:
    # Solid geometry: a half ball of 160 mm in a round frame of 240, 40 mm over it; a cylinder in a box.
    ball = Model(160, 80, 2 / 3 * pi * 0.8**3)
    assert plaster.mould_litres(RoundFrame(240), ball, 40) == pytest.approx(pi * 1.2**2 * 1.2 - 2 / 3 * pi * 0.8**3)
    can = Model(100, 90, pi * 0.5**2 * 0.9)
    assert plaster.mould_litres(BoxFrame(200, 180), can, 30) == pytest.approx(2 * 1.8 * 1.2 - pi * 0.5**2 * 0.9)
    # 100 cubic inches by Simpson's rule of thumb (11 g water a cubic inch): 3 % more than by the density, on the safe
    # side.
    assert 1100 / plaster.mix_for(1.638706, 70, 99 * LB_FT3).water_g == pytest.approx(1.03, abs=0.005)


def test_mixes_for_a_bucket() -> None:
    # 8 % of waste on 20 l are 21.6 l; a bucket of 10 l takes 6.5, so four mixes of 5.4 l.
    count, mix = plaster.mixes_for(20, 10)
    assert count == 4 and mix.litres == pytest.approx(5.4)
    assert plaster.mixes_for(1, 10)[0] == 1
    assert plaster.mixes_for(6.5, 10, waste=0)[0] == 1 and plaster.mixes_for(6.6, 10, waste=0)[0] == 2


@given(st.floats(0.1, 400), st.floats(1, 100), st.floats(0, 0.5))
def test_mixes_fit_the_bucket_and_are_no_more_than_needed(litres: float, bucket: float, waste: float) -> None:
    count, mix = plaster.mixes_for(litres, bucket, waste=waste)
    needed, fills = litres * (1 + waste), plaster.BUCKET_FILL * bucket
    assert count * mix.litres == pytest.approx(needed) and mix.litres <= fills * (1 + 1e-6)
    assert count == 1 or (count - 1) * fills < needed * (1 + 1e-9)


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (lambda: plaster.free_water_share(10), "consistency must be from 20 to 100 parts of water to 100 of plaster"),
        (lambda: plaster.consistency_of(100, 200), "consistency"),
        (lambda: plaster.consistency_of(0, 1), "the plaster"),
        (lambda: plaster.mix_for(0), "volume must be from 0.01 to 500 l"),
        (lambda: plaster.mix_for(1, 70, 99), "wet density must be from 1300 to 2300 kg/m³"),
        (lambda: plaster.litres_from(0), "plaster"),
        (lambda: plaster.dry_from_lifted_g(1), "weight of the mould"),
        (
            lambda: plaster.mould_litres(RoundFrame(170), Model(160, 80, 1)),
            "5 mm of plaster: take a frame at least 180",
        ),
        (lambda: plaster.mould_litres(RoundFrame(240), Model(160, 80, 1), 5), "plaster over the model"),
        (lambda: Model(160, 80, 9), "volume of a model"),
        (lambda: BoxFrame(200, 5), "inner width"),
        (lambda: RoundFrame(5), "inner diameter"),
        (lambda: plaster.mixes_for(20, 0.1), "bucket"),
        (lambda: plaster.mixes_for(20, 10, waste=2), "waste"),
    ],
)
def test_what_is_out_of_range_is_said(call, says: str) -> None:
    with pytest.raises(OutOfRange, match=says):
        call()
