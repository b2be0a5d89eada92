"""One factor learned from what was seen: its most likely value under a log-normal prior, and how sure it is.

The unknown is θ, the logarithm of a factor. θ has a normal prior; what was seen says by its log-likelihood how well a
θ explains it. The posterior is reckoned on a grid, so several hills in it (as robust likelihoods make them) do no harm:
the highest point is the estimate, and the root mean square distance from it the standard error.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import exp, inf, lgamma, log, pi, sqrt

from planner.craft.ranges import within

_POINTS = 240  # of the grid; the second, finer one covers only what still matters
_NEGLIGIBLE = 18.0  # a log-density that far below the top, e-18, adds nothing


@dataclass(frozen=True, slots=True)
class Factor:
    """A belief on a factor: log-normal with this median (0.001 to 1000) and this spread of its logarithm.

    A spread of 0.4 (0.005 to 3) says: two times in three within a factor of e^0.4 = 1.5 either way.
    """

    median: float = 1.0
    spread: float = 0.4

    def __post_init__(self) -> None:
        within(self.median, 0.001, 1000, "the median of a factor")
        within(self.spread, 0.001, 3, "the spread of a factor")

    def interval(self, errors: float = 2.0) -> tuple[float, float]:
        """From and to, this many standard errors either way (2: some 19 times in 20)."""
        wide = exp(within(errors, 0, 6, "the number of standard errors") * self.spread)
        return self.median / wide, self.median * wide


def most_likely(prior: Factor, log_likelihood: Callable[[float], float]) -> Factor:
    """The maximum a posteriori of a factor and its standard error (of the logarithm); maximum a posteriori estimation.

    ``log_likelihood`` takes the factor itself, within five spreads of the prior's median.
    """
    centre = log(prior.median)

    def posterior(theta: float) -> float:
        return log_likelihood(exp(theta)) - ((theta - centre) / prior.spread) ** 2 / 2

    coarse = _grid(posterior, centre - 5 * prior.spread, centre + 5 * prior.spread)
    top = max(value for _, value in coarse)
    step = coarse[1][0] - coarse[0][0]
    matter = [theta for theta, value in coarse if value > top - _NEGLIGIBLE]
    fine = _grid(posterior, matter[0] - step, matter[-1] + step)
    return _summary(fine)


def _grid(f: Callable[[float], float], low: float, high: float) -> list[tuple[float, float]]:
    step = (high - low) / _POINTS
    return [(low + i * step, f(low + i * step)) for i in range(_POINTS + 1)]


def _summary(points: list[tuple[float, float]]) -> Factor:
    best = max(range(len(points)), key=lambda i: points[i][1])
    mode, top = points[best]
    if 0 < best < len(points) - 1:  # the top of the parabola through it and its neighbours
        left, right, step = points[best - 1][1], points[best + 1][1], points[1][0] - points[0][0]
        bend = left - 2 * top + right
        mode += step * (left - right) / (2 * bend) if -inf < bend < 0 else 0.0
    weights = [exp(value - top) for _, value in points]
    square = sum(w * (theta - mode) ** 2 for w, (theta, _) in zip(weights, points, strict=True)) / sum(weights)
    return Factor(exp(mode), max(sqrt(square), 0.001))


def log_student(residual: float, scale: float, freedom: float = 4.0) -> float:
    """Log-density of Student's t: near a normal one, with tails so fat that one odd value moves nothing much."""
    within(scale, 1e-12, 1e12, "the scale of an error")
    within(freedom, 1, 1000, "the degrees of freedom")
    constant = lgamma((freedom + 1) / 2) - lgamma(freedom / 2) - log(freedom * pi) / 2 - log(scale)
    return constant - (freedom + 1) / 2 * log(1 + (residual / scale) ** 2 / freedom)
