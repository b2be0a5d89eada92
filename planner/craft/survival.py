"""How many uses a mould has: learned from the studio's own moulds by Kaplan-Meier, begun from a stated life."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import exp, log, sqrt
from statistics import NormalDist

from planner.craft.ranges import OutOfRange, within

MOST_USES = 2000


@dataclass(frozen=True, slots=True)
class Life:
    """A mould's uses so far, and whether they ended its life (cracked, worn) or it is still good (or was sold).

    ``entered``: the uses behind it when it was first watched; like ones that had ended by then were never seen.
    """

    uses: int
    ended: bool
    entered: int = 0

    def __post_init__(self) -> None:
        within(self.uses, 0, MOST_USES, "the uses of a mould", "uses")
        within(self.entered, 0, self.uses, "the uses of a mould before it was watched", "uses")

    def at_risk(self, uses: int) -> bool:
        """Whether it was watched as it came to so many uses."""
        return (self.entered < uses or uses == 0 == self.entered) and uses <= self.uses


@dataclass(frozen=True, slots=True)
class Step:
    """At ``uses`` of those ``at_risk`` so many ``ended``; from then on the share ``lasting`` and its standard error."""

    uses: int
    at_risk: int
    ended: int
    lasting: float
    error: float


def kaplan_meier(lives: Sequence[Life]) -> list[Step]:
    """The share of moulds that last beyond each number of uses at which one ended, with Greenwood's standard error.

    Kaplan and Meier 1958: the product of 1 − ended / at risk; Greenwood 1926: S √Σ ended / (at risk (at risk −
    ended)). A mould still good counts as at risk up to its uses, and one that had uses before it was watched only from
    then on (left truncation). Moulds are taken to end independently.
    """
    ended = Counter(x.uses for x in lives if x.ended and x.at_risk(x.uses))
    steps, lasting, spread = list[Step](), 1.0, 0.0
    for uses in sorted(ended):
        at_risk = sum(x.at_risk(uses) for x in lives)
        d = ended[uses]
        lasting *= 1 - d / at_risk
        if at_risk > d:
            spread += d / (at_risk * (at_risk - d))
        steps.append(Step(uses, at_risk, d, lasting, lasting * sqrt(spread)))
    return steps


def bounds(step: Step, level: float = 0.95) -> tuple[float, float]:
    """An interval for the share lasting, on the log(−log) scale that keeps it within 0 and 1; level 0.5 to 0.999.

    Kalbfleisch and Prentice (from memory). A share of 0 or 1 says nothing of its error: then from 0 to 1.
    """
    within(level, 0.5, 0.999, "the chance of an interval")
    if not 0 < step.lasting < 1:
        return 0.0, 1.0
    z = NormalDist().inv_cdf((1 + level) / 2)
    wide = exp(z * step.error / (step.lasting * abs(log(step.lasting))))
    return step.lasting**wide, step.lasting ** (1 / wide)


@dataclass(frozen=True, slots=True)
class Stated:
    """A life before any mould has ended: a Weibull curve that counts as much as so many ``moulds``.

    ``usual``: half the moulds last longer (5 to 1000 uses); ``shape`` 1 to 6: 1 cracks by bad luck at any use, higher
    ones wear out. The defaults are common practice, no source: 90 uses, worn rather than unlucky, as good as 4 moulds.
    """

    usual: float = 90.0
    shape: float = 2.5
    moulds: float = 4.0

    def __post_init__(self) -> None:
        within(self.usual, 5, 1000, "the usual life of a mould", "uses")
        within(self.shape, 1, 6, "the shape of the stated life")
        within(self.moulds, 0.5, 50, "the moulds that a stated life counts for", "moulds")

    def lasting(self, uses: float) -> float:
        """The share that lasts beyond so many uses."""
        return exp(-log(2) * (uses / self.usual) ** self.shape)

    @property
    def end(self) -> int:
        """Uses after which less than one in a million would last."""
        return int(self.usual * (log(1e6) / log(2)) ** (1 / self.shape)) + 1


@dataclass(frozen=True, slots=True)
class Curve:
    """The share of moulds that lasts beyond 0, 1, 2, … uses; what lies beyond the end lasts as much as nothing."""

    lasting: tuple[float, ...]

    def beyond(self, uses: int) -> float:
        within(uses, 0, 10 * MOST_USES, "the uses", "uses")
        return self.lasting[uses] if uses < len(self.lasting) else 0.0


def learned(lives: Sequence[Life], stated: Stated | None = None) -> Curve:
    """The curve of a studio's moulds: the stated life and its own record together.

    The posterior mean under a beta-Stacy process (Walker and Muliere, Annals of Statistics 1997) about the stated
    curve G that counts as c moulds: the product over uses u of 1 − (c (G(u−1) − G(u)) + ended) / (c G(u−1) + at risk).
    With c near 0 this is Kaplan and Meier's curve; with no record it is the stated one. After the last own mould the
    stated wear goes on.
    """
    stated = stated or Stated()
    ended = Counter(x.uses for x in lives if x.ended and x.at_risk(x.uses))
    until = max([stated.end, *(x.uses + 1 for x in lives)])
    here, entered = Counter(x.uses for x in lives), Counter(x.entered for x in lives)
    at_risk = entered[0]
    lasting = [1.0 - ended[0] / (stated.moulds + at_risk)]
    at_risk -= here[0]
    for u in range(1, until + 1):
        at_risk += entered[u - 1] if u > 1 else 0
        before, after = stated.lasting(u - 1), stated.lasting(u)
        weight = stated.moulds * before + at_risk
        share = (stated.moulds * (before - after) + ended[u]) / weight if weight else 1.0
        lasting.append(lasting[-1] * (1 - share))
        at_risk -= here[u]
    return Curve(tuple(lasting))


def uses_left(curve: Curve, used: int) -> float:
    """How many more uses a mould is good for on average, after so many (0 and up): Σ lasting / lasting so far."""
    so_far = curve.beyond(used)
    if so_far <= 0:
        return 0.0
    return sum(curve.lasting[used + 1 :]) / so_far


def lasts(curve: Curve, used: int, more: int) -> float:
    """The chance that a mould still good after ``used`` uses is good for so many ``more``."""
    within(more, 0, MOST_USES, "the uses planned", "uses")
    so_far = curve.beyond(used)
    return curve.beyond(used + more) / so_far if so_far > 0 else 0.0


@dataclass(frozen=True, slots=True)
class Outlook:
    """A mould's chance to last the uses planned, and the uses it has left on average."""

    mould: str
    used: int
    lasts: float
    left: float


def outlook(used: Mapping[str, int], more: int, curve: Curve) -> list[Outlook]:
    """Each mould's outlook for so many uses more, the weakest first: those to replace come first."""
    found = [Outlook(m, n, lasts(curve, n, more), uses_left(curve, n)) for m, n in used.items()]
    return sorted(found, key=lambda o: (o.lasts, -o.used, o.mould))


def to_pour(used: Mapping[str, int], more: int, curve: Curve, keep: int, sure: float = 0.9) -> int:
    """New moulds to pour so that ``keep`` are good after so many uses ``more`` each, with the chance ``sure``.

    ``sure`` 0.5 to 0.99. The number still good is a sum of independent chances, reckoned exactly; new ones are poured
    at once and used as much.
    """
    within(sure, 0.5, 0.99, "the sureness")
    within(keep, 0, 500, "the moulds to keep", "moulds")
    chances = [lasts(curve, n, more) for n in used.values()]
    new = lasts(curve, 0, more)
    if new < 0.05:
        raise OutOfRange(f"{more} more uses is longer than a new mould lasts: ask for a shorter time")
    poured = 0
    while _at_least(keep, [*chances, *[new] * poured]) < sure:
        poured += 1
    return poured


def _at_least(least: int, chances: Sequence[float]) -> float:
    """The chance that at least so many of independent things with these chances hold."""
    good = [1.0]
    for p in chances:
        good = [same * (1 - p) + fewer * p for same, fewer in zip([*good, 0.0], [0.0, *good], strict=True)]
    return sum(good[least:])
