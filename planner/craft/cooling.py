"""How a kiln cools and when it may be opened."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, log, sqrt
from statistics import NormalDist

from planner.craft.ranges import OutOfRange, within

SAFE_C = 100.0  # common practice, and one maker's page; another prints 120 °C (250 °F) with gloves as the most
MOST_OPEN_C = 120.0
SLOW_AT_C, SLOW_C_H = (
    573.0,
    50.0,
)  # quartz inversion; handbooks of firing, by an encyclopedia
USUAL_HOURS = 6.0  # in which the difference to the room falls to 37 %; common practice, no source
PRIOR_SPREAD = 0.35  # of that time, in the logarithm
NOISE = 0.08  # of one reading of the difference, in the logarithm, beside 10 % of its time
ODD = 2.0


@dataclass(frozen=True, slots=True)
class Cooling:
    """Exponential cooling: the difference to the room falls to 37 % in ``hours``; ``spread`` of that, in the logarithm.

    Newton's law. A kiln cools faster than this while it glows and a little slower near the end; fitted to readings
    below some 600 °C it is good where it matters, at the opening. ``own``: how much is the kiln's own record, 0 to 1.
    """

    hours: float = USUAL_HOURS
    spread: float = PRIOR_SPREAD
    own: float = 0.0

    def __post_init__(self) -> None:
        within(self.hours, 0.2, 100, "the cooling time of the kiln", "h")
        within(self.spread, 0, 2, "how unsure the cooling time is")


def temperature(top_c: float, room_c: float, hours: float, cooling: Cooling) -> float:
    """°C so many hours after the top (0 to 1000 h): room + (top − room) e^(−hours / time)."""
    _refuse(top_c, room_c)
    within(hours, 0, 1000, "the hours since the top", "h")
    return room_c + (top_c - room_c) * exp(-hours / cooling.hours)


def falls_c_h(at_c: float, room_c: float, cooling: Cooling) -> float:
    """°C an hour at which it cools at a temperature: (T − room) / time. At 573 °C more than 50 is thought harsh."""
    _refuse(at_c, room_c)
    return (at_c - room_c) / cooling.hours


def hours_to(target_c: float, top_c: float, room_c: float, cooling: Cooling) -> float:
    """Hours from the top until it is as cool as ``target_c``: time × ln((top − room) / (target − room))."""
    _refuse(top_c, room_c)
    if not room_c + 2 <= target_c <= top_c:
        raise OutOfRange(
            f"{target_c:g} °C is not between the room's {room_c:g} °C (and 2 more) and the top's {top_c:g} °C"
        )
    return cooling.hours * log((top_c - room_c) / (target_c - room_c))


def _refuse(top_c: float, room_c: float) -> None:
    within(room_c, -20, 45, "the temperature of the room", "°C")
    within(top_c, room_c + 1, 1400, "the temperature of the kiln", "°C")


def opens_after(
    top_c: float, room_c: float, cooling: Cooling, safe_c: float = SAFE_C, sure: float = 0.9
) -> tuple[float, float]:
    """Hours from the top until it may be opened: usually, and with the chance ``sure`` (0.5 to 0.999).

    ``safe_c``: at most 120 °C, or the maker's figure if lower. The kiln's own pyrometer has the last word, never this.
    """
    within(safe_c, 40, MOST_OPEN_C, "the temperature at which a kiln is opened", "°C")
    within(sure, 0.5, 0.999, "the sureness")
    usual = hours_to(safe_c, top_c, room_c, cooling)
    return usual, usual * exp(NormalDist().inv_cdf(sure) * cooling.spread)


@dataclass(frozen=True, slots=True)
class Reading:
    """°C read so many hours after the top of ``top_c`` in a room of ``room_c``: on the way, or when it was opened."""

    hours: float
    celsius: float
    top_c: float
    room_c: float = 20.0

    def __post_init__(self) -> None:
        _refuse(self.top_c, self.room_c)
        within(self.hours, 0.25, 200, "the hours since the top", "h")
        within(self.celsius, self.room_c + 2, self.top_c - 1, "a temperature read while cooling", "°C")


def fitted(readings: Sequence[Reading], before: Cooling | None = None) -> Cooling:
    """A kiln's cooling from its readings and what was believed before (6 h, within a factor of 1.4 either way).

    Each reading says a time, hours / ln((top − room) / (read − room)), in the logarithm, unsure by 10 % and by what 8 %
    of the difference to the room does to it; the prior is one more. They are averaged by precision; what is more than
    2 standard deviations off counts less (Huber 1964), so that one odd reading does little harm.
    """
    before = before or Cooling()
    said = []
    for r in readings:
        fallen = log((r.top_c - r.room_c) / (r.celsius - r.room_c))
        said.append((log(r.hours / fallen), sqrt(0.1**2 + (NOISE / fallen) ** 2)))
    prior = 1 / before.spread**2
    middle = sorted(x for x, _ in said)[len(said) // 2] if said else log(before.hours)
    precision = prior
    for _ in range(50):
        weights = [min(1.0, ODD * sd / max(abs(x - middle), 1e-12)) / sd**2 for x, sd in said]
        precision = prior + sum(weights)
        middle = (prior * log(before.hours) + sum(w * x for w, (x, _) in zip(weights, said, strict=True))) / precision
    return Cooling(exp(middle), 1 / sqrt(precision), 1 - prior / precision)
