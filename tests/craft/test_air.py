"""Moist air against ASHRAE's printed tables, FAO-56, a textbook's example and two independent libraries."""

from __future__ import annotations

import pytest
from CoolProp.CoolProp import HAPropsSI, PropsSI
from hypothesis import given
from hypothesis import strategies as st

from planner.craft import air
from planner.craft.ranges import OutOfRange

pytestmark = pytest.mark.one_lane
# Computed with psychrolib 2.5.0 (the ASHRAE formulas by other hands): pascals over water or ice; wet bulb and dew point
# at 101 325 Pa. The library comes as source alone, so its figures stand here.
SATURATED = (
    (-35, 22.3509),
    (-10, 259.9029),
    (-1, 562.6715),
    (0, 611.1536),
    (0.01, 611.657),
    (5, 872.4867),
    (20, 2338.8037),
    (35, 5627.8194),
    (50, 12349.8565),
    (80, 47411.6115),
    (99, 97852.1316),
)
MOIST = (
    (10, 0.3, 3.561, -6.01),
    (10, 0.5, 5.536, 0.063),
    (10, 0.8, 8.29, 6.713),
    (15, 0.3, 7.242, -2.141),
    (15, 0.5, 9.672, 4.672),
    (15, 0.8, 12.985, 11.582),
    (20, 0.3, 10.853, 1.914),
    (20, 0.5, 13.783, 9.272),
    (20, 0.8, 17.679, 16.447),
    (25, 0.3, 14.422, 6.238),
    (25, 0.5, 17.889, 13.864),
    (25, 0.8, 22.38, 21.309),
    (30, 0.3, 17.972, 10.548),
    (30, 0.5, 22.005, 18.447),
    (30, 0.8, 27.091, 26.169),
    (40, 0.3, 25.093, 19.125),
    (40, 0.5, 30.305, 27.585),
    (40, 0.8, 36.55, 35.878),
)


# ASHRAE Handbook Fundamentals 2017, chapter 1, table 3, as quoted in the tests of psychrolib.
@pytest.mark.parametrize(("t", "pa"), [(5, 872.6), (25, 3169.7), (50, 12351.3), (100, 101418.0)])
def test_saturation_pressure_as_in_the_ashrae_table(t: float, pa: float) -> None:
    assert air.saturation_pressure_pa(t) == pytest.approx(pa, rel=3e-4)


# FAO Irrigation and Drainage Paper 56, table 2.3.
@pytest.mark.parametrize(("t", "kpa"), [(15, 1.705), (24.5, 3.075)])
def test_saturation_pressure_as_in_fao_56(t: float, kpa: float) -> None:
    assert air.saturation_pressure_pa(t) / 1000 == pytest.approx(kpa, abs=0.001)


@pytest.mark.parametrize(("t", "pa"), SATURATED)
def test_saturation_pressure_as_two_libraries_have_it(t: float, pa: float) -> None:
    assert air.saturation_pressure_pa(t) == pytest.approx(pa, rel=5e-6)
    if t > 0.01:  # CoolProp: the properties of pure water by IAPWS-95
        assert air.saturation_pressure_pa(t) == pytest.approx(PropsSI("P", "T", t + 273.15, "Q", 0, "Water"), rel=3e-4)


# ASHRAE table 2: saturated air at 101 325 Pa; the table knows a real gas, so 1 %.
@pytest.mark.parametrize(("t", "ratio"), [(5, 0.005425), (25, 0.020173), (50, 0.086863)])
def test_saturated_humidity_ratio_as_in_the_ashrae_table(t: float, ratio: float) -> None:
    assert air.humidity_ratio(air.saturation_pressure_pa(t)) == pytest.approx(ratio, rel=0.01)


def test_humidity_ratio_at_500_m() -> None:
    # The tests of psychrolib: 3169.7 Pa of vapour in 95 461 Pa.
    assert air.humidity_ratio(3169.7, 95461) == pytest.approx(0.0213603998, rel=1e-4)
    # 30 °C with a wet bulb of 25 °C at the same height, the same tests.
    humidity = air.humidity_from_wet_bulb(30, 25, 95461)
    assert air.humidity_ratio(air.vapour_pressure_pa(30, humidity), 95461) == pytest.approx(0.0192281274, rel=3e-4)
    # Geankoplis, Transport Processes and Unit Operations, example 9.3-1: 2.76 kPa in 101.32 kPa.
    assert air.humidity_ratio(2760, 101320) == pytest.approx(0.01742, rel=2e-3)


# ASHRAE table 1: the standard atmosphere.
@pytest.mark.parametrize(("metres", "pa"), [(0, 101325), (500, 95461), (1000, 89875)])
def test_standard_pressure_as_in_the_ashrae_table(metres: float, pa: float) -> None:
    assert air.standard_pressure_pa(metres) == pytest.approx(pa, abs=1)


def test_ashrae_example_1() -> None:
    # Moist air of 40 °C and a wet bulb of 20 °C, read from the printed chart: W 0.0065, dew point 7 °C, humidity 14 %.
    humidity = air.humidity_from_wet_bulb(40, 20)
    assert round(humidity, 2) == 0.14
    assert air.humidity_ratio(air.vapour_pressure_pa(40, humidity)) == pytest.approx(0.0065, abs=1.0e-4)
    assert round(air.dew_point_c(40, humidity)) == 7


@pytest.mark.parametrize(("t", "humidity", "wet_bulb", "dew_point"), MOIST)
def test_wet_bulb_and_dew_point_as_two_libraries_have_them(
    t: float, humidity: float, wet_bulb: float, dew_point: float
) -> None:
    wet, dew = air.wet_bulb_c(t, humidity), air.dew_point_c(t, humidity)
    assert wet == pytest.approx(wet_bulb, abs=0.002)
    assert dew == pytest.approx(dew_point, abs=0.002)
    kelvin = {"T": t + 273.15, "P": 101325, "R": humidity}
    given_ = [part for pair in kelvin.items() for part in pair]
    assert wet == pytest.approx(HAPropsSI("B", *given_) - 273.15, abs=0.03)
    ratio = air.humidity_ratio(air.vapour_pressure_pa(t, humidity))
    assert ratio == pytest.approx(HAPropsSI("W", *given_), rel=0.01)  # CoolProp's air is a real gas


@given(st.floats(0, 60), st.floats(0.03, 1))
def test_the_wet_thermometer_gives_the_humidity_back(t: float, humidity: float) -> None:
    assert air.humidity_from_wet_bulb(t, air.wet_bulb_c(t, humidity)) == pytest.approx(humidity, abs=1e-6)


@given(st.floats(0, 60), st.floats(0.05, 0.9), st.floats(0.01, 0.09))
def test_damper_air_takes_less_and_warmer_air_more(t: float, humidity: float, more: float) -> None:
    deficit = air.vapour_pressure_deficit_pa
    assert deficit(t, humidity + more) < deficit(t, humidity) < deficit(t + 1, humidity)
    assert air.dew_point_c(t, humidity) < air.wet_bulb_c(t, humidity) < t


def test_evaporation_from_a_pool() -> None:
    # A handbook's pool of 500 m² at 0.5 m/s and 25 °C, x_s 0.019826 and x 0.0115, loses 143.6 kg/h.
    assert air.humidity_ratio(air.saturation_pressure_pa(25)) == pytest.approx(0.019826, rel=0.02)
    per_ratio = 143_600 / 500 / (0.019826 - 0.0115)
    ratios = [air.humidity_ratio(air.vapour_pressure_pa(25, h)) for h in (1, 0.5)]
    assert air.evaporation_g_m2_h(25, 0.5, 0.5) == pytest.approx(per_ratio * (ratios[0] - ratios[1]), rel=1e-3)


def test_a_damp_week_doubles_and_a_dry_one_shortens() -> None:
    # Common practice, no source: potters double their times in a damp week.
    assert 1 / air.times_ordinary(air.DAMP) == pytest.approx(2, abs=0.05)
    assert 1 / air.times_ordinary(air.DRY) < 0.75
    assert air.times_ordinary(air.CUPBOARD) > 3
    assert air.gypsum_warning(air.CUPBOARD.temperature_c) is None


def test_heat_that_harms_gypsum_is_warned_of() -> None:
    # A plaster maker's bulletin on drying casts: not above 110 to 120 °F. A fresh mould not above 42 °C.
    low, high = (110 - 32) / 1.8, (120 - 32) / 1.8
    assert air.gypsum_warning(low) is None and air.gypsum_warning(45) is None
    assert air.gypsum_warning(46) and air.gypsum_warning(high - 0.1)
    assert "for good" in str(air.gypsum_warning(high + 0.2))
    assert air.gypsum_warning(43, fresh=True) and air.gypsum_warning(42, fresh=True) is None


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (lambda: air.saturation_pressure_pa(101), "temperature must be from -40 to 100 °C, not 101"),
        (lambda: air.vapour_pressure_pa(20, 55), "relative humidity must be from 0 to 1, not 55"),
        (lambda: air.humidity_ratio(60_000), "vapour pressure"),
        (lambda: air.humidity_from_wet_bulb(20, 21), "wet-bulb temperature"),
        (lambda: air.humidity_from_wet_bulb(40, 5), "read both thermometers again"),
        (lambda: air.dew_point_c(-35, 0.05), "dew point"),
        (lambda: air.Air(20, 0.99), "relative humidity"),
        (lambda: air.standard_pressure_pa(9000), "altitude"),
        (lambda: air.evaporation_g_m2_h(20, 0.5, 9), "speed"),
        (lambda: air.gypsum_warning(900), "temperature"),
    ],
)
def test_what_is_out_of_range_is_said(call, says: str) -> None:
    with pytest.raises(OutOfRange, match=says):
        call()
