"""Moist air: how thirsty it is, and what it does to plaster. °C, pascals, relative humidity as a share from 0 to 1.

Water leaves a wet mould or pot about in proportion to the vapour-pressure deficit of the air around it: what the air
could hold more at its own temperature. The other modules take nothing of the air but that one number.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import exp, log

from planner.craft.ranges import OutOfRange, within

STANDARD_PRESSURE_PA = 101_325.0
TRIPLE_POINT_C = 0.01
COLDEST_C, HOTTEST_C = -40.0, 100.0
# Coefficients of Hyland and Wexler 1983 as in ASHRAE Fundamentals 2017, chapter 1, equations 5 (ice) and 6 (water).
_ICE = (-5.6745359e3, 6.3925247, -9.677843e-3, 6.2215701e-7, 2.0747825e-9, -9.484024e-13, 4.1635019)
_WATER = (-5.8002206e3, 1.3914993, -4.8640239e-2, 4.1764768e-5, -1.4452093e-8, 0.0, 6.5459673)


def saturation_pressure_pa(temperature_c: float) -> float:
    """The pressure of water vapour over water, below 0.01 °C over ice; −40 to 100 °C. Hyland–Wexler as in ASHRAE."""
    t = 273.15 + within(temperature_c, COLDEST_C, HOTTEST_C, "the temperature", "°C")
    c = _ICE if temperature_c <= TRIPLE_POINT_C else _WATER
    return exp(c[0] / t + c[1] + c[2] * t + c[3] * t**2 + c[4] * t**3 + c[5] * t**4 + c[6] * log(t))


def vapour_pressure_pa(temperature_c: float, humidity: float) -> float:
    """The part of the air's pressure that is water: relative humidity (0 to 1) × saturation pressure."""
    return within(humidity, 0, 1, "the relative humidity") * saturation_pressure_pa(temperature_c)


def vapour_pressure_deficit_pa(temperature_c: float, humidity: float) -> float:
    """What the air could still take up: (1 − relative humidity) × saturation pressure. FAO-56, chapter 3."""
    return saturation_pressure_pa(temperature_c) - vapour_pressure_pa(temperature_c, humidity)


def humidity_ratio(vapour_pa: float, pressure_pa: float = STANDARD_PRESSURE_PA) -> float:
    """Kilograms of water to a kilogram of dry air: 0.621945 p / (P − p), ASHRAE eq. 20. p below half of P."""
    within(pressure_pa, 50_000, 110_000, "the air pressure", "Pa")
    within(vapour_pa, 0, pressure_pa / 2, "the vapour pressure", "Pa")
    return 0.621945 * vapour_pa / (pressure_pa - vapour_pa)


def dew_point_c(temperature_c: float, humidity: float) -> float:
    """The temperature at which this air is saturated; humidity from 0.01 to 1, an answer of −40 °C and above."""
    within(humidity, 0.01, 1, "the relative humidity")
    vapour = vapour_pressure_pa(temperature_c, humidity)
    if vapour < saturation_pressure_pa(COLDEST_C):
        raise OutOfRange(f"the dew point of {temperature_c:g} °C at {humidity:.0%} lies below {COLDEST_C:g} °C")
    return _rising_root(lambda t: saturation_pressure_pa(t) - vapour, COLDEST_C, temperature_c)


def wet_bulb_c(temperature_c: float, humidity: float, pressure_pa: float = STANDARD_PRESSURE_PA) -> float:
    """What a thermometer in a wet sock shows in moving air, and a wet pot too; 0 to 60 °C. ASHRAE eq. 33 and 35."""
    within(temperature_c, 0, 60, "the temperature", "°C")
    ratio = humidity_ratio(vapour_pressure_pa(temperature_c, humidity), pressure_pa)
    return _rising_root(lambda w: _ratio_at_wet_bulb(temperature_c, w, pressure_pa) - ratio, -25.0, temperature_c)


def humidity_from_wet_bulb(temperature_c: float, wet_bulb: float, pressure_pa: float = STANDARD_PRESSURE_PA) -> float:
    """Relative humidity, 0 to 1, from a dry and a wet thermometer, 0 to 60 °C; the wet one is never the warmer."""
    within(temperature_c, 0, 60, "the temperature", "°C")
    within(wet_bulb, -25, temperature_c, "the wet-bulb temperature", "°C")
    ratio = _ratio_at_wet_bulb(temperature_c, wet_bulb, pressure_pa)
    if ratio < 0:
        raise OutOfRange(
            f"a wet bulb of {wet_bulb:g} °C at {temperature_c:g} °C is colder than any air makes it: "
            "read both thermometers again"
        )
    vapour = pressure_pa * ratio / (0.621945 + ratio)
    return min(1.0, vapour / saturation_pressure_pa(temperature_c))


def _ratio_at_wet_bulb(temperature_c: float, wet_bulb: float, pressure_pa: float) -> float:
    """The humidity ratio of air of these two temperatures; below nought for a pair that no air has."""
    saturated = humidity_ratio(saturation_pressure_pa(wet_bulb), pressure_pa)
    if wet_bulb >= 0:
        taken = (2501 - 2.326 * wet_bulb) * saturated - 1.006 * (temperature_c - wet_bulb)
        return taken / (2501 + 1.86 * temperature_c - 4.186 * wet_bulb)
    taken = (2830 - 0.24 * wet_bulb) * saturated - 1.006 * (temperature_c - wet_bulb)
    return taken / (2830 + 1.86 * temperature_c - 2.1 * wet_bulb)


def _rising_root(f: Callable[[float], float], low: float, high: float) -> float:
    """Where the rising function f passes through nought between low and high, to some 1e-10; by halving."""
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (low, middle) if f(middle) > 0 else (middle, high)
    return (low + high) / 2


def standard_pressure_pa(altitude_m: float) -> float:
    """The usual air pressure at a height above the sea, −500 to 5000 m. ASHRAE eq. 3."""
    within(altitude_m, -500, 5000, "the altitude", "m")
    return STANDARD_PRESSURE_PA * (1 - 2.25577e-5 * altitude_m) ** 5.2559


def evaporation_g_m2_h(temperature_c: float, humidity: float, speed_m_s: float = 0.0) -> float:
    """Grams that an open water surface of the air's temperature loses to a square metre and hour, 0 to 5 m/s.

    (25 + 19 v)(x_s − x) kg/m²h, the rule for pools. A wet pot is colder than the air and loses no more (Carrier): so
    this bounds from below how long any ware takes in its first, constant-rate time.
    """
    within(speed_m_s, 0, 5, "the speed of the air", "m/s")
    saturated = humidity_ratio(saturation_pressure_pa(within(temperature_c, 0, 60, "the temperature", "°C")))
    return 1000 * (25 + 19 * speed_m_s) * (saturated - humidity_ratio(vapour_pressure_pa(temperature_c, humidity)))


@dataclass(frozen=True, slots=True)
class Air:
    """Air of a temperature in °C (0 to 60) and a relative humidity (0 to 0.98: in wetter air nothing dries)."""

    temperature_c: float
    humidity: float

    def __post_init__(self) -> None:
        within(self.temperature_c, 0, 60, "the temperature", "°C")
        within(self.humidity, 0, 0.98, "the relative humidity")

    @property
    def deficit_pa(self) -> float:
        """The vapour-pressure deficit."""
        return vapour_pressure_deficit_pa(self.temperature_c, self.humidity)


# Weeks by one tap, and a cupboard with a heater: common practice, no source. A damp week has half of an ordinary
# week's deficit, because potters double their times in one.
ORDINARY = Air(18, 0.55)
DAMP = Air(15, 0.73)
DRY = Air(22, 0.45)
CUPBOARD = Air(35, 0.35)
WEEKS = {"damp": DAMP, "ordinary": ORDINARY, "dry": DRY}


def times_ordinary(air: Air) -> float:
    """How much faster than in an ordinary week things dry in this air: the ratio of the two deficits."""
    return air.deficit_pa / ORDINARY.deficit_pa


FRESH_LIMIT_C = 42.0  # a mould's first 24 hours; a potters' discussion list
CUPBOARD_LIMIT_C = 45.0  # within the 43 to 49 °C of the maker's bulletin for pottery plaster
HARM_C = 49.0  # 120 °F: the upper end of the bulletin; above it gypsum loses water of its own and turns to powder


def gypsum_warning(temperature_c: float, fresh: bool = False) -> str | None:
    """What to say where moulds stand at this temperature (−40 to 200 °C); ``fresh``: cast less than 24 h ago.

    A plaster maker's bulletin on drying casts: pottery plasters not above 110 to 120 °F (43 to 49 °C), above that a
    soft, powdery, calcined surface.
    """
    within(temperature_c, COLDEST_C, 200, "the temperature", "°C")
    if temperature_c > HARM_C:
        return (
            f"Above {HARM_C:g} °C plaster turns soft and powdery for good: take the moulds out or turn the heat down."
        )
    if fresh and temperature_c > FRESH_LIMIT_C:
        return f"In its first day a mould should not stand above {FRESH_LIMIT_C:g} °C: turn the heat down."
    if temperature_c > CUPBOARD_LIMIT_C:
        return f"Keep moulds at {CUPBOARD_LIMIT_C:g} °C or below: plaster is harmed a few degrees above."
    return None
