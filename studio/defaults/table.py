"""The table of kinds: one row for each kind of form at its usual size. Common practice, no source.

Stoneware, bisque at 1000 °C, glost at 1240 °C. Seconds are for one piece, hours as said, windows ``(lo, hi)`` hours.
"""

from __future__ import annotations

from dataclasses import dataclass

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

Hours = tuple[int, int]


@dataclass(frozen=True)
class Kind:
    """One kind of form at its usual size."""

    key: str
    name: str | Promise
    machine: str  # "jolley" = hollow mould, the tool makes the inside; "jigger" = hump mould, the tool cuts the back
    fired_mm: int  # width over the rim
    ball_g: int
    weigh_s: int  # weigh and smooth the ball
    setup_min: int  # mount and align a known tool
    scrap: int  # pressings thrown back at a set-up
    press_s: int  # bat and rim cut included
    release_s: int
    open_h: Hours  # from the pressing, in an open mould
    covered_h: Hours  # the same under a cover
    rest_h: Hours  # (ordinary week, damp week) until a mould is dry enough again
    fettle_s: int
    turn_s: int
    leather_h: Hours  # leather-hard work in the open
    wrapped_h: Hours  # the same for wrapped ware
    dry_h: Hours  # (mild, cold and damp) from the last work to bone-dry
    per_board: int  # ware board of 1.2 by 0.3 m
    bisque: tuple[int, int]  # pieces on a square 590 shelf, prop in mm
    glost: tuple[int, int]
    glost_round: int  # pieces on a round 430 shelf
    glaze_s: int  # and wipe the foot
    sort_s: int
    wrap_s: int
    moulds: int
    loss_pct: int  # from the pressing to firsts
    foot: str = "mould"
    handle: bool = False


HANDLE_S = 240  # make and join one
HANDLE_G = 60

KINDS: dict[str, Kind] = {
    k.key: k
    for k in (
        Kind("egg_cup", _("egg cup"), "jolley", 50, 110, 20, 20, 1, 90, 20, (4, 10), (12, 22), (12, 24), 45, 110,
             (0, 4), (0, 72), (24, 48), 60, (110, 75), (90, 75), 36, 60, 25, 60, 20, 8),
        Kind("beaker", _("beaker"), "jolley", 80, 380, 25, 25, 1, 150, 25, (5, 12), (12, 22), (12, 24), 60, 150,
             (0, 6), (0, 72), (30, 60), 30, (40, 125), (36, 115), 14, 90, 30, 75, 24, 8),
        Kind("mug", _("mug"), "jolley", 85, 460, 25, 25, 1, 165, 25, (5, 12), (12, 22), (12, 24), 60, 150,
             (0, 5), (0, 72), (48, 96), 16, (24, 115), (22, 110), 8, 120, 35, 90, 24, 12, handle=True),
        Kind("ramekin", _("ramekin"), "jolley", 90, 200, 20, 20, 1, 100, 20, (4, 10), (12, 22), (12, 24), 45, 110,
             (0, 4), (0, 72), (26, 52), 48, (60, 65), (50, 60), 20, 60, 25, 55, 18, 8),
        Kind("bowl", _("bowl"), "jolley", 150, 560, 30, 25, 1, 180, 30, (6, 12), (14, 24), (14, 28), 60, 150,
             (0, 8), (0, 96), (36, 72), 7, (24, 100), (12, 80), 4, 100, 35, 90, 20, 8, foot="turned"),
        Kind("soup_plate", _("soup plate"), "jigger", 220, 900, 35, 30, 2, 240, 50, (4, 8), (12, 18), (16, 30), 60, 150,
             (0, 6), (0, 72), (60, 120), 4, (12, 80), (4, 55), 1, 120, 40, 100, 12, 12),
        Kind("side_plate", _("side plate"), "jigger", 175, 560, 30, 30, 2, 210, 40, (4, 8), (12, 18), (16, 30), 45, 110,
             (0, 6), (0, 72), (54, 108), 5, (27, 60), (9, 40), 3, 90, 35, 75, 16, 10),
        Kind("dinner_plate", _("dinner plate"), "jigger", 265, 1300, 40, 35, 2, 300, 60, (5, 8), (14, 20), (18, 36), 75,
             190, (0, 6), (0, 72), (72, 144), 4, (12, 65), (4, 40), 1, 150, 45, 120, 12, 18),
        Kind("serving_bowl", _("serving bowl"), "jolley", 250, 1700, 45, 40, 2, 420, 60, (6, 12), (14, 24), (20, 36),
             95, 240, (1, 10), (1, 96), (72, 144), 4, (8, 170), (4, 125), 1, 180, 50, 150, 8, 15, foot="turned"),
    )
}  # fmt: skip
