"""Trial pressings: the next ball, whether the setting has settled, clay cut off, and how a tool wears.

The stop and the tool make the section of the wall; the ball only has to fill it and leave a little spare to cut. So the
section is mended at the stop, and the ball follows. All of it common practice, no source, but for plain arithmetic.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from statistics import fmean, linear_regression

from planner.craft.ranges import OutOfRange, within

SPARE = 0.04  # of the ball, cut off at the rim of a pressing that is neither short nor wasteful
UNFILLED = 0.05  # by which a ball grows that did not fill the mould
STEP_G = 5
SECTION_MM = 0.3  # within which a section is as wanted


@dataclass(frozen=True)
class Trial:
    """One trial pressing: the ball and its spare in g, the sections measured in mm by place, whether it filled."""

    ball_g: float
    spare_g: float
    sections_mm: Mapping[str, float] = field(default_factory=dict)
    filled: bool = True

    def __post_init__(self) -> None:
        within(self.ball_g, 10, 20_000, "the ball", "g")
        within(self.spare_g, 0, self.ball_g * 0.9, "the spare of this ball", "g")
        for place, mm in self.sections_mm.items():
            within(mm, 0.5, 50, f"the section at {place}", "mm")

    @property
    def piece_g(self) -> float:
        """What stayed in the mould."""
        return self.ball_g - self.spare_g


@dataclass(frozen=True, slots=True)
class Advice:
    """The next pressing: its ball, the piece and spare expected, and how far to move the stop (mm, thinner below 0)."""

    ball_g: int
    piece_g: float
    spare_g: float
    stop_mm: float


def next_ball(trials: Sequence[Trial], wanted_mm: Mapping[str, float] | None = None, spare: float = SPARE) -> Advice:
    """The ball for the next pressing, to the nearest 5 g, from pressings at one setting of stop and tool.

    Piece = ball − spare, averaged over the pressings that filled. Where sections are ``wanted_mm`` and measured, the
    piece changes as their mean does (a thin wall's clay goes with its thickness), and the stop moves by the mean
    difference. Ball = piece / (1 − spare), ``spare`` 0.01 to 0.3 of the ball. If none filled: the largest and 5 % more.

    *Example.* Balls of 560 g leave 38 g: pieces of 522 g, so the next ball is 522 / 0.96 = 543.75, 545 g.
    """
    within(spare, 0.01, 0.3, "the spare, as a share of the ball,")
    if not trials:
        raise OutOfRange("there is no trial pressing yet: press one and weigh its ball and spare")
    full = [t for t in trials if t.filled]
    if not full:
        ball = _rounded(max(t.ball_g for t in trials) * (1 + UNFILLED), up=True)
        return Advice(ball, ball * (1 - spare), ball * spare, 0.0)
    piece = fmean(t.piece_g for t in full)
    ratio, stop = _change(full, wanted_mm or {})
    ball = _rounded(piece * ratio / (1 - spare))
    return Advice(ball, piece * ratio, ball - piece * ratio, stop)


def first_ball(piece_g: float, spare: float = SPARE) -> int:
    """The ball for a piece of ``piece_g`` wet (10 to 19 000 g), before any was pressed: piece / (1 − spare), to 5 g up.

    ``spare`` 0.01 to 0.3 of the ball. *Example.* 522 g: 522 / 0.96 = 543.75, so 545 g.
    """
    within(spare, 0.01, 0.3, "the spare, as a share of the ball,")
    return _rounded(within(piece_g, 10, 19_000, "the piece", "g") / (1 - spare), up=True)


def _change(trials: Sequence[Trial], wanted_mm: Mapping[str, float]) -> tuple[float, float]:
    """The factor on the piece and the move of the stop that sections ask for; small differences ask for nothing."""
    means = {
        place: fmean(t.sections_mm[place] for t in trials if place in t.sections_mm)
        for place in wanted_mm
        if any(place in t.sections_mm for t in trials)
    }
    if not means:
        return 1.0, 0.0
    stop = fmean(wanted_mm[place] - mm for place, mm in means.items())
    if abs(stop) < SECTION_MM / 2:
        return 1.0, 0.0
    return sum(wanted_mm[p] for p in means) / sum(means.values()), stop


def _rounded(grams: float, up: bool = False) -> int:
    return STEP_G * (-int(-grams // STEP_G) if up else round(grams / STEP_G))


def settled(trials: Sequence[Trial], wanted_mm: Mapping[str, float] | None = None, spare: float = SPARE) -> bool:
    """Whether the last two pressings filled, asked for no other ball by more than 5 g, and measured as wanted."""
    last = trials[-2:]
    if len(last) < 2 or not all(t.filled for t in last):
        return False
    wanted = wanted_mm or {}
    right = all(abs(t.sections_mm.get(p, 0.0) - mm) <= SECTION_MM for t in last for p, mm in wanted.items())
    return right and abs(next_ball(last, wanted, spare).ball_g - last[-1].ball_g) <= STEP_G


def cut_off_per_hundred_g(trials: Sequence[Trial]) -> float:
    """Clay cut off in a hundred pressings like the last (g): it goes to the reclaim."""
    if not trials:
        raise OutOfRange("there is no trial pressing yet: press one and weigh its ball and spare")
    return 100 * trials[-1].spare_g


def clay_per_hundred_firsts_g(ball_g: float, spare_g: float, share_lost: float) -> float:
    """Clay weighed for a hundred firsts less what comes back as spare: 100 (ball − spare) / (1 − lost), lost to 0.9."""
    within(share_lost, 0, 0.9, "the share lost")
    return 100 * Trial(ball_g, spare_g).piece_g / (1 - share_lost)


@dataclass(frozen=True, slots=True)
class Wear:
    """A tool's wear: section when new (mm), mm a thousand pressings, and pressings left until too thick (or None)."""

    new_mm: float
    per_thousand_mm: float
    left: int | None


def tool_wear(measured: Sequence[tuple[float, float]], most_mm: float) -> Wear:
    """Wear of a tool from (pressings made with it, section in mm): a straight line by least squares.

    A worn edge leaves the wall thicker. At least three measurements, at least 100 pressings apart; ``most_mm``: the
    section at which the tool is filed or replaced. ``left`` is None where no wear shows.
    """
    within(most_mm, 0.5, 50, "the thickest section that is still good", "mm")
    pressings = [n for n, _ in measured]
    for n, mm in measured:
        within(n, 0, 10_000_000, "the pressings", "pressings")
        within(mm, 0.5, 50, "the section", "mm")
    if len(measured) < 3 or max(pressings) - min(pressings) < 100:
        raise OutOfRange("wear shows from three measurements on, the last at least 100 pressings after the first")
    slope, start = linear_regression(pressings, [mm for _, mm in measured])
    if slope <= 0:
        return Wear(start, 1000 * slope, None)
    return Wear(start, 1000 * slope, max(0, int((most_mm - start) / slope - max(pressings))))
