"""From six questions to everything the planner needs of a form.

The row of the table is taken for its usual size and scaled for the size asked for:

* pieces on a board go with the area they stand on, so with the square of the width, rounded down;
* pieces on a kiln shelf are set out on it, see :mod:`studio.defaults.standing`;
* the height that a piece needs between two shelves goes with the width, rounded up to 5 mm;
* of the seconds at the machine, half are the same for any size and half go with the weight of the ball;
* drying and the rest of the mould go with the thickness of the wall (weight over area), between 0.7 and 1.6 times;
* the windows stay: a form far from the usual size needs a trial pressing, and the draft says so.

Worked example: a bowl of 180 mm from a ball of 800 g. It goes into the glost 190 mm wide, so three rows of three stand
on a 590 shelf, 3 × 190 + 2 × 6 = 582 mm, at 80 × 180 / 150 = 96, that is 100 mm. The ball is 800 / 560 = 1.43 times
heavier, the wall 1.43 / 1.44 = 0.99 times as thick, so it dries as long as the usual one.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, field
from typing import Any

from studio.defaults.standing import in_proportion, shelf_of, side_by_side
from studio.defaults.table import HANDLE_S, KINDS, Hours, Kind

__all__ = ["KINDS", "FormDraft", "Kind", "form_defaults", "usual_ball_g"]

SQUARE_MM, ROUND_MM = 590, 430  # the shelves that the table counts on
GLAZED_SHARE = 0.85  # glazed pieces must not touch, so a board takes fewer
BISQUE_LOSS_PCT = 1
GLAZE_DRY_MIN = 240
FAR = (0.6, 1.6)


@dataclass(frozen=True)
class FormDraft:
    """What a form starts from; ``timings`` are the columns of its first timings but the shelves."""

    kind: Kind
    ball_g: int
    setup_min: int
    moulds: int
    timings: dict[str, Any]
    clearance_mm: dict[str, int]  # by stage
    scale: float
    fired_mm: int
    notes: list[str] = field(default_factory=list)

    def per_shelf(self, stage: str, shelf_kind: str) -> int:
        """Pieces of ``stage`` ("bisque" or "glost") that one shelf of ``shelf_kind`` takes; 0 = it does not fit.

        ``shelf_kind`` is "590" (square), "430" (round), or "s" or "r" and a width in mm, such as "s500".
        """
        is_round, width = shelf_shape(shelf_kind)
        alone = side_by_side(shelf_of(is_round, width), self.fired_mm, stage)
        # The table counts bisque ware on square shelves only, so its piles and its margin hold for round ones too.
        by_round = is_round and stage == "glost"
        square = self.kind.bisque[0] if stage == "bisque" else self.kind.glost[0]
        usual = shelf_of(by_round, ROUND_MM if by_round else SQUARE_MM)
        there = side_by_side(usual, self.kind.fired_mm, stage)
        return in_proportion(self.kind.glost_round if by_round else square, there, alone, stage)

    def shelving(self, stage: str, kilns: dict[str, str]) -> dict[str, Any]:
        """The shelves of ``stage`` for ``kilns``, a dict of kiln id to kind of shelf."""
        counts = {kiln: self.per_shelf(stage, kind) for kiln, kind in kilns.items()}
        return {"clearance_mm": self.clearance_mm[stage], "per_shelf": {k: n for k, n in counts.items() if n > 0}}


def shelf_shape(shelf_kind: str) -> tuple[bool, int]:
    """Whether the shelf is round, and its width in mm."""
    if shelf_kind in ("590", "430"):
        return shelf_kind == "430", int(shelf_kind)
    match = re.fullmatch(r"([sr])([1-9]\d{2,3})", shelf_kind)
    if match is None:
        raise ValueError(f"no kind of shelf: {shelf_kind}")
    return match[1] == "r", int(match[2])


def usual_ball_g(kind: str, fired_mm: int) -> int:
    """The ball for a form of this width and the usual proportions, in grams: it goes with the cube of the width."""
    row = KINDS[kind]
    return max(10, round(row.ball_g * (fired_mm / row.fired_mm) ** 3 / 10) * 10)


def form_defaults(kind: str, fired_mm: int, foot: str, handle: bool, ball_g: int | None = None) -> FormDraft:
    """A draft from the six questions (the sixth, the moulds owned, starts at ``draft.moulds``).

    ``kind`` is a key of ``KINDS``, ``foot`` "mould" or "turned"; raises ValueError for anything else.
    """
    if kind not in KINDS or foot not in ("mould", "turned") or fired_mm < 1 or (ball_g is not None and ball_g < 1):
        raise ValueError(f"no such form: {kind}, {fired_mm} mm, foot {foot}, ball {ball_g} g")
    row = KINDS[kind]
    ball = ball_g or usual_ball_g(kind, fired_mm)
    scale, heavier = fired_mm / row.fired_mm, ball / row.ball_g
    thicker = min(1.6, max(0.7, heavier / scale**2))
    return FormDraft(
        kind=row,
        ball_g=ball,
        setup_min=row.setup_min,
        moulds=row.moulds,
        timings={**_seconds(row, heavier), **_waits(row, thicker), **_room(row, scale), **_losses(row)}
        | {"steps": _steps(row, foot, handle, heavier), "glaze_dry_min": GLAZE_DRY_MIN},
        clearance_mm={"bisque": _up(row.bisque[1] * scale, 5), "glost": _up(row.glost[1] * scale, 5)},
        scale=scale,
        fired_mm=fired_mm,
        notes=["far_from_usual"] if not FAR[0] <= scale <= FAR[1] else [],
    )


def _up(value: float, step: int) -> int:
    return math.ceil(value / step - 1e-9) * step


def _half(seconds: int, heavier: float) -> int:
    """Half the same for any size, half with the weight; in steps of 5 s."""
    return max(5, round(seconds * (1 + heavier) / 2 / 5) * 5)


def _minutes(hours: Hours) -> list[int]:
    return [hours[0] * 60, hours[1] * 60]


def _seconds(row: Kind, heavier: float) -> dict[str, int]:
    return {
        "press_s": _half(row.weigh_s + row.press_s, heavier),
        "release_s": _half(row.release_s, heavier),
        "glaze_s": _half(row.glaze_s, heavier),
        "finish_s": _half(row.sort_s + row.wrap_s, heavier),
    }


def _waits(row: Kind, thicker: float) -> dict[str, Any]:
    return {
        "release_after": _minutes(row.open_h),
        "release_after_covered": _minutes(row.covered_h),
        "mould_rest_min": _up(row.rest_h[0] * 60 * thicker, 30),
        "mould_rest_damp_min": _up(row.rest_h[1] * 60 * thicker, 30),
        "dry_min": _up(row.dry_h[0] * 60 * thicker, 60),
        "dry_damp_min": _up(row.dry_h[1] * 60 * thicker, 60),
    }


def _room(row: Kind, scale: float) -> dict[str, int]:
    green = max(1, math.floor(row.per_board / scale**2 + 1e-9))
    return {"green_per_board": green, "glazed_per_board": max(1, math.floor(green * GLAZED_SHARE))}


def _losses(row: Kind) -> dict[str, int]:
    """The losses on the way: one in a hundred in the bisque, the rest shared by making and glost."""
    rest = max(0, row.loss_pct - BISQUE_LOSS_PCT)
    return {
        "loss_making_pct": rest - rest // 2,
        "loss_bisque_pct": min(row.loss_pct, BISQUE_LOSS_PCT),
        "loss_glost_pct": rest // 2,
    }


def _steps(row: Kind, foot: str, handle: bool, heavier: float) -> list[dict[str, Any]]:
    """The leather-hard work: turn or fettle, then join the handle."""
    waits = {"after": _minutes(row.leather_h), "after_covered": _minutes(row.wrapped_h)}
    first = ("turn", 5, row.turn_s) if foot == "turned" else ("fettle", 0, row.fettle_s)
    steps = [{"kind": first[0], "fixed": first[1], "each_s": _half(first[2], heavier), **waits}]
    if handle:
        steps.append({"kind": "join", "fixed": 5, "each_s": HANDLE_S, **waits})
    return steps
