"""A spread learned from what a studio recorded, drawn towards a stated default while little is known.

*Durations.* A record is a factor: minutes taken over minutes planned. Of n records the tenth, the median and the ninth
tenth are read (order statistics, so that one wild value moves none of them far), the ends of a triangle are put where
such tenths would lie, and each of the three numbers becomes ``(PRIOR · default + n · recorded) / (PRIOR + n)``: the
mean of a normal prior worth ``PRIOR`` records (Gelman et al., Bayesian Data Analysis, 3rd ed., 2.5; from memory).

*Losses.* Pieces are counted here and weighed in ``planner.craft.loss``. Of one occasion no more than ``MOST_LOST`` of
the pieces count as lost: a shelf that fell once is an accident, not how the form is made.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import sqrt
from typing import NamedTuple

from planner.robust.spread import Range

PRIOR = 10  # records that the default is worth
LEAST, MOST = 1 / 3, 3.0  # factors beyond are no measure of the work: somebody forgot, or was called away
TENTH = 0.1
TO_END = 0.5 / (0.5 - sqrt(TENTH / 2))  # a triangle's half width over its distance from the middle to its tenth
MOST_LOST, ALWAYS = 0.25, 2  # of one occasion; two pieces always count


class Occasion(NamedTuple):
    """``passed`` pieces that went on to the next stage and ``lost`` ones, of ``among`` that stood there together."""

    passed: int
    lost: int
    among: int


def learned_range(factors: Iterable[float], default: Range) -> Range:
    """The range that ``factors`` (taken over planned) show, drawn towards ``default``."""
    kept = sorted(f for f in factors if LEAST <= f <= MOST)
    if not kept:
        return default
    middle = _at(kept, 0.5)
    low = max(LEAST, middle - TO_END * (middle - _at(kept, TENTH)))
    high = min(MOST, middle + TO_END * (_at(kept, 1 - TENTH) - middle))
    n = len(kept)
    drawn = [(PRIOR * d + n * r) / (PRIOR + n) for d, r in
             ((default.low, low), (default.usual, _mode(low, middle, high)), (default.high, high))]  # fmt: skip
    return Range(*drawn)


def _at(ordered: Sequence[float], share: float) -> float:
    """The quantile of ``ordered`` values, between neighbours in proportion."""
    place = share * (len(ordered) - 1)
    i = int(place)
    after = ordered[min(i + 1, len(ordered) - 1)]
    return ordered[i] + (place - i) * (after - ordered[i])


def _mode(low: float, middle: float, high: float) -> float:
    """The mode of the triangle from ``low`` to ``high`` whose median is ``middle``."""
    if high <= low:
        return low
    if middle <= (low + high) / 2:
        mode = high - 2 * (high - middle) ** 2 / (high - low)
    else:
        mode = low + 2 * (middle - low) ** 2 / (high - low)
    return min(max(mode, low), high)


def counted_losses(occasions: Iterable[Occasion]) -> tuple[int, int]:
    """Pieces that came to a stage and pieces lost there, an accident cut down to what could be the form's own loss."""
    came = lost = 0
    for x in occasions:
        counts = min(x.lost, max(ALWAYS, int(MOST_LOST * x.among)))
        came += x.passed + counts
        lost += counts
    return came, lost
