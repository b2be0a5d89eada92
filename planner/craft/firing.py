"""Firing programs: how long they take, what they draw from the meter, and what a kiln's own firings teach."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import exp, log, sqrt
from statistics import NormalDist

from planner.craft.cones import Reached, cone_at, nearest_rate
from planner.craft.ranges import OutOfRange, within

# Share of the time that the elements are on: a supplier's page on the cost of firing.
DUTY = {"preheat": 0.15, "bisque": 0.50, "glost": 0.65}
PRIOR_SPREAD = 0.15  # of a kiln's own factor before it has fired, in the logarithm; common practice, no source
NOISE = 0.04  # from one firing to the next
ODD = 2.0  # standard deviations beyond which a reading counts less
MOST_C = 1400


@dataclass(frozen=True, slots=True)
class Segment:
    """A ramp in °C an hour up or down to ``target_c`` and a hold there in minutes."""

    rate_c_h: float
    target_c: float
    hold_min: float = 0.0

    def __post_init__(self) -> None:
        within(self.rate_c_h, 1, 2000, "the rate of a ramp", "°C an hour")
        within(self.target_c, 0, MOST_C, "the target of a ramp", "°C")
        within(self.hold_min, 0, 6000, "the hold", "minutes")


@dataclass(frozen=True, slots=True)
class Moment:
    """A corner of the curve: minutes from the start, and °C."""

    minute: float
    celsius: float


def corners(program: Sequence[Segment], start_c: float = 20.0) -> list[Moment]:
    """The corners of a program's curve as set, from ``start_c`` (−20 to 1400 °C): each ramp takes |ΔT| / rate.

    A kiln that cannot keep up takes longer: see ``learned``.
    """
    if not program:
        raise OutOfRange("a program has at least one ramp")
    within(start_c, -20, MOST_C, "the temperature at the start", "°C")
    at = [Moment(0.0, start_c)]
    for s in program:
        top = Moment(at[-1].minute + 60 * abs(s.target_c - at[-1].celsius) / s.rate_c_h, s.target_c)
        at.append(top)
        if s.hold_min:
            at.append(Moment(top.minute + s.hold_min, s.target_c))
    return at


def minutes(program: Sequence[Segment], start_c: float = 20.0) -> float:
    """How long a program takes as set, to the end of its last hold."""
    return corners(program, start_c)[-1].minute


def top(program: Sequence[Segment], start_c: float = 20.0) -> Moment:
    """When the program first reaches its highest temperature."""
    at = corners(program, start_c)
    hottest = max(m.celsius for m in at)
    return next(m for m in at if m.celsius == hottest)


def rate_over_last_100(program: Sequence[Segment], start_c: float = 20.0) -> float:
    """°C an hour over the last 100 °C before the top, the rate that cones are read by. Holds on the way count."""
    at, peak = corners(program, start_c), top(program, start_c)
    low = peak.celsius - 100
    if low < start_c:
        raise OutOfRange("the program rises less than 100 °C: no cone is read by it")
    crossed = 0.0
    for a, b in pairwise(at):
        if a.celsius <= low < b.celsius and a.minute < peak.minute:
            crossed = a.minute + (b.minute - a.minute) * (low - a.celsius) / (b.celsius - a.celsius)
    return 100 / ((peak.minute - crossed) / 60)


def cone_of(program: Sequence[Segment], start_c: float = 20.0) -> Reached:
    """The cone that a program reaches, its rate brought into 60 to 150 °C an hour; a hold at the top is not counted."""
    return cone_at(top(program, start_c).celsius, nearest_rate(rate_over_last_100(program, start_c)))


@dataclass(frozen=True, slots=True)
class Drawn:
    """Hours at a share of the full power (0 to 1)."""

    hours: float
    duty: float

    def __post_init__(self) -> None:
        within(self.hours, 0, 200, "the hours of a firing", "h")
        within(self.duty, 0, 1, "the share of full power")


def energy_kwh(power_kw: float, parts: Sequence[Drawn]) -> float:
    """Energy of a firing: rated power (0.5 to 500 kW) × Σ hours × share of full power."""
    within(power_kw, 0.5, 500, "the power of the kiln", "kW")
    return power_kw * sum(p.hours * p.duty for p in parts)


PREHEAT_C = 120.0  # up to which a program only drives out damp; common practice, no source


def shares_of_power(stage: str, program: Sequence[Segment], hours: float, start_c: float = 20.0) -> list[Drawn]:
    """The parts of a firing with the share of full power usual in each: to 120 °C and there that of preheating, then
    that of the ``stage`` ("bisque" or "glost"); cooling takes nothing.

    Without ramps all of its ``hours`` (0 to 200) count as the stage's. A hold at the top counts in full.
    """
    if stage not in DUTY:
        raise OutOfRange(f"there is no usual share of power for “{stage}”")
    if not program:
        return [Drawn(hours, DUTY[stage])]
    gentle = full = 0.0
    for a, b in pairwise(corners(program, start_c)):
        if b.celsius < a.celsius:
            continue
        below = 1.0 if b.celsius <= PREHEAT_C else max(0.0, PREHEAT_C - a.celsius) / (b.celsius - a.celsius or 1.0)
        gentle += below * (b.minute - a.minute) / 60
        full += (1 - below) * (b.minute - a.minute) / 60
    return [Drawn(gentle, DUTY["preheat"]), Drawn(full, DUTY[stage])]


def metered_kwh(before: float, after: float) -> float:
    """Energy of a firing from the meter read before and after it (0 to 10 million kWh, the later not the smaller)."""
    within(before, 0, 1e7, "the meter before the firing", "kWh")
    within(after, 0, 1e7, "the meter after the firing", "kWh")
    if after < before:
        raise OutOfRange(f"the meter went from {before:g} to {after:g} kWh: are the readings swapped?")
    return after - before


def cost(kwh: float, price_per_kwh: float) -> float:
    """What a firing costs, in the price's own money: kWh (0 to 100 000) × price (0 to 1000)."""
    within(kwh, 0, 100_000, "the energy", "kWh")
    return kwh * within(price_per_kwh, 0, 1000, "the price of a kWh")


@dataclass(frozen=True, slots=True)
class Factor:
    """What recorded firings say against what was reckoned: usually ``usual`` times it, by ``spread`` in the logarithm.

    ``own``: how much of it is the kiln's own record, 0 to 1.
    """

    usual: float
    spread: float
    own: float

    def between(self, level: float = 0.9) -> tuple[float, float]:
        """The kiln's own factor lies in here with the chance ``level`` (0.5 to 0.999)."""
        within(level, 0.5, 0.999, "the chance of an interval")
        wide = exp(NormalDist().inv_cdf((1 + level) / 2) * self.spread)
        return self.usual / wide, self.usual * wide


def learned(pairs: Sequence[tuple[float, float]]) -> Factor:
    """A kiln's factor from (reckoned, recorded) minutes or kWh of its firings, each above 0.

    Normal in the logarithm with known noise: the average of the record and of a prior of 1 (± 15 %), each weighted by
    its precision. A reading that is more than 2 standard deviations off counts less the farther it is (Huber 1964), so
    that one odd one does little harm. Firings of about one size: a load far heavier needs its own record.
    """
    logs = []
    for reckoned, recorded in pairs:
        within(reckoned, 0.01, 1e6, "what was reckoned")
        within(recorded, 0.01, 1e6, "what was recorded")
        logs.append(log(recorded / reckoned))
    prior = 1 / PRIOR_SPREAD**2
    middle = sorted(logs)[len(logs) // 2] if logs else 0.0
    precision = prior
    for _ in range(50):
        weights = [min(1.0, ODD * NOISE / max(abs(x - middle), 1e-12)) / NOISE**2 for x in logs]
        precision = prior + sum(weights)
        middle = sum(w * x for w, x in zip(weights, logs, strict=True)) / precision
    return Factor(exp(middle), 1 / sqrt(precision), 1 - prior / precision)
