"""Where the values of a curve stand in its picture."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True)
class Axes:
    """A frame in a drawing 360 by 200, for values from 0 to ``end`` across and from 0 to ``most`` upwards."""

    left: int
    right: int
    top: int
    bottom: int
    end: float
    most: float

    def x(self, value: float) -> float:
        """How far to the right a value stands."""
        return round(self.left + (self.right - self.left) * value / self.end, 1)

    def y(self, value: float) -> float:
        """How far down a value stands; a drawing runs downwards."""
        return round(self.bottom - (self.bottom - self.top) * value / self.most, 1)

    def path(self, points: Iterable[tuple[float, float]]) -> str:
        """The line through points as the path of an SVG."""
        return "M" + " ".join(f"{self.x(a)} {self.y(b)}" for a, b in points)
