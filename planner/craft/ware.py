"""When a piece can leave its mould, how long it stays leather-hard, when it is bone-dry.

A form begins with the hours that are common practice for its kind; from these its constants are worked out, so that an
ordinary week gives just these hours back, and any other air, mould or thickness what the law makes of them. That a
piece's firmness goes by its mean moisture is an assumption of this package: no release curve is published.

*Open hours*: hours in an open mould of usual dampness, in ordinary air. *Board hours*: hours open on a board in
ordinary air.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum

from planner.craft.drying import Law, drying_time, moisture_after, rate_from_time
from planner.craft.moulds import ORDINARY_PA, READY_SHARE, ordinary_hours
from planner.craft.ranges import OutOfRange, within

Hours = tuple[float, float]

# Water in clay, dry basis: common practice, no source. Pressed at 22 % of the wet weight; firm enough to leave an open
# mould at 19 %; shrinkage and the constant rate end at 14 % of the dry weight; kept in the air at 1 %, bone-dry at 2 %.
PRESSED, EARLY, CRITICAL, EQUILIBRIUM, BONE_DRY = 0.282, 0.235, 0.14, 0.01, 0.02
SUCTION = 0.35  # of the water a piece in an open mould loses, what goes into the plaster: common practice, no source
FULL_SHARE = 0.4332  # free water at which a mould takes no more: plaster.free_water_share(70)


class Making(StrEnum):
    """On what a piece is formed. Its latest time differs in kind."""

    JOLLEY = "jolley"  # in a hollow mould, which it shrinks away from: late it is only dry
    JIGGER = "jigger"  # on a hump, which it shrinks onto: late it splits


@dataclass(frozen=True, slots=True)
class Practice:
    """Hours that a studio begins with: windows in the mould, open and covered (None: never covered), for leather-hard
    work in the open and wrapped, and from there to bone-dry in the open."""

    making: Making
    open_h: Hours
    covered_h: Hours | None
    leather_h: Hours
    wrapped_h: Hours | None
    dry_h: float

    def __post_init__(self) -> None:
        for window, what in (
            (self.open_h, "in the open mould"),
            (self.covered_h, "in the covered mould"),
            (self.leather_h, "leather-hard"),
            (self.wrapped_h, "leather-hard and wrapped"),
        ):
            if window is not None:
                within(window[0], 0, 1000, f"the earliest hour {what}", "h")
                within(window[1], window[0] + 0.01, 1000, f"the latest hour {what}", "h")
        within(self.open_h[0], 0.5, 1000, "the earliest hour in the open mould", "h")
        within(self.dry_h, self.leather_h[1] * 1.01, 2000, "the time to bone-dry", "h")
        if self.covered_h is not None:
            within(self.covered_h[1], self.open_h[1], self.open_h[1] / SUCTION, "the latest hour under a cover", "h")
            within(self.covered_h[0], self.open_h[0], 1000, "the earliest hour under a cover", "h")
        if self.wrapped_h is not None:
            within(self.wrapped_h[1], self.leather_h[1], 1000, "the latest hour of wrapped ware", "h")


@dataclass(frozen=True, slots=True)
class Ware:
    """The constants of a form. Moistures on the dry basis; ``time_scale`` and ``thickness`` as times the usual.

    ``cover`` and ``wrap`` tell how much of the drying by air is left under a cover in the mould, and when wrapped.
    """

    making: Making
    in_mould: Law  # per open hour
    on_board: Law  # per board hour
    early: float
    early_covered: float | None
    late: float
    settle_h: float  # it stands at least so long before leather-hard work, in any air
    leather_end: float
    cover: float
    wrap: float | None
    time_scale: float = 1.0
    thickness: float = 1.0

    def __post_init__(self) -> None:
        within(self.time_scale, 0.05, 20, "the scale of time")
        within(self.thickness, 0.4, 4, "the thickness", "times the usual")


def ware_from_practice(practice: Practice) -> Ware:
    """The constants at which an ordinary week gives a kind's usual hours back.

    The two-period law, solved for its rate in the mould (pressed to firm in the earliest open hours) and on the board
    (firm to bone-dry in its hours); the moistures of the other times then follow from the law. Under a cover the latest
    moisture is the same, which gives the cover's effect; the earliest one is lower, because a face in closed air stays
    soft. Worked out here; hours of practice.
    """
    in_mould = rate_from_time(CRITICAL, EQUILIBRIUM, PRESSED, EARLY, practice.open_h[0])
    on_board = rate_from_time(CRITICAL, EQUILIBRIUM, EARLY, BONE_DRY, practice.dry_h)
    cover, early_covered = 0.0, None
    if practice.covered_h is not None:
        slowed = practice.open_h[1] / practice.covered_h[1]
        cover = (slowed - SUCTION) / (1 - SUCTION)
        early_covered = moisture_after(in_mould, PRESSED, practice.covered_h[0] * slowed)
    wrapped = practice.wrapped_h
    return Ware(
        making=practice.making,
        in_mould=in_mould,
        on_board=on_board,
        early=EARLY,
        early_covered=early_covered,
        late=moisture_after(in_mould, PRESSED, practice.open_h[1]),
        settle_h=practice.leather_h[0],
        leather_end=moisture_after(on_board, EARLY, practice.leather_h[1]),
        cover=max(0.0, cover),
        wrap=None if wrapped is None else practice.leather_h[1] / wrapped[1],
    )


def times_open(
    ware: Ware, deficit_pa: float = ORDINARY_PA, covered: bool = False, mould_share: float = READY_SHARE
) -> float:
    """Open hours that an hour in the mould does, in this air and a mould of this free water (share of its dry weight).

    The air's part goes with the deficit (and the cover), the plaster's with the pores that are still empty: the part
    in the air, 0.65, × deficit / ordinary deficit + 0.35 × (full − u) / (full − usual). Straight lines: assumptions of
    this package. Mould from 0 to 0.40.
    """
    if covered and ware.early_covered is None:
        raise OutOfRange("this form is never covered in its mould: give its hours under a cover first")
    within(mould_share, 0, 0.40, "the free water of the mould")
    by_air = (1 - SUCTION) * (ware.cover if covered else 1.0) * ordinary_hours(1, deficit_pa)
    return by_air + SUCTION * (FULL_SHARE - mould_share) / (FULL_SHARE - READY_SHARE)


def times_board(ware: Ware, deficit_pa: float = ORDINARY_PA, wrapped: bool = False) -> float:
    """Board hours that an hour on a board does in this air, open or wrapped: in proportion to the deficit."""
    if wrapped and ware.wrap is None:
        raise OutOfRange("this form is never wrapped: give its hours when wrapped first")
    return ordinary_hours(1, deficit_pa) * (ware.wrap if wrapped and ware.wrap is not None else 1.0)


def open_hours_to(ware: Ware, moisture: float) -> float:
    """Open hours from pressing to a moisture, by the two-period law, the form's thickness and its own scale of time."""
    return ware.time_scale * drying_time(ware.in_mould, PRESSED, moisture, ware.thickness)


def board_hours_to(ware: Ware, moisture: float, out: float | None = None) -> float:
    """Board hours from a moisture at taking out (usual: just firm) to another, by the same; 0 if already drier."""
    begun = ware.early if out is None else out
    return ware.time_scale * drying_time(ware.on_board, begun, moisture, ware.thickness) if moisture < begun else 0.0


@dataclass(frozen=True, slots=True)
class TakeOut:
    """Hours after pressing at which a piece can leave its mould; whether being late splits it."""

    earliest_h: float
    latest_h: float
    late_splits: bool


def take_out(
    ware: Ware, deficit_pa: float = ORDINARY_PA, covered: bool = False, mould_share: float = READY_SHARE
) -> TakeOut:
    """Earliest and latest taking out in this air and mould, open or covered: two-period law, hours of practice.

    A hump ware's latest time is hard, it splits on the mould; a hollow ware's is soft, it is only harder to work on.
    """
    speed = times_open(ware, deficit_pa, covered, mould_share)
    early = ware.early_covered if covered and ware.early_covered is not None else ware.early
    hours = (open_hours_to(ware, early) / speed, open_hours_to(ware, ware.late) / speed)
    return TakeOut(*hours, late_splits=ware.making is Making.JIGGER)


def moisture_out(
    ware: Ware,
    hours: float,
    deficit_pa: float = ORDINARY_PA,
    covered: bool = False,
    mould_share: float = READY_SHARE,
) -> float:
    """The moisture of a piece after so many hours in the mould (0 to 1000), by the two-period law."""
    done = within(hours, 0, 1000, "the time in the mould", "h") * times_open(ware, deficit_pa, covered, mould_share)
    return moisture_after(ware.in_mould, PRESSED, done / ware.time_scale, ware.thickness)


def share_to_mould(
    ware: Ware, deficit_pa: float = ORDINARY_PA, covered: bool = False, mould_share: float = READY_SHARE
) -> float:
    """Of the water a piece loses in the mould, what goes into the plaster (0 to 1): for ``moulds.water_taken_g``."""
    suction = SUCTION * (FULL_SHARE - mould_share) / (FULL_SHARE - READY_SHARE)
    return suction / times_open(ware, deficit_pa, covered, mould_share)


def leather_window(
    ware: Ware, deficit_pa: float = ORDINARY_PA, wrapped: bool = False, out: float | None = None
) -> Hours:
    """Hours after taking out between which a piece is leather-hard enough to be worked on, open or wrapped.

    Two-period law on the board; ``out`` is its moisture at taking out, usual: just firm. A piece taken out drier has
    less time, and none if both hours are the same.
    """
    end = board_hours_to(ware, ware.leather_end, out) / times_board(ware, deficit_pa, wrapped)
    return min(ware.settle_h, end), end


def bone_dry_h(ware: Ware, deficit_pa: float = ORDINARY_PA, out: float | None = None) -> float:
    """Hours open on a board to bone-dry from a moisture (usual: just firm), in this air, by the two-period law."""
    return board_hours_to(ware, BONE_DRY, out) / times_board(ware, deficit_pa)


def thicker(ware: Ware, times: float) -> Ware:
    """The same ware, so many times as thick (the answer from 0.4 to 4 times the usual): see ``drying.drying_time``."""
    return replace(ware, thickness=within(times, 0.1, 10, "the thickness", "times as thick") * ware.thickness)


@dataclass(frozen=True, slots=True)
class Point:
    """A point of a drying curve: hours after pressing, moisture, and whether the piece is still in its mould."""

    hours: float
    moisture: float
    in_mould: bool


def curve(
    ware: Ware,
    out_h: float,
    deficit_pa: float = ORDINARY_PA,
    covered: bool = False,
    mould_share: float = READY_SHARE,
    points: int = 60,
) -> tuple[Point, ...]:
    """A piece's moisture from pressing through taking out at ``out_h`` (0.1 to 1000) to bone-dry, for a picture.

    Two-period law, 10 to 1000 points, a third of them in the mould; on the board it dries in the open. A piece that is
    bone-dry in its mould ends there.
    """
    within(out_h, 0.1, 1000, "the hour of taking out", "h")
    third = int(within(points, 10, 1000, "the points of a curve")) // 3
    inside = [out_h * i / third for i in range(third + 1)]
    found = [Point(h, moisture_out(ware, h, deficit_pa, covered, mould_share), True) for h in inside]
    out = found[-1].moisture
    if out <= BONE_DRY:
        return tuple(found)
    speed, whole = times_board(ware, deficit_pa) / ware.time_scale, bone_dry_h(ware, deficit_pa, out)
    steps = [whole * i / (points - third) for i in range(1, points - third + 1)]
    board = [Point(out_h + h, moisture_after(ware.on_board, out, h * speed, ware.thickness), False) for h in steps]
    return (*found, *board)
