"""Whether ware stands as it says: by geometry alone, knowing nothing of how it was placed."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations
from math import hypot

from planner.craft.shelves import Disc, Load, Shelf, Stack, Ware

SLACK_MM = 1e-6  # of rounding


@dataclass(frozen=True, slots=True)
class Clash:
    """Things by number (of the list given) that are nearer than they may be, and the mm that lack.

    ``kind``: "pieces", "post" (piece, post) or "edge" (a piece over the edge; ``other`` is then −1).
    """

    kind: str
    piece: int
    other: int
    lacks_mm: float


def between(a: Disc, b: Disc) -> float:
    """The free distance in mm between two round things; below 0 where they overlap."""
    return hypot(a.x - b.x, a.y - b.y) - (a.diameter_mm + b.diameter_mm) / 2


def clashes(shelf: Shelf, pieces: Sequence[Disc], gap_mm: float, posts: Sequence[Disc] = ()) -> list[Clash]:
    """All that stands too near: piece to piece and to post by the gap, and over the edge of the shelf."""
    found = [
        Clash("pieces", i, j, gap_mm - between(a, b))
        for (i, a), (j, b) in combinations(enumerate(pieces), 2)
        if between(a, b) < gap_mm - SLACK_MM
    ]
    for i, piece in enumerate(pieces):
        over = piece.diameter_mm / 2 - shelf.room(piece.x, piece.y)
        if over > SLACK_MM:
            found.append(Clash("edge", i, -1, over))
        found += [
            Clash("post", i, j, gap_mm - between(piece, post))
            for j, post in enumerate(posts)
            if between(piece, post) < gap_mm - SLACK_MM
        ]
    return found


def load_faults(load: Load, stack: Stack, wares: Sequence[Ware]) -> list[str]:
    """What is wrong with a load, in words; empty if it stands, and places or leaves over exactly what was given."""
    return [*_of_stack(load, stack), *_of_levels(load, stack, wares), *_of_counts(load, wares)]


def _of_stack(load: Load, stack: Stack) -> Iterator[str]:
    if len(load.levels) > stack.shelves:
        yield f"{len(load.levels)} shelves are used, but there are {stack.shelves}"
    if load.height_mm(stack.thickness_mm) > stack.height_mm + SLACK_MM:
        yield f"{load.height_mm(stack.thickness_mm):g} mm are built up where {stack.height_mm:g} mm are free"


def _of_levels(load: Load, stack: Stack, wares: Sequence[Ware]) -> Iterator[str]:
    form = {w.key: w for w in wares}
    for number, level in enumerate(load.levels, 1):
        for c in clashes(stack.shelf, [p.disc for p in level.placed], stack.gap_mm, stack.posts):
            yield f"shelf {number}: {c.kind} {c.piece} and {c.other} lack {c.lacks_mm:g} mm"
        for p in level.placed:
            if p.key not in form:
                yield f"shelf {number}: {p.key} is none of the ware to load"
            elif form[p.key].clearance_mm > level.free_mm + SLACK_MM:
                yield f"shelf {number}: {p.key} needs {form[p.key].clearance_mm:g} mm above it"
            elif not 1 <= p.pieces <= form[p.key].pile:
                yield f"shelf {number}: {p.pieces} of {p.key} in one pile"
            elif p.disc.diameter_mm < form[p.key].diameter_mm - SLACK_MM:
                yield f"shelf {number}: {p.key} is drawn narrower than it is"


def _of_counts(load: Load, wares: Sequence[Ware]) -> Iterator[str]:
    there = Counter(load.left)
    for level in load.levels:
        for p in level.placed:
            there[p.key] += p.pieces
    given = Counter[str]()
    for w in wares:
        given[w.key] += w.count
    for key in sorted(set(there) | set(given)):
        if there[key] != given[key]:
            yield f"{there[key]} of {key} are placed or left over where {given[key]} were given"
