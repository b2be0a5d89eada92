"""How much is lost on the way to firsts: learned from counts, and how many pieces to start for enough.

A *stage* is a part of the way at which pieces are lost: the making, the bisque, the glost with sorting. All the pieces
of a form pass a stage with one share, which nobody knows: counts narrow it down (the beta-binomial model). Pieces are
taken as lost one by one; a whole kiln gone wrong is no such thing and belongs among the faults, not into these counts.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from math import log, prod

from planner.craft.chances import beta_below, beta_binomial, beta_quantile, binomial, log_beta
from planner.craft.ranges import OutOfRange, within

USUAL_WEIGHT = 25.0  # pieces that a stated loss counts for, common practice, no source
WEIGHTS = tuple(4.0 * 1.25**i for i in range(24))  # of a pool, 4 to some 680 pieces
LEAST = 0.0005  # of a piece, that a belief may count
MOST = 3000  # pieces started; beyond it the exact reckoning takes too long for a page


@dataclass(frozen=True, slots=True)
class Counted:
    """Pieces that came to a stage and those of them that were lost there."""

    came: int
    lost: int

    def __post_init__(self) -> None:
        if not 0 <= self.lost <= self.came:
            raise OutOfRange(f"{self.lost} lost of {self.came}: between none and all that came can be lost")


@dataclass(frozen=True, slots=True)
class Known:
    """A share lost that is simply given, from 0 to below 1."""

    share: float

    def __post_init__(self) -> None:
        within(self.share, 0, 0.99, "the share lost")

    @property
    def mean(self) -> float:
        return self.share

    def keeps(self, pieces: int, least: int = 0) -> list[float]:
        """The chances that ``least``, … all of ``pieces`` come through (binomial)."""
        return binomial(pieces, 1 - self.share, least)


@dataclass(frozen=True, slots=True)
class Belief:
    """What is believed of a share lost: a beta distribution, as if ``lost`` and ``kept`` pieces had been counted."""

    lost: float
    kept: float

    def __post_init__(self) -> None:
        within(self.lost, LEAST, 1e6, "the pieces a belief counts as lost", "pieces")
        within(self.kept, LEAST, 1e6, "the pieces a belief counts as kept", "pieces")

    @property
    def mean(self) -> float:
        """The share lost on average."""
        return self.lost / self.weight

    @property
    def weight(self) -> float:
        """Pieces that the belief counts for."""
        return self.lost + self.kept

    def after(self, counted: Counted) -> Belief:
        """The belief with what was counted added: the beta prior's conjugate posterior (any textbook of Bayes)."""
        return Belief(self.lost + counted.lost, self.kept + counted.came - counted.lost)

    def interval(self, level: float = 0.9) -> tuple[float, float]:
        """The share lost lies in here with the chance ``level`` (0.5 to 0.999), as much of it below as above."""
        within(level, 0.5, 0.999, "the chance of an interval")
        out = (1 - level) / 2
        return beta_quantile(out, self.lost, self.kept), beta_quantile(1 - out, self.lost, self.kept)

    def below(self, share: float) -> float:
        """The chance that less than ``share`` is lost."""
        return beta_below(share, self.lost, self.kept)

    def keeps(self, pieces: int, least: int = 0) -> list[float]:
        """The chances that ``least``, … all of ``pieces`` come through (beta-binomial)."""
        return beta_binomial(pieces, self.kept, self.lost, least)


Loss = Known | Belief
JEFFREYS = Belief(0.5, 0.5)  # knows as good as nothing: Brown, Cai and DasGupta, Statistical Science 2001
USUAL = {  # per stage, common practice, no source
    "making": Belief(0.04 * USUAL_WEIGHT, 0.96 * USUAL_WEIGHT),
    "bisque": Belief(0.01 * USUAL_WEIGHT, 0.99 * USUAL_WEIGHT),
    "glost": Belief(0.04 * USUAL_WEIGHT, 0.96 * USUAL_WEIGHT),
}


def stated(share: float, weight_pieces: float = USUAL_WEIGHT) -> Belief:
    """A weak belief: ``share`` is lost (0.001 to 0.9), said with the weight of so many pieces (1 to 1000)."""
    within(share, 0.001, 0.9, "the share lost")
    within(weight_pieces, 1, 1000, "the weight of a stated loss", "pieces")
    return Belief(share * weight_pieces, (1 - share) * weight_pieces)


def pool(counts: Iterable[Counted], before: Belief) -> Belief:
    """What the forms of a studio say together about a form that has no history: its belief to start from.

    Empirical Bayes. The mean is that of all counts added to ``before``; how many pieces it counts for is the weight
    (4 to 680) that makes the counts most likely, each form having its own share, times a log-normal leaning to the
    weight of ``before`` (one factor of e either way), so that a few forms cannot make it absurd. Forms alike give a
    heavy pool, forms apart a light one, and a form leaves the pool as its own counts outweigh it.
    """
    seen = [c for c in counts if c.came]
    return _weighed(_mean(seen, before), seen, before)


def learned(counts: Mapping[str, Counted], before: Belief) -> dict[str, Belief]:
    """The belief of each form at one stage: the pool, then its own counts.

    The mean of the pool is that of the other forms, so that a form's counts count once; its weight is that of all.
    """
    seen = [c for c in counts.values() if c.came]
    return {
        form: _weighed(_mean([c for other, c in counts.items() if other != form], before), seen, before).after(counted)
        for form, counted in counts.items()
    }


def _mean(counts: Sequence[Counted], before: Belief) -> float:
    mean = (before.lost + sum(c.lost for c in counts)) / (before.weight + sum(c.came for c in counts))
    return min(max(mean, 0.001), 0.999)


def _weighed(mean: float, seen: Sequence[Counted], before: Belief) -> Belief:
    """The belief of this mean with the weight that makes what was seen likeliest."""
    if not seen:
        return before

    def likely(weight: float) -> float:
        a, b = mean * weight, (1 - mean) * weight
        fit = sum(log_beta(a + c.lost, b + c.came - c.lost) - log_beta(a, b) for c in seen)
        return fit - log(weight / before.weight) ** 2 / 2

    best = max(WEIGHTS, key=likely)
    return Belief(mean * best, (1 - mean) * best)


def own_share(belief: Belief, counted: Counted) -> float:
    """How much of a belief is the form's own history, 0 (all from the pool) to 1."""
    return min(1.0, counted.came / belief.weight)


def survival(stages: Sequence[Loss]) -> float:
    """The share of pieces that comes through several stages on average: the product of what each lets through.

    The rolled throughput yield of quality control. Stages are taken as independent.
    """
    return prod(1 - stage.mean for stage in stages)


def chance_enough(need: int, standing: Sequence[int], stages: Sequence[Loss]) -> float:
    """The chance that at least ``need`` firsts come of the pieces that stand on the way, exactly.

    ``standing[i]`` pieces still have to pass ``stages[i]`` and all after it; one entry more at the end counts the
    firsts already there. All pieces that pass a stage share its unknown loss, so they stand or fall together.

    From the last stage back: the chance of enough if m pieces come to stage i is the sum, over how many of them it
    keeps, of that chance times the chance of enough from there on. Fewer than must pass at least are never looked at.
    """
    _refuse_way(need, standing, stages)
    least = [max(0, need - sum(standing[i + 1 :])) for i in range(len(stages))]  # that must pass stage i
    most = [sum(standing[: i + 1]) for i in range(len(stages))]  # that can come to stage i
    chance = {m: float(m >= need) for m in range(sum(standing) + 1)}
    for i in reversed(range(len(stages))):
        passed, came = chance, range(most[i] + 1) if i else range(standing[0], standing[0] + 1)
        chance = {}
        for m in came:
            keeps = stages[i].keeps(m, least[i])  # empty where too few come
            chance[m] = sum(keep * passed[k + standing[i + 1]] for k, keep in enumerate(keeps, least[i]))
    return min(1.0, chance[standing[0]] if stages else chance[sum(standing)])


def _refuse_way(need: int, standing: Sequence[int], stages: Sequence[Loss]) -> None:
    within(need, 0, MOST, "the firsts needed", "pieces")
    if len(standing) != len(stages) + 1:
        raise OutOfRange("give the pieces before each stage and, last, the firsts already there")
    if min(standing) < 0:
        raise OutOfRange(f"{min(standing)} pieces stand somewhere: none is the least there can be")
    within(sum(standing), 0, MOST, "the pieces on the way", "pieces")


@dataclass(frozen=True, slots=True)
class Allowance:
    """What to take for an order: of the pieces before each stage and of the firsts, and ``fresh`` ones to start.

    ``taken`` is in the order of the stages, the firsts last. ``chance``: that it is enough.
    """

    taken: tuple[int, ...]
    fresh: int
    chance: float

    @property
    def pieces(self) -> int:
        """All pieces to finish."""
        return sum(self.taken) + self.fresh


def allowance(need: int, standing: Sequence[int], stages: Sequence[Loss], sure: float = 0.95) -> Allowance:
    """The fewest pieces of what stands on the way, most advanced first, and then fresh ones, that are enough.

    ``sure``: the chance of enough that the studio wants, 0.5 to 0.999. As pieces pass stages less can befall them,
    so asked again the allowance shrinks by itself.
    """
    _refuse_way(need, standing, stages)
    within(sure, 0.5, 0.999, "the sureness")
    taken = [0] * len(standing)
    for i in reversed(range(len(standing))):
        whole = [*taken[:i], standing[i], *taken[i + 1 :]]
        if chance_enough(need, whole, stages) < sure:
            taken = whole
            continue
        taken[i] = _fewest(need, taken, stages, sure, i, standing[i])
        return Allowance(tuple(taken), 0, chance_enough(need, taken, stages))
    fresh = _fresh(need, taken, stages, sure)
    return Allowance(tuple(taken), fresh, chance_enough(need, [taken[0] + fresh, *taken[1:]], stages))


def _fewest(need: int, taken: list[int], stages: Sequence[Loss], sure: float, at: int, most: int) -> int:
    """The fewest pieces at place ``at`` that are enough, where ``most`` are."""
    low, high = 0, most
    while low < high:
        middle = (low + high) // 2
        trial = [*taken[:at], taken[at] + middle, *taken[at + 1 :]]
        if chance_enough(need, trial, stages) >= sure:
            high = middle
        else:
            low = middle + 1
    return low


def _fresh(need: int, taken: list[int], stages: Sequence[Loss], sure: float) -> int:
    if not stages:
        raise OutOfRange("with no stage left before the firsts none can be started")
    room = MOST - sum(taken)
    most = max(1, need - sum(taken))
    while chance_enough(need, [taken[0] + most, *taken[1:]], stages) < sure:
        if most == room:
            raise OutOfRange(f"more than {MOST} pieces would have to be started for {need}: say a smaller loss")
        most = min(room, most * 2)
    return _fewest(need, taken, stages, sure, 0, most)


def starts_needed(need: int, stages: Sequence[Loss], sure: float = 0.95) -> int:
    """The fewest pieces to start so that ``need`` firsts come of them with the chance ``sure``.

    *Example.* Need 24 where one in ten is lost: 30 are started, which is enough 97 times in 100; 29 only 94 times.
    """
    return allowance(need, [0] * (len(stages) + 1), stages, sure).fresh


def combined(stages: Sequence[Belief]) -> Belief:
    """One belief for several stages in a row, for showing: a beta of the same mean and spread as their product.

    Moments matched; exact where the weight of one of two stages is what the other has kept.
    """
    mean = survival(stages)
    square = prod(s.kept * (s.kept + 1) / (s.weight * (s.weight + 1)) for s in stages)
    weight = (mean - square) / (square - mean * mean)
    return Belief((1 - mean) * weight, mean * weight)
