"""What people say of ware in passing, and what it teaches: one scale of time for a form.

Somebody who says "still too soft" after 5 hours tells that the piece is firm later than that, and nothing else. Each
such word bounds the form's scale of time from below, from above or from both sides (interval-censored observations).
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from enum import StrEnum
from math import erf, inf, log, sqrt

from planner.craft.estimates import Factor, most_likely
from planner.craft.ranges import within
from planner.craft.ware import BONE_DRY, Making, Ware, board_hours_to, open_hours_to

PRIOR = Factor(1.0, 0.35)  # a form against its kind's usual hours: two in three within 1.4 times either way
PIECE_SPREAD = 0.15  # spread of the logarithm of the time among pieces and places
SLIP = 0.03  # of words that mean nothing: said of another board, tapped wrong
# All three: common practice, no source.


class Word(StrEnum):
    """What is said: in the mould or at taking out the first three, on the board the others."""

    TOO_SOFT = "still too soft"
    STUCK = "stuck"
    CLEAN = "came out clean"
    LEATHER_HARD = "leather-hard now"
    TOO_DRY = "too dry"
    BONE_DRY = "bone-dry"


IN_MOULD = frozenset({Word.TOO_SOFT, Word.STUCK, Word.CLEAN})


@dataclass(frozen=True, slots=True)
class Said:
    """A word and when: after so many open hours in the mould, or board hours since taking out (0 to 5000).

    ``ware.times_open`` and ``ware.times_board`` turn hours in any air into these. ``covered``: in a covered mould.
    ``out``: moisture at taking out, where it is known. ``soft``: the same piece was too soft after so many open hours,
    for what came out clean later: together they hold its time between two bounds, which two pieces would not.
    """

    word: Word
    hours: float
    covered: bool = False
    out: float | None = None
    soft: float | None = None

    def __post_init__(self) -> None:
        within(self.hours, 0, 5000, "the time after which it was said", "h")
        if self.out is not None:
            within(self.out, 0, 4, "the moisture at taking out")
        if self.soft is not None:
            within(self.soft, 0, self.hours, "the time after which it was still too soft", "h")


def chance(ware: Ware, said: Said, scale: float, spread: float = PIECE_SPREAD) -> float:
    """The chance of this word if the form's times are ``scale`` times the usual (0.001 to 1000).

    A piece's own time is that of the form times a log-normal one of ``spread`` (0.01 to 1). Too soft, and stuck in a
    hollow mould: its earliest hour lies later. Stuck on a hump: outside its window, too soft or shrunk on. Clean: its
    earliest hour is past (and was not yet when it was too soft) and, on a hump, its latest is not. Leather-hard:
    before the end of that window; too dry: after it. Bone-dry: that hour is past.
    """
    within(scale, 0.001, 1000, "the scale of time")
    within(spread, 0.01, 1, "the spread among pieces")
    return _chance(said, _bounds(ware, said), scale, spread)


def _chance(said: Said, bounds: tuple[float, float], scale: float, spread: float) -> float:
    low, high = bounds
    inside = _past(said.hours, scale * low, spread) - _past(said.hours, scale * high, spread)
    if said.word is Word.CLEAN and said.soft is not None:
        return max(0.0, inside - _past(said.soft, scale * low, spread))
    return 1 - inside if said.word in (Word.TOO_SOFT, Word.STUCK, Word.TOO_DRY) else inside


def _past(hours: float, bound: float, spread: float) -> float:
    """The chance that a piece's own time, about ``bound``, is past after these hours."""
    if bound == 0 or hours == 0 or bound == inf:
        return 1.0 if bound == 0 else 0.0
    return (1 + erf(log(hours / bound) / spread / sqrt(2))) / 2


def _bounds(ware: Ware, said: Said) -> tuple[float, float]:
    """The hours, at a scale of 1, between which the word's good state lasts."""
    unit = replace(ware, time_scale=1.0)
    if said.word in IN_MOULD:
        early = ware.early_covered if said.covered and ware.early_covered is not None else ware.early
        splits = ware.making is Making.JIGGER and said.word is not Word.TOO_SOFT
        return open_hours_to(unit, early), open_hours_to(unit, ware.late) if splits else inf
    if said.word is Word.BONE_DRY:
        return board_hours_to(unit, BONE_DRY, said.out), inf
    return 0.0, board_hours_to(unit, ware.leather_end, said.out)


def fit_scale(ware: Ware, said: Iterable[Said], prior: Factor = PRIOR, spread: float = PIECE_SPREAD) -> Factor:
    """The scale of time that all that was said makes most likely, with its standard error; nothing said: the prior.

    Maximum a posteriori with a log-normal prior. Each word may be a slip by 3 in 100, so that one odd word does no
    harm. Words in the mould and on the board teach the same scale. What the form had learned before is not used: give
    all its words.
    """
    within(spread, 0.01, 1, "the spread among pieces")
    words = [(s, _bounds(ware, s)) for s in said]

    def likelihood(scale: float) -> float:
        return sum(log((1 - SLIP) * _chance(s, bounds, scale, spread) + SLIP / 2) for s, bounds in words)

    return most_likely(prior, likelihood) if words else prior


def learned(ware: Ware, scale: Factor) -> Ware:
    """The ware with the scale of time that was found (0.05 to 20)."""
    return replace(ware, time_scale=scale.median)
