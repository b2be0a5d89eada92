"""Even rows of circles on a shelf: square, and as in a honeycomb, both ways, from several offsets."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import ceil, floor, sqrt

from planner.craft.shelves import Disc, Rectangle, Round, Shelf

Spot = tuple[float, float]
OFFSETS = 8  # tries each way within a cell, where the edge is round or posts stand in the way
TINY = 1e-9


def layouts(shelf: Shelf, diameter_mm: float, gap_mm: float, posts: Sequence[Disc]) -> Iterator[list[Spot]]:
    """Middles of circles, layout after layout, none over the edge or nearer than the gap to a post or another."""
    reach = [(p.x, p.y, (p.diameter_mm + diameter_mm) / 2 + gap_mm - TINY) for p in posts]
    for spots in _raw(shelf, diameter_mm, diameter_mm + gap_mm, bool(posts)):
        yield [
            (x, y)
            for x, y in spots
            if shelf.room(x, y) >= diameter_mm / 2 - TINY
            and all((x - px) ** 2 + (y - py) ** 2 >= r * r for px, py, r in reach)
        ]


def _raw(shelf: Shelf, diameter: float, pitch: float, posts: bool) -> Iterator[list[Spot]]:
    if isinstance(shelf, Round):
        half = shelf.diameter_mm / 2 - diameter / 2
        for along, up, shift in ((pitch, pitch, 0.0), (pitch, pitch * sqrt(3) / 2, pitch / 2)):
            spots = _from_offsets(half, half, along, up, shift)
            yield from spots
            if posts:
                yield from ([(y, x) for x, y in s] for s in _from_offsets(half, half, along, up, shift))
        return
    a, b = (shelf.width_mm - diameter) / 2, (shelf.depth_mm - diameter) / 2
    if a < -TINY or b < -TINY:
        return
    yield from _rectangle(a, b, pitch, posts)
    yield from ([(y, x) for x, y in spots] for spots in _rectangle(b, a, pitch, posts))


def _rectangle(a: float, b: float, pitch: float, posts: bool) -> Iterator[list[Spot]]:
    """Rows along x in the middles' rectangle −a…a by −b…b."""
    honey = pitch * sqrt(3) / 2
    yield _rows(-a, -b, a, b, pitch, pitch, 0.0)
    yield _rows(-a, -b, a, b, pitch, honey, pitch / 2)
    across = floor(2 * a / pitch + TINY) + 1
    if across > 1:
        # rows of so many pulled apart to fill the width, so that the rows nest deeper: all alike, or one less by turns
        for along in (2 * a / (across - 0.5), 2 * a / (across - 1)):
            if pitch <= along <= sqrt(3) * pitch:  # beyond it every second row comes nearer than the pitch
                yield _rows(-a, -b, a, b, along, sqrt(pitch**2 - along**2 / 4), along / 2)
        up = floor(2 * b / pitch + TINY)
        yield _rows(-a, -b, a, b, 2 * a / (across - 1), 2 * b / up if up else pitch, 0.0)
    if posts:
        yield from _from_offsets(a, b, pitch, pitch, 0.0)
        yield from _from_offsets(a, b, pitch, honey, pitch / 2)


def _from_offsets(a: float, b: float, along: float, up: float, shift: float) -> Iterator[list[Spot]]:
    for i in range(OFFSETS):
        for j in range(OFFSETS):
            yield _rows(-a - along * i / OFFSETS, -b - up * j / OFFSETS, a, b, along, up, shift)


def _rows(left: float, low: float, right: float, top: float, along: float, up: float, shift: float) -> list[Spot]:
    """Rows from (left, low), each second one shifted, as far as right and top."""
    out = []
    for j in range(ceil((top - low) / up + TINY) + 1):
        y, begin = low + j * up, left + (shift if j % 2 else 0.0)
        if y > top + TINY:
            break
        out += [(begin + i * along, y) for i in range(floor((right - begin) / along + TINY) + 1)]
    return out


def at_most(shelf: Shelf, diameter_mm: float, gap_mm: float) -> int:
    """No packing holds more circles: 2/√3 × area + half the way round + 1 of the middles' field, in pitches.

    Groemer's inequality of 1960 (from memory) for points at least 1 apart in a convex field.
    """
    pitch = diameter_mm + gap_mm
    if isinstance(shelf, Rectangle):
        a, b = shelf.width_mm - diameter_mm, shelf.depth_mm - diameter_mm
        area, way = a * b, 2 * (a + b)
    else:
        a = b = shelf.diameter_mm - diameter_mm
        area, way = 3.141592653589793 * a * a / 4, 3.141592653589793 * a
    if min(a, b) < -TINY:
        return 0
    return floor(2 / sqrt(3) * max(area, 0) / pitch**2 + way / 2 / pitch + 1 + 1e-6)
