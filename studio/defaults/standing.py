"""How many pieces of a form a kiln shelf takes, from how wide they are when they go in.

The table's own counts hold for its sizes and its shelves; between them ware is set out on the shelf by the packing of
circles, and the table's margin (for handles, props and hands) is kept in proportion.
"""

from __future__ import annotations

import math
from functools import lru_cache

from planner.craft.packing import places
from planner.craft.ranges import OutOfRange
from planner.craft.shelves import BISQUE_GAP_MM, GLAZED_GAP_MM, Rectangle, Round, Shelf
from planner.craft.shrinkage import Shrinkage, bisque_mm, dry_mm, wet_mm

BODY = Shrinkage(0.06, 0.06)  # stoneware: 6 % in drying, 6 % in firing; common practice, no source


def entering_mm(fired_mm: float, stage: str) -> float:
    """How wide ware of a fired width is when it goes into the ``stage`` "bisque" or "glost", both about 6 % wider."""
    return dry_mm(wet_mm(fired_mm, BODY), BODY) if stage == "bisque" else bisque_mm(fired_mm, BODY)


def gap_of(stage: str) -> float:
    """Millimetres between pieces: unglazed ware may touch, glazed ware never."""
    return BISQUE_GAP_MM if stage == "bisque" else GLAZED_GAP_MM


def shelf_of(is_round: bool, width_mm: int) -> Shelf:
    """A round or a square kiln shelf."""
    return Round(width_mm) if is_round else Rectangle(width_mm, width_mm)


@lru_cache(maxsize=512)
def side_by_side(shelf: Shelf, fired_mm: int, stage: str) -> int:
    """How many stand on a shelf beside each other; 0 where not one does, or sizes are beyond all shelves."""
    try:
        return len(places(shelf, entering_mm(fired_mm, stage), gap_of(stage), (), 0))
    except OutOfRange:
        return 0


def piled(count: int, alone: int, stage: str) -> int:
    """Pieces in a pile where a shelf takes ``count`` and ``alone`` stand side by side. Glazed ware is never piled."""
    return min(50, max(1, -(-count // alone))) if stage == "bisque" and alone else 1


def in_proportion(usual: int, usual_alone: int, alone: int, stage: str) -> int:
    """A shelf's count for ``alone`` side by side, where ``usual`` are counted for ``usual_alone``.

    Where the usual count is more than stand there, those that stand are taken: glazed ware cannot be squeezed in.
    """
    whole = alone * piled(usual, usual_alone, stage)
    share = min(1.0, usual / (usual_alone * piled(usual, usual_alone, stage))) if usual_alone else 1.0
    return max(min(1, alone), math.floor(whole * share + 1e-9))
