"""Snapshots: where in the record to keep one, and whether one still tells the truth."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import NamedTuple

from studio.record.facts import Fact
from studio.record.settle import touches
from studio.record.state import SHAPE

EVERY = 300  # facts between snapshots: folding so many takes a few milliseconds
SETTLED = 50  # the last facts are left out of one, since what arrives late mostly belongs among them


class Point(NamedTuple):
    """The state after all facts up to (``happened``, ``seq``), of those that had arrived up to ``known``."""

    happened: int
    seq: int
    known: int
    shape: int = SHAPE


def usable(point: Point, arrived: Iterable[Fact], find: Callable[[str], Fact | None]) -> bool:
    """Whether a snapshot at ``point`` is still the truth.

    ``arrived`` holds at least all facts with a seq above ``point.known``; ``find`` gives any fact by its id. A late
    fact, an undo or a correction that touches what the snapshot has folded makes it unusable.
    """
    if point.shape != SHAPE:
        return False
    place = (point.happened, point.seq)
    return all(f.seq <= point.known or touches(f, find) > place for f in arrived)


def snapshot_place(places: list[tuple[int, int]]) -> tuple[int, int]:
    """Where the next snapshot belongs. ``places``: of all facts since the last one, in the order of folding, more
    than :data:`SETTLED`."""
    return places[-SETTLED - 1]
