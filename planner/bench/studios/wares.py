"""Wares as small jigger and jolley studios make them: figures by common practice, no source."""

from __future__ import annotations

from typing import Any

# press, set-up, take out: seconds, minutes, seconds; windows open and covered and mould rest in hours; steps; hours to
# dry; pieces a board green and glazed; clearance in mm and pieces a shelf in the large and the small kiln; seconds to
# glaze and to finish; moulds owned
WARES: dict[str, tuple[Any, ...]] = {
    "egg-cup": (90, 20, 20, (4, 10), (12, 22), 12, ["trim45"], 24, (60, 48), (75, 110, 44), (75, 90, 36), 60, 85, 20),
    "beaker": (150, 25, 25, (5, 12), (12, 22), 12, ["trim60"], 30, (30, 24), (125, 40, 16), (115, 36, 14), 90, 105, 24),
    "mug": (165, 25, 25, (5, 12), (12, 22), 12, ["trim60", "join180"], 48, (16, 14), (115, 24, 9), (110, 22, 8),
            120, 125, 24),
    "bowl": (180, 25, 30, (6, 12), (14, 24), 14, ["trim150"], 36, (7, 6), (100, 24, 8), (80, 12, 4), 100, 125, 20),
    "soup-plate": (240, 30, 50, (4, 8), (12, 18), 16, [], 60, (4, 4), (80, 12, 3), (55, 4, 1), 120, 140, 12),
    "side-plate": (210, 30, 40, (4, 8), (12, 18), 16, ["trim45"], 54, (5, 5), (60, 27, 9), (40, 9, 3), 90, 110, 16),
    "dinner-plate": (300, 35, 60, (5, 8), (14, 20), 18, ["trim75"], 72, (4, 4), (65, 12, 3), (40, 4, 1), 150, 165, 12),
    "ramekin": (100, 20, 20, (4, 10), (12, 22), 12, [], 26, (48, 40), (65, 60, 26), (60, 50, 20), 60, 80, 18),
}  # fmt: skip
STEPS: dict[str, tuple[str, int, int, tuple[int, int], tuple[int, int]]] = {
    "trim45": ("trim", 0, 45, (0, 6), (0, 72)),
    "trim60": ("trim", 0, 60, (0, 5), (0, 72)),
    "trim75": ("trim", 0, 75, (0, 6), (0, 72)),
    "trim150": ("trim", 5, 150, (0, 8), (0, 96)),
    "join180": ("join", 5, 180, (0, 7), (0, 74)),
}
