"""The section of a form as a picture to scale: cut in half on the right, seen from outside on the left."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from planner.craft.solids import Point, Profile

MARGIN = 0.08  # of the larger side, on each side
BARS = (5, 10, 20, 50, 100, 200, 500)  # mm; the longest that is not wider than a third of the pot
EVERY = 2  # each second wall has its number beside it, so that they stay apart


@dataclass(frozen=True)
class Mark:
    """A place along the inside with its number; positions in mm of the drawing, which runs downwards."""

    x: str
    y: str
    label: str


@dataclass(frozen=True)
class Picture:
    """``box`` is the view box in mm; paths are ready for SVG. ``bar`` mm are ``bar_x`` to ``bar_to`` at ``bar_y``."""

    box: str
    wide: str
    high: str
    clay: str
    outside: str
    axis: str
    marks: tuple[Mark, ...]
    dot: str
    text: str
    bar: int
    bar_path: str


def picture_of(form: Profile, places: Sequence[Point]) -> Picture:
    """Draw ``form`` (mm) with the ``places`` of the inside that the table tells of."""
    ring = form.ring
    half = max(r for r, _z in ring)
    low, top = min(z for _r, z in ring), max(z for _r, z in ring)
    room = MARGIN * max(2 * half, top - low)
    wide, high = 2 * half + 2 * room, top - low + 3 * room
    bar = max((b for b in BARS if b <= 2 * half / 3), default=BARS[0])
    bar_y = -low + 1.6 * room
    marks = tuple(
        Mark(_n(r), _n(-z), str(i) if i % EVERY == 1 or i == len(places) else "") for i, (r, z) in enumerate(places, 1)
    )
    box = f"{_n(-half - room)} {_n(-top - room)} {_n(wide)} {_n(high)}"
    return Picture(
        box, _n(wide), _n(high),
        _path(ring) + "Z", _path((-r, z) for r, z in form.outer) + "H0",
        f"M0 {_n(-top - room / 2)}V{_n(-low + room / 2)}", marks, _n(room / 9), _n(room * 0.62), bar,
        f"M{_n(-half)} {_n(bar_y)}h{bar}",
    )  # fmt: skip


def _path(points: Iterable[Point]) -> str:
    return "M" + "L".join(f"{_n(r)} {_n(-z)}" for r, z in points)


def _n(value: float) -> str:
    """Two decimals, never a minus nought."""
    return f"{round(value, 2) + 0:g}"
