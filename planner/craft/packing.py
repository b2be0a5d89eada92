"""How many circles a shelf holds, where they stand, and how forms of several sizes share a shelf.

Equal circles: even rows both ways, corners from four sides, then one more at a time by pushing apart. Several sizes:
corners in several orders, the best kept. All of it with a fixed seed and bounded work, so it repeats exactly.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from random import Random

from planner.craft.corners import CHOICES, Field
from planner.craft.lattices import at_most, layouts
from planner.craft.ranges import OutOfRange, within
from planner.craft.relax import one_more
from planner.craft.shelves import GLAZED_GAP_MM, MOST_MM, Disc, Placed, Round, Shelf, Ware

WORK = 1_200_000  # pairs looked at for the one circle more: about half a second
MOST_PUSHED = 60  # circles beyond which pushing finds little
MOST_PLACED = 400


@lru_cache(maxsize=512)
def places(
    shelf: Shelf, diameter_mm: float, gap_mm: float = GLAZED_GAP_MM, posts: tuple[Disc, ...] = (), work: int = WORK,
    enough: int = MOST_PLACED,
) -> tuple[Disc, ...]:
    """As many circles of one diameter as are found, from the front to the back.

    ``diameter_mm`` 10 to 3000, ``gap_mm`` 0 to 200 between circles and to posts; the edge of the shelf may be touched.
    At most 400 are placed. Up to 30 circles it is the best number known or one less, half a per cent of room to spare.
    It is not looked for more than ``enough`` (1 to 400).
    """
    within(diameter_mm, 10, MOST_MM, "the diameter of a piece", "mm")
    within(gap_mm, 0, 200, "the gap", "mm")
    most = min(MOST_PLACED, at_most(shelf, diameter_mm, gap_mm))
    best: list[tuple[float, float]] = max(layouts(shelf, diameter_mm, gap_mm, posts), key=len, default=[])[:most]
    for choice in CHOICES.values():
        if len(best) >= enough:
            break
        cornered = _cornered(Field(shelf, gap_mm, posts, choice), diameter_mm, most)
        best = max(best, cornered, key=len)
    chance = Random(1)
    while 0 < len(best) < min(most, MOST_PUSHED, enough):
        more = one_more(shelf, diameter_mm, gap_mm, posts, best, work, chance)
        if more is None:
            break
        best = more
    return tuple(Disc(x, y, diameter_mm) for x, y in sorted(best, key=lambda s: (round(s[1], 3), s[0])))


def _cornered(field: Field, diameter: float, most: int) -> list[tuple[float, float]]:
    out: list[tuple[float, float]] = []
    while len(out) < most and (disc := field.add(diameter)) is not None:
        out.append((disc.x, disc.y))
    return out


def per_shelf(
    shelf: Shelf, diameter_mm: float, gap_mm: float = GLAZED_GAP_MM, pile: int = 1, posts: tuple[Disc, ...] = ()
) -> int:
    """Pieces of one form on a shelf, ``pile`` (1 to 50) on each place."""
    within(pile, 1, 50, "the pile", "pieces")
    return pile * len(places(shelf, diameter_mm, gap_mm, posts))


def widest_mm(
    shelf: Shelf, count: int, gap_mm: float = GLAZED_GAP_MM, posts: tuple[Disc, ...] = (), pile: int = 1
) -> float:
    """The diameter, to half a mm, at which a shelf still holds ``count`` (1 to 400) pieces.

    For a studio that counts more on its shelves than round ware allows, since handles are turned into the gaps: its
    ware is then drawn this wide, and loads agree with its own count.
    """
    within(count, 1, MOST_PLACED, "the pieces on a shelf", "pieces")
    low, high = 10.0, shelf.diameter_mm if isinstance(shelf, Round) else min(shelf.width_mm, shelf.depth_mm)
    on_shelf = -(-count // pile)
    if len(places(shelf, low, gap_mm, posts, 0)) < on_shelf:
        raise OutOfRange(f"{count} pieces do not fit on this shelf at any size: give fewer")
    while high - low > 0.5:
        middle = (low + high) / 2
        holds = at_most(shelf, middle, gap_mm) >= on_shelf
        if holds and len(places(shelf, middle, gap_mm, posts, WORK // 8, on_shelf)) >= on_shelf:
            low = middle
        else:
            high = middle
    return low


@dataclass(frozen=True, slots=True)
class Shared:
    """What found a place on a shelf, and piles by form that did not."""

    placed: tuple[Placed, ...]
    left: dict[str, int]


def share(
    shelf: Shelf, wares: Sequence[Ware], gap_mm: float, posts: tuple[Disc, ...] = (), work: int = WORK, seed: int = 0
) -> Shared:
    """Forms of several sizes on one shelf, those named first before the others; as many of each as are found.

    Two kinds of tries from each side, the best kept by the count of the first form, then of the second and so on: the
    first form in its own best rows and the others into the corners left, or all into corners. ``seed`` above 0 tries
    some of them by lot instead. ``left`` counts pieces.
    """
    alone = len(wares) == 1
    ways = [(name, rows) for name in CHOICES for rows in ((True,) if alone else (True, False))]
    ways = Random(seed).sample(ways, min(3, len(ways))) if seed else ways[:1] if alone else ways
    tries = [
        _rows_first(shelf, wares, gap_mm, posts, work, name)
        if rows
        else _into(Field(shelf, gap_mm, posts, CHOICES[name]), wares)
        for name, rows in ways
    ]
    best = max(tries, key=lambda placed: _worth(placed, wares))
    there = {w.key: sum(p.pieces for p in best if p.key == w.key) for w in wares}
    return Shared(tuple(best), {w.key: w.count - there[w.key] for w in wares})


def _worth(placed: Sequence[Placed], wares: Sequence[Ware]) -> tuple[int, ...]:
    return tuple(sum(p.pieces for p in placed if p.key == w.key) for w in wares)


def _rows_first(
    shelf: Shelf, wares: Sequence[Ware], gap: float, posts: tuple[Disc, ...], work: int, choice: str
) -> list[Placed]:
    first = wares[0]
    spots = places(shelf, first.diameter_mm, gap, posts, work)
    spots = tuple(sorted(spots, key=lambda s: CHOICES[choice](s.x, s.y, shelf.room(s.x, s.y))))[: first.piles]
    field = Field(shelf, gap, posts, CHOICES[choice])
    for spot in spots:
        field.put(spot)
    out = [Placed(first.key, spot, n) for spot, n in zip(spots, _in_piles(first), strict=False)]
    return out + _into(field, wares[1:])


def _into(field: Field, wares: Sequence[Ware]) -> list[Placed]:
    """Ware into corners in the order given, a form until it is placed or finds no corner."""
    out: list[Placed] = []
    for w in wares:
        for pieces in _in_piles(w):
            if len(out) >= MOST_PLACED or (disc := field.add(w.diameter_mm)) is None:
                break
            out.append(Placed(w.key, disc, pieces))
    return out


def _in_piles(w: Ware) -> list[int]:
    """The pieces of each pile, the last one what is left."""
    whole, rest = divmod(w.count, w.pile)
    return [w.pile] * whole + [rest] * bool(rest)
