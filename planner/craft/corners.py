"""Placing circles of any sizes one after another, each into a corner between two things that it touches."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from math import hypot, sqrt

from planner.craft.shelves import Disc, Rectangle, Round, Shelf

Spot = tuple[float, float]
_Reach = tuple[float, float, float]  # x, y, and the square of how near a middle may come
Choice = Callable[[float, float, float], tuple[float, float]]
SLACK = 1e-9

# Where the next circle goes among the corners that it fits: the lowest value first. (x, y, room to the edge)
CHOICES: dict[str, Choice] = {
    "front": lambda x, y, room: (round(y, 6), x),
    "left": lambda x, y, room: (round(x, 6), y),
    "edge": lambda x, y, room: (round(room, 6), round(y, 6)),
    "back": lambda x, y, room: (-round(y, 6), x),
}


@dataclass(frozen=True, slots=True)
class _Ring:
    """The middles at which a circle touches a thing: a circle of ``r`` about it."""

    x: float
    y: float
    r: float


class Field:
    """A shelf that is being filled. ``add`` finds a corner for a circle and puts it there, or gives None."""

    def __init__(self, shelf: Shelf, gap_mm: float, posts: Sequence[Disc], choice: Choice) -> None:
        self._shelf, self._gap, self._choice = shelf, gap_mm, choice
        self._things = list(posts)
        self._corners: dict[float, list[Spot]] = {}  # by diameter, those that still fit
        self._reach: dict[float, list[_Reach]] = {}  # by diameter, of each thing that its corners know of

    def put(self, disc: Disc) -> None:
        """Something that stands there already."""
        self._things.append(disc)

    def add(self, diameter_mm: float) -> Disc | None:
        spots = self._free(diameter_mm)
        if not spots:
            return None
        x, y = min(spots, key=lambda s: self._choice(s[0], s[1], self._shelf.room(*s)))
        disc = Disc(x, y, diameter_mm)
        self._things.append(disc)
        return disc

    def _free(self, d: float) -> list[Spot]:
        """Corners for a diameter: those known that still fit, and those that new things make."""
        first, reach = d not in self._reach, self._reach.setdefault(d, [])
        known = len(reach)
        new = [(t.x, t.y, ((t.diameter_mm + d) / 2 + self._gap - SLACK) ** 2) for t in self._things[known:]]
        reach += new
        spots = [s for s in self._corners.get(d, []) if _clear(s, new)]
        made = list(self._of_shelf(d)) if first else []
        for i in range(known, len(self._things)):
            made += self._of_thing(i, d)
        least = d / 2 - SLACK
        spots += [s for s in made if self._shelf.room(*s) >= least and _clear(s, reach)]
        self._corners[d] = spots
        return spots

    def _of_shelf(self, d: float) -> Iterator[Spot]:
        """Corners of the shelf itself."""
        if isinstance(self._shelf, Rectangle):
            a, b = (self._shelf.width_mm - d) / 2, (self._shelf.depth_mm - d) / 2
            yield from ((-a, -b), (a, -b), (-a, b), (a, b))
        else:
            r = (self._shelf.diameter_mm - d) / 2
            yield from ((0.0, -r), (-r, 0.0), (0.0, r), (0.0, 0.0))

    def _of_thing(self, at: int, d: float) -> Iterator[Spot]:
        """Corners between a thing and the edge, and between it and each thing before it."""
        t = self._things[at]
        ring = _Ring(t.x, t.y, (t.diameter_mm + d) / 2 + self._gap)
        if isinstance(self._shelf, Round):
            yield from _crossings(ring, _Ring(0.0, 0.0, (self._shelf.diameter_mm - d) / 2))
        else:
            a, b = (self._shelf.width_mm - d) / 2, (self._shelf.depth_mm - d) / 2
            for x in (-a, a):
                yield from ((x, t.y + h) for h in _heights(ring.r, x - t.x))
            for y in (-b, b):
                yield from ((t.x + h, y) for h in _heights(ring.r, y - t.y))
        for other in self._things[:at]:
            far = (other.diameter_mm + d) / 2 + self._gap
            if abs(other.x - t.x) < ring.r + far and abs(other.y - t.y) < ring.r + far:
                yield from _crossings(ring, _Ring(other.x, other.y, far))


def _clear(spot: Spot, reach: Sequence[_Reach]) -> bool:
    """Whether a place is out of reach of all things; ``reach`` has the square of each one's."""
    x, y = spot
    for a, b, square in reach:  # noqa: SIM110 (three times as fast as all() over a generator)
        if (a - x) * (a - x) + (b - y) * (b - y) < square:
            return False
    return True


def _heights(r: float, off: float) -> tuple[float, ...]:
    if abs(off) > r:
        return ()
    h = sqrt(r * r - off * off)
    return h, -h


def _crossings(a: _Ring, b: _Ring) -> tuple[Spot, ...]:
    """Where two circles cross; nothing where they do not."""
    dx, dy = b.x - a.x, b.y - a.y
    apart = hypot(dx, dy)
    if not abs(a.r - b.r) < apart < a.r + b.r or apart < SLACK:
        return ()
    along = (apart * apart + a.r * a.r - b.r * b.r) / (2 * apart)
    off = sqrt(max(0.0, a.r * a.r - along * along))
    ux, uy = dx / apart, dy / apart
    x, y = a.x + along * ux, a.y + along * uy
    return (x - off * uy, y + off * ux), (x + off * uy, y - off * ux)
