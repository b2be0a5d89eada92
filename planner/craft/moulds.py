"""Plaster moulds drink and dry: what a pressing leaves in them, how long they must rest, when a new one is dry.

*Free water* is what a mould holds above its dry weight, in grams or as a share of the dry weight. An *ordinary hour* is
an hour in the air of an ordinary week (``air.ORDINARY``); an hour in air of another deficit counts in proportion.

A mould dries by a first-order law: it loses each ordinary hour the same share of the free water it has, at the *rate*
(per ordinary hour) of its form. That the rate scales with the vapour-pressure deficit is the law of the constant-rate
period; that the loss is in proportion to the water is an assumption of this package, good for moulds in use, rough for
new ones. Nothing dries while a pot stands in the mould: the safe side, and what differs goes into the rate once a
studio's own weighings fit it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, log, log1p

from planner.craft.air import ORDINARY
from planner.craft.moisture import Moisture, water_lost_g
from planner.craft.ranges import OutOfRange, within

READY_SHARE = 0.05  # free water at which a mould is dry enough to press in: common practice, no source
SHARE_TO_MOULD = 0.5  # of the water a piece loses in the mould, the rest goes to the air: common practice, no source
CONSTANT_SHARE = 0.005  # less lost in a day than this share: constant weight, common practice, no source
MOST_G = 200_000
LEAST_RATE, MOST_RATE = 1e-5, 10.0
ORDINARY_PA = ORDINARY.deficit_pa


@dataclass(frozen=True, slots=True)
class Mould:
    """What is known of the moulds of one form, or of one of them.

    ``dry_g`` at constant weight (50 to 200 000), ``uptake_g`` of water a pressing, ``rate_per_h`` of drying in ordinary
    air, ``ready_share``: the free water at which it may be pressed in, ``full_share``: as it comes off the model.
    """

    dry_g: float
    uptake_g: float
    rate_per_h: float
    ready_share: float = READY_SHARE
    full_share: float = 0.4332  # of a mix of 70 water to 100 plaster, see plaster.free_water_share

    def __post_init__(self) -> None:
        within(self.dry_g, 50, MOST_G, "the dry weight of the mould", "g")
        within(self.uptake_g, 0.1, self.dry_g, "the water a pressing leaves in the mould", "g")
        within(self.rate_per_h, LEAST_RATE, MOST_RATE, "the rate of drying", "per hour")
        within(self.full_share, 0.05, 1, "the free water of a new mould")
        within(self.ready_share, 0.001, self.full_share, "the free water of a mould ready to press in")

    @property
    def ready_g(self) -> float:
        """The most free water with which it may be pressed in."""
        return self.ready_share * self.dry_g

    @property
    def full_g(self) -> float:
        """The free water that fills it."""
        return self.full_share * self.dry_g


def water_taken_g(
    ball_g: float, spare_g: float, pressed: Moisture, out: Moisture, share_to_mould: float = SHARE_TO_MOULD
) -> float:
    """Grams of water that one pressing leaves in the mould.

    The ball less the spare cut off stays, dries from the moisture ``pressed`` to ``out``, and a share of that water (0
    to 1) goes into the plaster. Ball 10 to 50 000 g. Mass balance; the share is common practice, no source.
    """
    within(ball_g, 10, 50_000, "the weight of the ball", "g")
    within(spare_g, 0, ball_g, "the spare cut off", "g")
    within(share_to_mould, 0, 1, "the share of water that goes into the mould")
    return share_to_mould * water_lost_g(ball_g - spare_g, pressed, out)


def ordinary_hours(hours: float, deficit_pa: float) -> float:
    """Hours in air of a vapour-pressure deficit (10 to 20 000 Pa) as the hours that do as much in an ordinary week."""
    within(hours, 0, 1_000_000, "the time", "h")
    return hours * within(deficit_pa, 10, 20_000, "the vapour-pressure deficit", "Pa") / ORDINARY_PA


def free_after_g(free_g: float, rate_per_h: float, hours: float) -> float:
    """The free water left after ordinary hours of drying: u e^(−k t), the first-order law."""
    within(free_g, 0, MOST_G, "the free water", "g")
    within(rate_per_h, LEAST_RATE, MOST_RATE, "the rate of drying", "per hour")
    return free_g * exp(-rate_per_h * within(hours, 0, 1_000_000, "the time", "h"))


def hours_to_dry(from_g: float, to_g: float, rate_per_h: float, deficit_pa: float = ORDINARY_PA) -> float:
    """Hours in air of this deficit from one free water to another above nought: ln(from / to) / k; 0 if already there.

    The first-order law turned round.
    """
    within(from_g, 0, MOST_G, "the free water", "g")
    within(to_g, 1e-6, MOST_G, "the free water to come to", "g")
    within(rate_per_h, LEAST_RATE, MOST_RATE, "the rate of drying", "per hour")
    return log(from_g / to_g) / rate_per_h / ordinary_hours(1, deficit_pa) if from_g > to_g else 0.0


def sustainable_rest_h(uptake_g: float, ready_g: float, rate_per_h: float, deficit_pa: float = ORDINARY_PA) -> float:
    """The shortest rest between take-out and the next pressing that a mould bears for ever: ln(1 + w / M) / k.

    w grams of water taken a pressing, M the most free water with which it may be pressed in, k the rate of drying in
    this air. Rest r and q = e^(−k r), 0 < q < 1; let u be the free water just before a pressing. The next one finds
    u' = (u + w) q.

    *It is enough.* With r = ln(1 + w/M) / k, q = M / (M + w). If u ≤ M, then u' = (u + w) q ≤ (M + w) q = M. So a
    mould that begins dry enough is dry enough before each pressing, by induction.
    *Nothing shorter is.* u' = (u + w) q has the one fixed point u* = w q / (1 − q), and u' − u* = (u − u*) q: whatever
    it begins with, the mould comes as near to u* as one likes. u* ≤ M is the same as q ≤ M / (M + w), that is
    r ≥ ln(1 + w/M) / k. With a shorter rest u* > M, so that sooner or later the mould is pressed in too wet. ∎

    Worked out here. Held by a test that runs 200 uses.
    """
    within(uptake_g, 0.1, MOST_G, "the water a pressing leaves in the mould", "g")
    within(ready_g, 0.1, MOST_G, "the free water of a mould ready to press in", "g")
    within(rate_per_h, LEAST_RATE, MOST_RATE, "the rate of drying", "per hour")
    return log1p(uptake_g / ready_g) / rate_per_h / ordinary_hours(1, deficit_pa)


def rate_from_rest(rest_h: float, uptake_g: float, ready_g: float) -> float:
    """The rate per ordinary hour at which this rest (0.5 to 500 h, ordinary air) is just enough: the same turned round.

    A form begins with the rest that is common practice for its kind, until weighings tell its own rate.
    """
    within(rest_h, 0.5, 500, "the rest", "h")
    within(uptake_g, 0.1, MOST_G, "the water a pressing leaves in the mould", "g")
    within(ready_g, 0.1, MOST_G, "the free water of a mould ready to press in", "g")
    return log1p(uptake_g / ready_g) / rest_h


def days_to_first_use(mould: Mould, deficit_pa: float = ORDINARY_PA) -> float:
    """Days in air of this deficit from lifting a new mould to the free water at which it may be pressed in.

    First-order law from all its free water; a rough forecast, ended by ``at_constant_weight``.
    """
    return hours_to_dry(mould.full_g, mould.ready_g, mould.rate_per_h, deficit_pa) / 24


@dataclass(frozen=True, slots=True)
class Weighing:
    """An empty mould on the scale: when, in hours from any beginning, and its grams (10 to 400 000)."""

    at_h: float
    grams: float

    def __post_init__(self) -> None:
        within(self.at_h, -1e7, 1e7, "the time of the weighing", "h")
        within(self.grams, 10, 2 * MOST_G, "the weight of the mould", "g")


def at_constant_weight(weighings: Sequence[Weighing], share: float = CONSTANT_SHARE) -> bool:
    """Whether the last weighing and one at least 22 h before it differ by less than ``share`` of the weight a day.

    The share from 0.0005 to 0.05. Drying to constant weight is makers' practice for new moulds. A mould that grew
    heavier by as much is not at constant weight either.
    """
    within(share, 0.0005, 0.05, "the share of the weight that may still go in a day")
    told = sorted(weighings, key=lambda w: w.at_h)
    before = [w for w in told if told[-1].at_h - w.at_h >= 22]
    if not before:
        return False
    days = max(1.0, (told[-1].at_h - before[-1].at_h) / 24)
    return abs(before[-1].grams - told[-1].grams) < share * before[-1].grams * days


def left_at_constant_weight(rate_per_h: float, share: float = CONSTANT_SHARE, deficit_pa: float = ORDINARY_PA) -> float:
    """The most free water, as a share of the dry weight, that a mould at constant weight can still hold.

    Of the weight 1 + u, u (1 − e^(−24 k)) goes in a day; less than ``share`` of it goes as long as u stays below
    share / (1 − e^(−24 k) − share). In damp air, and for thick moulds, the test proves little: then this is large.
    Worked out here from the first-order law.
    """
    within(share, 0.0005, 0.05, "the share of the weight that may still go in a day")
    gone = 1 - free_after_g(1, rate_per_h, ordinary_hours(24, deficit_pa))
    if gone <= share:
        raise OutOfRange("a mould that slow loses too little in a day to be judged by its weight: weigh a week apart")
    return share / (gone - share)
