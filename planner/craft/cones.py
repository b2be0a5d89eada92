"""Pyrometric cones: the temperature at which a cone bends at a heating rate, and the cone that a firing reaches.

The table is the current one of the cones' maker for large cones, in °C at 60 and 150 °C an hour over the last 100 °C,
read from copies of its chart whose Fahrenheit and Celsius columns agree within 1. An older chart is still about: there
1222 °C is cone 6 at 150 °C an hour, here it is cone 6 at 60.
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass
from math import log

from planner.craft.ranges import OutOfRange, within

SLOW, FAST = 60.0, 150.0  # °C an hour
TABLE: dict[str, tuple[int, int]] = {
    "022": (586, 590), "021": (600, 617), "020": (626, 638), "019": (678, 695), "018": (715, 734), "017": (738, 763),
    "016": (772, 796), "015": (791, 818), "014": (807, 838), "013": (837, 861), "012": (861, 882), "011": (875, 894),
    "010": (903, 915), "09": (920, 930), "08": (942, 956), "07": (976, 987), "06": (998, 1013), "05": (1031, 1044),
    "04": (1063, 1077), "03": (1086, 1104), "02": (1102, 1122), "01": (1119, 1138), "1": (1137, 1154),
    "2": (1142, 1164), "3": (1152, 1170), "4": (1162, 1183), "5": (1186, 1207), "6": (1222, 1243), "7": (1239, 1257),
    "8": (1249, 1271), "9": (1260, 1280), "10": (1285, 1305),
}  # fmt: skip
CONES = tuple(TABLE)


def bends_at(cone: str, rate_c_h: float) -> float:
    """The temperature (°C) at which a large cone bends, heated at 60 to 150 °C an hour over the last 100 °C.

    Between the two columns it is interpolated in the logarithm of the rate (an assumption: the maker gives no more
    than the columns). A cone is written as on the box: "04" is far below "4".
    """
    if cone not in TABLE:
        raise OutOfRange(f"there is no cone “{cone}” in the table: it goes from 022 to 10, written as on the box")
    within(rate_c_h, SLOW, FAST, "the heating rate over the last 100 °C", "°C an hour")
    slow, fast = TABLE[cone]
    return slow + (fast - slow) * log(rate_c_h / SLOW) / log(FAST / SLOW)


@dataclass(frozen=True, slots=True)
class Reached:
    """The last cone bent and how far on to the next one (0 to below 1); ``nearest`` of the two."""

    cone: str
    towards_next: float
    nearest: str


def cone_at(top_c: float, rate_c_h: float) -> Reached:
    """The cone that a firing reaches by its top temperature (°C) and its rate over the last 100 °C (60 to 150 °C/h).

    From cone 022 to cone 10 at that rate. A hold at the top does more heat work than this knows of: cones in the kiln
    tell it.
    """
    temperatures = [bends_at(cone, rate_c_h) for cone in CONES]
    within(top_c, temperatures[0], temperatures[-1], "the top temperature for cones 022 to 10 at this rate", "°C")
    i = min(bisect_right(temperatures, top_c) - 1, len(CONES) - 1)
    if i == len(CONES) - 1:
        return Reached(CONES[i], 0.0, CONES[i])
    on = (top_c - temperatures[i]) / (temperatures[i + 1] - temperatures[i])
    return Reached(CONES[i], on, CONES[i + 1] if on > 0.5 else CONES[i])


def nearest_rate(rate_c_h: float) -> float:
    """A rate brought into the range of the table, 60 to 150 °C an hour, for saying "about" where it lies outside."""
    within(rate_c_h, 1, 1000, "the heating rate", "°C an hour")
    return min(FAST, max(SLOW, rate_c_h))
