"""When to pug clay next, and how much, so that the pressings to come have their balls."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import ceil

from planner.craft.ranges import within

MARGIN = 0.1  # more than the balls weigh: what dries at the edge, goes into scrap pressings, sticks to the pug mill
STEP_G = 5000  # a bat that can be carried


@dataclass(frozen=True, slots=True)
class Need:
    """So many grams are weighed off at a time, in minutes of any clock."""

    at: int
    grams: float


@dataclass(frozen=True, slots=True)
class Pug:
    """Have so many grams more, in whole steps, by this time: the first that could not be pressed without."""

    by: int
    grams: int


def to_pug(needs: Iterable[Need], there_g: float, margin: float = MARGIN, step_g: float = STEP_G) -> Pug | None:
    """What to pug, None where there is enough: mass balance, needs in order of time against what stands there.

    ``margin`` 0 to 1 is added to every need, ``step_g`` 100 g to 1 t; both are common practice, no source.

    *Example.* 20 kg stand there; 12 kg are weighed off at 100 and 30 kg at 900. With 10 % more 13.2 kg are gone at
    100 and 46.2 kg at 900: 26.2 kg are short from 900 on, so 30 kg are pugged by then.
    """
    within(there_g, 0, 1e9, "the clay there", "g")
    within(margin, 0, 1, "the margin")
    within(step_g, 100, 1e6, "the step of a pugging", "g")
    taken, by = 0.0, None
    for need in sorted(needs, key=lambda n: n.at):
        taken += within(need.grams, 0, 1e8, "the clay of a pressing", "g") * (1 + margin)
        if by is None and taken > there_g + 1e-6:
            by = need.at
    return None if by is None else Pug(by, round(ceil((taken - there_g) / step_g - 1e-9) * step_g))
