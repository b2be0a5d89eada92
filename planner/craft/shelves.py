"""Kiln shelves and what stands on them: the geometry that packing, the check of a packing and the picture share.

Millimetres from the middle of the shelf, x to the right, y to the back. Ware is taken as round: its widest diameter,
handle and all, where a handle may point anywhere.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from math import cos, hypot, pi, radians, sin

from planner.craft.ranges import OutOfRange, within

MOST_MM = 3000.0
GLAZED_GAP_MM = 6.0  # glazed ware at least a quarter of an inch apart: a kiln maker's loading page
BISQUE_GAP_MM = 0.0  # unglazed ware may touch: the same page
AIR_MM = 5.0  # above ware: paper's thickness to an eighth of an inch is told; 5 mm is common practice, no source
POST_MM = 40.0  # across a post; common practice, no source
POST_INSET_MM = 40.0  # three posts a shelf, 1 to 2 inches from its edge: the same page


@dataclass(frozen=True, slots=True)
class Round:
    """A round shelf."""

    diameter_mm: float

    def __post_init__(self) -> None:
        within(self.diameter_mm, 50, MOST_MM, "the diameter of a shelf", "mm")

    @property
    def area_mm2(self) -> float:
        return pi * self.diameter_mm**2 / 4

    def room(self, x: float, y: float) -> float:
        """How far a point is within the edge; less than 0 outside."""
        return self.diameter_mm / 2 - hypot(x, y)


@dataclass(frozen=True, slots=True)
class Rectangle:
    """A rectangular shelf, ``depth_mm`` from front to back."""

    width_mm: float
    depth_mm: float

    def __post_init__(self) -> None:
        within(self.width_mm, 50, MOST_MM, "the width of a shelf", "mm")
        within(self.depth_mm, 50, MOST_MM, "the depth of a shelf", "mm")

    @property
    def area_mm2(self) -> float:
        return self.width_mm * self.depth_mm

    def room(self, x: float, y: float) -> float:
        """How far a point is within the edge; less than 0 outside."""
        return min(self.width_mm / 2 - abs(x), self.depth_mm / 2 - abs(y))


Shelf = Round | Rectangle


@dataclass(frozen=True, slots=True)
class Disc:
    """A round thing seen from above: a pot, a pile of pots or a post."""

    x: float
    y: float
    diameter_mm: float


@dataclass(frozen=True, slots=True)
class Ware:
    """Pieces of one form to load: how wide one is, the free height it needs (a whole pile's), pieces in a pile."""

    key: str
    count: int
    diameter_mm: float
    clearance_mm: float
    pile: int = 1

    def __post_init__(self) -> None:
        within(self.count, 0, 100_000, f"the pieces of {self.key}", "pieces")
        within(self.diameter_mm, 10, MOST_MM, f"the diameter of {self.key}", "mm")
        within(self.clearance_mm, 5, MOST_MM, f"the free height for {self.key}", "mm")
        within(self.pile, 1, 50, f"the pile of {self.key}", "pieces")

    @property
    def piles(self) -> int:
        return -(-self.count // self.pile)


@dataclass(frozen=True, slots=True)
class Stack:
    """The inside of a kiln: free height, one kind of shelf with its thickness and how many, posts, and the gap."""

    height_mm: float
    shelf: Shelf
    thickness_mm: float
    shelves: int
    gap_mm: float = GLAZED_GAP_MM
    posts: tuple[Disc, ...] = ()

    def __post_init__(self) -> None:
        within(self.height_mm, 30, 2 * MOST_MM, "the height to pack", "mm")
        within(self.thickness_mm, 1, 100, "the thickness of a shelf", "mm")
        within(self.shelves, 1, 60, "the shelves", "shelves")
        within(self.gap_mm, 0, 200, "the gap", "mm")


@dataclass(frozen=True, slots=True)
class Placed:
    """A pot or a pile of ``pieces`` of a form at its place."""

    key: str
    disc: Disc
    pieces: int = 1


@dataclass(frozen=True, slots=True)
class Level:
    """One shelf, the free height above it, and what stands on it."""

    free_mm: float
    placed: tuple[Placed, ...]


@dataclass(frozen=True)
class Load:
    """Shelves from the bottom up, and pieces by form that found no place."""

    levels: tuple[Level, ...]
    left: Mapping[str, int] = field(default_factory=dict)

    @property
    def fits(self) -> bool:
        return not any(self.left.values())

    def height_mm(self, thickness_mm: float) -> float:
        """What the levels take with a shelf under each."""
        return sum(level.free_mm + thickness_mm for level in self.levels)


def post_patterns(
    shelf: Shelf, across_mm: float = POST_MM, inset_mm: float = POST_INSET_MM
) -> tuple[tuple[Disc, ...], ...]:
    """Ways to set three posts, their middles ``inset_mm`` from the edge.

    On a rectangle: two front corners and the middle of the back; or the middles of three sides, between large plates.
    On a round shelf a third of the way round each. ``across_mm`` 10 to 100, inset up to a quarter of the shelf.
    """
    within(across_mm, 10, 100, "the width of a post", "mm")
    if isinstance(shelf, Round):
        ring = shelf.diameter_mm / 2 - within(inset_mm, 0, shelf.diameter_mm / 4, "the inset of a post", "mm")
        return (tuple(Disc(ring * cos(radians(a)), ring * sin(radians(a)), across_mm) for a in (90, 210, 330)),)
    within(inset_mm, 0, min(shelf.width_mm, shelf.depth_mm) / 4, "the inset of a post", "mm")
    x, y = shelf.width_mm / 2 - inset_mm, shelf.depth_mm / 2 - inset_mm
    corners = Disc(-x, -y, across_mm), Disc(x, -y, across_mm), Disc(0, y, across_mm)
    sides = Disc(-x, 0, across_mm), Disc(x, 0, across_mm), Disc(0, y, across_mm)
    return corners, sides


def clearance_mm(height_mm: float, pile: int = 1, step_mm: float = 0.0, air_mm: float = AIR_MM) -> float:
    """The free height for a pile: the first piece, ``step_mm`` for each further one nested in it, and air above.

    A piece 5 to 2000 mm high, piles of 1 to 50, air 0 to 100 mm. Glazed ware is never piled: ``pile`` 1.
    """
    within(height_mm, 5, 2000, "the height of a piece", "mm")
    within(pile, 1, 50, "the pile", "pieces")
    within(air_mm, 0, 100, "the air above ware", "mm")
    if pile > 1 and not 0 < step_mm <= height_mm:
        raise OutOfRange("say by how many mm each further piece makes a pile higher: more than 0, at most its height")
    return height_mm + (pile - 1) * step_mm + air_mm
