"""How much of a form is lost, learned from the record, and how many pieces an order takes so that enough come through.

What a form states weighs as much as ``USUAL_WEIGHT`` pieces. What other forms lost speaks for it in proportion to what
is stated of them and of it, until it has a history of its own (``planner.craft.loss``).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

from planner.craft.loss import Belief, Counted, allowance, learned, stated, survival
from planner.craft.ranges import OutOfRange
from planner.robust import Occasion, counted_losses
from studio.models import FormTimings, Studio
from studio.record.followed import BISQUE, GLOST, MAKING
from studio.translate import quantity
from studio.translate.quantity import Need, Standing, pieces_to_make
from studio.translate.shown import losses_shown

STAGES = (MAKING, BISQUE, GLOST)  # the way of a piece; ``ahead`` of one is how many of the last of them it must pass
SURE = {"average": None, "4of5": 0.8, "9of10": 0.9, "19of20": 0.95}  # Studio.enough: the chance that it is enough
EXACT = 400  # firsts; of more, each piece is worth what it is worth among so many: a little less than it is
FLOOR, CEILING = 0.001, 0.9  # a stated share lost, as a belief


@dataclass(frozen=True)
class Way:
    """What is believed of one form's losses at each of ``STAGES``, and how sure of enough its studio wants to be.

    ``stated``: percentages of the form. ``came``: pieces of its own that came to each stage; with none of any form,
    the stated shares hold exactly. ``sure`` None: enough on average.
    """

    beliefs: tuple[Belief, ...]
    stated: tuple[int, ...]
    came: tuple[int, ...]
    known: bool  # whether anything was recorded of any form
    sure: float | None

    @property
    def shares(self) -> tuple[float, ...]:
        """The share lost at each stage on average."""
        return tuple(b.mean for b in self.beliefs) if self.known else tuple(min(p, 99) / 100 for p in self.stated)

    def worth(self, ahead: int) -> Fraction:
        """The share of pieces with so many stages ahead that become firsts, on average."""
        if not self.known:
            return quantity.survival(self.stated[len(STAGES) - ahead :])
        return Fraction(survival(self._ahead(ahead))).limit_denominator(10**9)

    def need(self, missing: int, standing: Sequence[tuple[int, int]]) -> Need:
        """What to take for ``missing`` firsts of (pieces, stages ahead), most advanced first, and what to press."""
        if self.sure is None or missing <= 0:
            return self._average(missing, standing)
        try:
            if missing <= EXACT:
                return self._surely(missing, standing)
            worths = [Fraction(EXACT, self.fresh(EXACT, n)) if n else Fraction(1) for n in range(len(STAGES) + 1)]
        except OutOfRange:  # so much is lost that no number is sure
            return self._average(missing, standing)
        return pieces_to_make(missing, [Standing(n, worths[a]) for n, a in standing], worths[-1])

    def fresh(self, missing: int, ahead: int = len(STAGES)) -> int:
        """The pieces that ``missing`` firsts take where all of them have ``ahead`` stages (1 to 3) ahead."""
        if self.sure is None:
            return pieces_to_make(missing, [], self.worth(ahead)).fresh
        return sum(_fewest(missing, (0,) * (ahead + 1), self._ahead(ahead), self.sure))

    def _average(self, missing: int, standing: Sequence[tuple[int, int]]) -> Need:
        return pieces_to_make(missing, [Standing(n, self.worth(a)) for n, a in standing], self.worth(len(STAGES)))

    def _surely(self, missing: int, standing: Sequence[tuple[int, int]]) -> Need:
        """By the exact chance; places with the same stages ahead are alike, and the more advanced is taken first."""
        most = 2 * missing + 20  # of one stage: with less than half lost it is enough
        there = tuple(min(most, sum(n for n, a in standing if a == len(STAGES) - i)) for i in range(len(STAGES) + 1))
        *left, fresh = _fewest(missing, there, self.beliefs, self.sure or 0.5)
        taken = []
        for pieces, ahead in standing:
            use = min(pieces, left[len(STAGES) - ahead])
            left[len(STAGES) - ahead] -= use
            taken.append(use)
        return Need(sum(taken) + fresh, tuple(taken), fresh)

    def _ahead(self, ahead: int) -> tuple[Belief, ...]:
        return self.beliefs[len(STAGES) - ahead :]


@lru_cache(maxsize=4096)
def _fewest(need: int, standing: tuple[int, ...], beliefs: tuple[Belief, ...], sure: float) -> tuple[int, ...]:
    """What is taken of each stage and of the firsts, and last what is pressed."""
    found = allowance(need, standing, beliefs, sure)
    return (*found.taken, found.fresh)


def ways_of(studio: Studio, timings: Mapping[str, Sequence[FormTimings]]) -> dict[str, Way]:
    """By form with timings, its way to firsts as the record shows it now."""
    latest = {form: rows[-1] for form, rows in timings.items() if rows}
    percents = {f: (t.loss_making_pct, t.loss_bisque_pct, t.loss_glost_pct) for f, t in latest.items()}
    shown = losses_shown(studio).losses
    counts = [{f: Counted(*counted_losses(Occasion(*x) for x in shown.get((f, stage), ()))) for f in latest}
              for stage in STAGES]  # fmt: skip
    known = any(c.came for by_form in counts for c in by_form.values())
    sure = SURE.get(studio.enough)
    return {
        form: Way(
            tuple(_belief(form, by_form, i, percents) for i, by_form in enumerate(counts)),
            percents[form], tuple(by_form[form].came for by_form in counts), known, sure,
        )
        for form in latest
    }  # fmt: skip


def _belief(form: str, counts: Mapping[str, Counted], stage: int, percents: Mapping[str, tuple[int, ...]]) -> Belief:
    """What the form states, drawn towards what the others lost for what they state, then its own counts."""
    shares = {f: min(max(p[stage] / 100, FLOOR), CEILING) for f, p in percents.items()}
    if not any(c.came for c in counts.values()):
        return stated(shares[form])
    alike = tuple((f == form, c.came, min(c.came, round(c.lost * shares[form] / shares[f]))) for f, c in counts.items())
    return _learned(shares[form], alike)


@lru_cache(maxsize=512)
def _learned(share: float, counts: tuple[tuple[bool, int, int], ...]) -> Belief:
    """The belief of the one form that is marked in ``counts``."""
    own = next(str(i) for i, (mine, _came, _lost) in enumerate(counts) if mine)
    return learned({str(i): Counted(came, lost) for i, (_mine, came, lost) in enumerate(counts)}, stated(share))[own]
