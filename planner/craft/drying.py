"""The law by which ware dries, and the air's bound on it. Moistures are on the dry basis: grams of water to a gram of
dry clay (``moisture.Moisture.dry_basis``).

Wet clay first dries at a constant rate, as water from an open dish: the time goes with the thickness, because a piece
twice as thick holds twice the water under the same surface. Below the critical moisture the water must come from
inside and the rate falls in proportion to what is left above the equilibrium moisture: that time goes with the square
of the thickness, as diffusion has it (Coulson & Richardson, Chemical Engineering vol. 2, chapter 16; Geankoplis,
chapter 9).
"""

from __future__ import annotations

from dataclasses import dataclass
from math import exp, log

from planner.craft.ranges import OutOfRange, within

LEAST_THICKNESS, MOST_THICKNESS = 0.4, 20.0


@dataclass(frozen=True, slots=True)
class Law:
    """Critical and equilibrium moisture (0 to 4, the second the lower) and the rate m·A of the two-period law.

    The rate (1e-9 to 1000) is per whatever unit of time is used.
    """

    critical: float
    equilibrium: float
    rate: float

    def __post_init__(self) -> None:
        within(self.critical, 0.001, 4, "the critical moisture")
        within(self.equilibrium, 0, self.critical * 0.999, "the equilibrium moisture")
        within(self.rate, 1e-9, 1000, "the rate of drying")


def _thickness(thickness: float) -> float:
    return within(thickness, LEAST_THICKNESS, MOST_THICKNESS, "the thickness", "times the usual")


def drying_time(law: Law, start: float, end: float, thickness: float = 1.0) -> float:
    """Time from one moisture to another, lower one above the equilibrium, in the unit of the law's rate.

    (1/mA) [(w₀ − w_c)/(w_c − w_e) + ln((w_c − w_e)/(w − w_e))], Coulson & Richardson vol. 2, ch. 16. ``thickness``: how
    many times as thick as the ware of the law's rate (0.4 to 20): its first part goes with it, the second with its
    square.
    """
    within(start, 0, 4, "the moisture at the beginning")
    within(end, law.equilibrium, start, "the moisture at the end")
    if end - law.equilibrium <= 1e-9:
        raise OutOfRange(
            f"nothing dries to its equilibrium moisture of {law.equilibrium:.1%} itself: take a little more"
        )
    thick = _thickness(thickness)
    span = law.critical - law.equilibrium
    constant = max(0.0, start - max(end, law.critical)) / span
    falling = log((min(start, law.critical) - law.equilibrium) / (end - law.equilibrium)) if end < law.critical else 0.0
    return (thick * constant + thick**2 * falling) / law.rate


def moisture_after(law: Law, start: float, time: float, thickness: float = 1.0) -> float:
    """The moisture after a time: the two-period law turned round, with the same validity."""
    within(start, law.equilibrium, 4, "the moisture at the beginning")
    left = within(time, 0, 1e9, "the time") * law.rate
    thick, span = _thickness(thickness), law.critical - law.equilibrium
    constant = thick * max(0.0, start - law.critical) / span
    if left <= constant:
        return start - left * span / thick
    return law.equilibrium + (min(start, law.critical) - law.equilibrium) * exp(-(left - constant) / thick**2)


def rate_from_time(critical: float, equilibrium: float, start: float, end: float, time: float) -> Law:
    """The law of a piece that dried from one moisture to another in this time (1e-6 to 1e9): the law solved for mA."""
    within(time, 1e-6, 1e9, "the time")
    if start <= end:
        raise OutOfRange(f"a piece does not dry from a moisture of {start:g} to {end:g}: give the wetter one first")
    unit = Law(critical, equilibrium, 1.0)
    return Law(critical, equilibrium, drying_time(unit, start, end) / time)


def constant_rate_hours(dry_g: float, area_m2: float, start: float, end: float, rate_g_m2_h: float) -> float:
    """Hours at a constant rate: dry weight × fall of moisture / (area × rate), Geankoplis ch. 9.6.

    With the rate of an open water surface (``air.evaporation_g_m2_h``) no piece can be faster: ware gives off water no
    faster than that (Carrier). Dry weight 1 g to 1 t, area 0.0001 to 100 m², rate 1 to 100 000 g/m²h.
    """
    within(dry_g, 1, 1e6, "the dry weight", "g")
    within(area_m2, 1e-4, 100, "the surface that dries", "m²")
    within(rate_g_m2_h, 1, 1e5, "the rate of evaporation", "g/m²h")
    return dry_g * (within(start, end, 4, "the moisture at the beginning") - end) / (area_m2 * rate_g_m2_h)
