"""How long ware stands in its moulds, stays leather-hard and dries: the form's own figures, in this air, as learned.

The figures of a form are those of an ordinary week, and come back exactly in one. In other air the time in the mould
goes as :mod:`planner.craft.ware` has it, because the plaster takes its part of the water in any weather; the time on a
board goes with the air alone. What people said of a form's ware in passing gives one factor on all of its times.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from math import ceil, floor

from planner.craft.estimates import Factor
from planner.craft.moulds import ORDINARY_PA
from planner.craft.ranges import OutOfRange
from planner.craft.said import PRIOR, Said, Word, fit_scale
from planner.craft.ware import Hours, Making, Practice, Ware, times_board, times_open, ware_from_practice
from studio.defaults import KINDS
from studio.models import Form, FormTimings, Studio
from studio.record.state import Remark
from studio.translate.air import STEP, dry_minutes, slow_pct

Minutes = tuple[int, int]

SHORTEST, LONGEST = 0.6, 1.6  # times the form's own figures; beyond, the figures themselves want a look
NOTCH = 0.05  # the factor moves in such steps, so that a word alone does not upset a plan
LEAST_WIDE = 60  # minutes that a window stays wide, if it was so wide
OVERNIGHT = 16 * 60  # what could stay covered from closing to opening still can: the sheet is put on tighter
USUAL_LEATHER = (0.0, 6.0)  # of a form without leather-hard work: common practice, no source
WORDS = {
    "too_soft": Word.TOO_SOFT, "stuck": Word.STUCK, "clean": Word.CLEAN, "leather_hard": Word.LEATHER_HARD,
    "too_dry": Word.TOO_DRY, "bone_dry": Word.BONE_DRY,
}  # fmt: skip


@dataclass(frozen=True)
class Learned:
    """What ``remarks`` of people teach: ``belief`` on the factor, and ``scale``, the bounded one that is reckoned
    with; 1 where nothing was said or the form's figures are outside the range of the craft."""

    belief: Factor = PRIOR
    remarks: int = 0

    @property
    def scale(self) -> float:
        if not self.remarks:
            return 1.0
        return min(LONGEST, max(SHORTEST, round(round(self.belief.median / NOTCH) * NOTCH, 2)))


def practice_of(row: Form, t: FormTimings, *, sheets: bool = True) -> Practice:
    """The form's own figures as the craft wants them; OutOfRange if they are such as no ware has.

    ``sheets``: with the hours under a cover and wrapped, where there are any.
    """
    step = t.steps[0] if t.steps else None
    kind = KINDS.get(row.kind)
    wrapped = step["after_covered"] if step is not None and sheets else None
    covered = t.release_after_covered if sheets else None
    leather = _hours(step["after"]) if step is not None else kind.leather_h if kind is not None else USUAL_LEATHER
    return Practice(
        making=Making(kind.machine) if kind is not None else Making.JOLLEY,
        open_h=_hours(t.release_after), covered_h=_hours(covered) if covered else None, leather_h=leather,
        wrapped_h=_hours(wrapped) if wrapped else None, dry_h=t.dry_min / 60,
    )  # fmt: skip


def _hours(window: list[int]) -> Hours:
    return window[0] / 60, window[1] / 60


def craft_of(row: Form, t: FormTimings) -> Ware | None:
    """The form's constants; without a sheet where its hours under one are odd, None where all are."""
    for sheets in (True, False):
        try:
            return _craft(practice_of(row, t, sheets=sheets))
        except OutOfRange:
            continue
    return None


@lru_cache(maxsize=256)
def _craft(practice: Practice) -> Ware:
    return ware_from_practice(practice)


def pull_pa(slow: int) -> float:
    """The deficit of air in which ware needs ``slow`` percent of an ordinary week's time."""
    return ORDINARY_PA * 100 / slow


def learned_of(row: Form, t: FormTimings, remarks: Iterable[Remark]) -> Learned:
    """The factor that was learned on the form's present figures."""
    ware = craft_of(row, t)
    if ware is None:
        return Learned()
    said = tuple(s for s in (_said(ware, r) for r in remarks) if s is not None)
    return Learned(_fitted(ware, said), len(said))


@lru_cache(maxsize=256)
def _fitted(ware: Ware, said: tuple[Said, ...]) -> Factor:
    return fit_scale(ware, said)


def _said(ware: Ware, remark: Remark) -> Said | None:
    """The remark in ordinary hours; None where the craft cannot place it."""
    word, pull = WORDS[remark.word], pull_pa(remark.slow)
    try:
        if remark.word in ("too_soft", "stuck", "clean"):
            shut = remark.shut and ware.early_covered is not None
            speed = times_open(ware, pull, shut) / 60
            soft = None if remark.soft is None else remark.soft * speed
            return Said(word, remark.minutes * speed, shut, soft=soft)
        return Said(word, remark.minutes / 60 * times_board(ware, pull, remark.shut and ware.wrap is not None))
    except OutOfRange:
        return None


@dataclass(frozen=True)
class Waits:
    """Windows and times of a form in minutes, in the present air and as learned."""

    open: Minutes
    covered: Minutes | None
    steps: tuple[tuple[Minutes, Minutes | None], ...]  # open and wrapped, as the timings have them
    dry: int
    rest_of: Learned = Learned()


def waits_of(studio: Studio, row: Form, t: FormTimings, remarks: Iterable[Remark]) -> Waits:
    """The form's waits now."""
    found = learned_of(row, t, remarks)
    return waits_in(row, t, slow_pct(studio, t), found, dry_minutes(studio, t))


def waits_in(row: Form, t: FormTimings, slow: int, found: Learned, dry: int) -> Waits:
    """The form's waits in air of this slowness (percent); ``dry``: minutes to bone-dry in it, before learning."""
    ware, scale, board = craft_of(row, t), found.scale, found.scale * slow / 100
    covered = t.release_after_covered
    steps = tuple((_late(s["after"], board), _late_wrapped(s["after_covered"], board, scale)) for s in t.steps)
    return Waits(
        open=_window(t.release_after, scale * _in_mould(ware, slow, False)),
        covered=_overnight(covered, _window(covered, scale * _in_mould(ware, slow, True)), scale) if covered else None,
        steps=steps, dry=dried(dry, found), rest_of=found,
    )  # fmt: skip


def dried(minutes: int, found: Learned) -> int:
    """Minutes to bone-dry with what was learned."""
    return minutes if found.scale == 1 else ceil(minutes * found.scale / STEP) * STEP


def _in_mould(ware: Ware | None, slow: int, shut: bool) -> float:
    """How many times as long a piece stays in its mould as in an ordinary week."""
    if ware is None or slow == 100 or (shut and ware.early_covered is None):
        return 1.0
    return times_open(ware, covered=shut) / times_open(ware, pull_pa(slow), shut)


def _window(own: list[int], times: float) -> Minutes:
    lo, hi = own
    return (lo, hi) if times == 1 else _wide(own, ceil(lo * times / STEP) * STEP, floor(hi * times / STEP) * STEP)


def _late(own: list[int], times: float) -> Minutes:
    """Leather-hard work begins as soon as ever; only its end moves."""
    lo, hi = own
    return (lo, hi) if times == 1 else _wide(own, lo, floor(hi * times / STEP) * STEP)


def _late_wrapped(own: list[int] | None, times: float, scale: float) -> Minutes | None:
    return _overnight(own, _late(own, times), scale) if own else None


def _wide(own: list[int], lo: int, hi: int) -> Minutes:
    return lo, max(hi, lo + min(own[1] - own[0], LEAST_WIDE))


def _overnight(own: list[int], now: Minutes, scale: float) -> Minutes:
    return now[0], max(now[1], min(int(own[1] * scale), OVERNIGHT))
