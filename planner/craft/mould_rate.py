"""How fast a studio's moulds, and one of them, really dry: rates learned from weighings.

A rate is kept as a factor on the rate that a form begins with, so that all forms of a studio teach each other.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, hypot, log, sqrt

from planner.craft.estimates import Factor, log_student, most_likely
from planner.craft.moulds import free_after_g
from planner.craft.ranges import OutOfRange, within

STUDIO_PRIOR = Factor(1.0, 0.5)  # a studio against the default rates: two in three within 1.65 times either way
BETWEEN_MOULDS = 0.15  # spread of the logarithm of the rate among moulds of a form
SCALE_ERROR_G = 5.0  # of a reading
# All three: common practice, no source.


@dataclass(frozen=True, slots=True)
class Dried:
    """A mould weighed twice: its free water then (0 or more) and now, the ordinary hours it dried empty between.

    ``rate_per_h`` is the rate reckoned with so far; ``taken`` tells pressings between: after so many of the hours, so
    many grams of water.
    """

    before_g: float
    after_g: float
    hours: float
    rate_per_h: float
    taken: tuple[tuple[float, float], ...] = ()

    def __post_init__(self) -> None:
        within(self.before_g, 0, 200_000, "the free water at the first weighing", "g")
        within(self.after_g, -200_000, 200_000, "the free water at the second weighing", "g")
        within(self.hours, 0, 100_000, "the hours of drying", "h")
        within(self.rate_per_h, 1e-5, 10, "the rate of drying", "per hour")

    def expected_g(self, factor: float) -> float:
        """The free water that the second weighing should find if the rate is ``factor`` times the one reckoned with."""
        rate, free, at = self.rate_per_h * factor, self.before_g, 0.0
        for hours, grams in sorted(self.taken):
            free = free * exp(-rate * (hours - at)) + grams
            at = hours
        return free * exp(-rate * (self.hours - at))

    def error_g(self, factor: float, scale_error_g: float, between: float) -> float:
        """One standard error of the second weighing: both readings and the spread among moulds."""
        kept = exp(-self.rate_per_h * factor * self.hours)
        swing = abs(self.expected_g(factor * exp(between)) - self.expected_g(factor * exp(-between))) / 2
        return hypot(scale_error_g * sqrt(1 + kept**2), swing)


def rate_from_two(before_g: float, after_g: float, hours: float) -> float:
    """The rate per ordinary hour of a mould that dried from one free water to another, unused: ln(before / after) / t.

    Both above 0 g and falling, hours from 1 to 10 000. The first-order law turned round.
    """
    within(hours, 1, 10_000, "the time between the weighings", "h")
    within(before_g, 0.1, 200_000, "the free water at the first weighing", "g")
    within(after_g, 0.1, 200_000, "the free water at the second weighing", "g")
    if free_after_g(before_g, 1e-5, hours) < after_g:
        raise OutOfRange("the mould did not grow lighter between the weighings: weigh it once more, a day later")
    return log(before_g / after_g) / hours


def fit_rate(
    seen: Sequence[Dried],
    prior: Factor = STUDIO_PRIOR,
    scale_error_g: float = SCALE_ERROR_G,
    between: float = BETWEEN_MOULDS,
) -> Factor:
    """The factor on the rates reckoned with that what was seen makes most likely, and its standard error.

    Maximum a posteriori with a log-normal prior; errors by Student's t with 4 degrees of freedom, so that one odd
    weighing does no harm. Scale error 0.1 to 500 g, spread among moulds 0.01 to 1. With nothing seen: the prior.
    """
    within(scale_error_g, 0.1, 500, "the error of the scale", "g")
    within(between, 0.01, 1, "the spread among moulds")

    def likelihood(factor: float) -> float:
        return sum(
            log_student(d.after_g - d.expected_g(factor), d.error_g(factor, scale_error_g, between)) for d in seen
        )

    return most_likely(prior, likelihood) if seen else prior


def mould_prior(studio: Factor, between: float = BETWEEN_MOULDS) -> Factor:
    """What is believed of one mould before it is weighed: the studio's factor, less sure by the spread among moulds."""
    return Factor(studio.median, hypot(studio.spread, within(between, 0.01, 1, "the spread among moulds")))


def odd_ones(
    seen: Sequence[Dried], fitted: Factor, scale_error_g: float = SCALE_ERROR_G, between: float = BETWEEN_MOULDS
) -> list[int]:
    """The places in ``seen`` of what lies more than 4 standard errors off: to be asked about, hardly counted anyway."""
    return [
        i
        for i, d in enumerate(seen)
        if abs(d.after_g - d.expected_g(fitted.median)) > 4 * d.error_g(fitted.median, scale_error_g, between)
    ]
