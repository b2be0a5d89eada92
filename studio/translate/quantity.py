"""How many pieces have to be finished so that an order's firsts are there: losses are allowed for."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from fractions import Fraction
from math import ceil, prod
from typing import NamedTuple


class Standing(NamedTuple):
    """Pieces at one stage, and the share of them that will become firsts."""

    pieces: int
    survival: Fraction


class Need(NamedTuple):
    """``qty`` pieces to finish; ``taken`` of each standing, in the order given; ``fresh`` still to be pressed."""

    qty: int
    taken: tuple[int, ...]
    fresh: int


def survival(losses_pct: Iterable[int]) -> Fraction:
    """The share that comes through steps that lose so many per cent each: the product of what each one passes.

    A step that loses everything would ask for endless pieces, so each passes at least one per cent.
    """
    return prod((Fraction(max(1, 100 - loss), 100) for loss in losses_pct), start=Fraction(1))


def pieces_to_make(missing: int, standing: Sequence[Standing], from_pressing: Fraction) -> Need:
    """Pieces to finish for ``missing`` firsts: from what stands there, most advanced first, then freshly pressed.

    ``standing`` may be used by this order and is given most advanced first; each piece is worth its survival.

    *Example.* A form loses 4 % in the making, 1 % in the bisque, 4 % in the glost and on the sorting bench, so
    0.96 × 0.99 × 0.96 = 0.912384 of what is pressed become firsts. An order misses 20 firsts; 6 pieces are glost fired
    (worth 6 × 0.96 = 5.76), 10 bisqued (9.6). Missing then are 20 − 5.76 − 9.6 = 4.64, for which
    ceil(4.64 ÷ 0.912384) = 6 are pressed: 6 + 10 + 6 = 22 pieces to finish. With 30 bisqued it takes only
    ceil((20 − 5.76) ÷ 0.96) = 15 of them and none is pressed: 21.
    """
    need, taken = Fraction(max(0, missing)), []
    for pieces, worth in standing:
        use = min(pieces, ceil(need / worth)) if need > 0 else 0
        taken.append(use)
        need -= use * worth
    fresh = ceil(need / from_pressing) if need > 0 else 0
    return Need(sum(taken) + fresh, tuple(taken), fresh)
