"""What the parts of one relaxation share: the program, the buckets, and the labour they ask for.

Labour: in each bucket, and for each set of people who alone can do certain kinds, the minutes of those kinds are at
most what these people are there for; minutes beyond their hours cost ``extra``. Every valid plan keeps that (R01), a
task's minutes being at least ``n × each_s / 60`` for its pieces, and at least ``fixed × n / most`` if no task has more
than ``most`` pieces. Chains in time inside a bucket and whole minutes are left out, which can only make it cheaper.
"""

from __future__ import annotations

from collections import defaultdict

from planner.model.proof.mip import Mip, Term, Var
from planner.model.proof.time import Hands
from planner.scenario import Scenario, Work


class Frame:
    """``fine``: whole shelves of kilns, and whose turn it is for ware left over, are counted as well."""

    def __init__(self, scenario: Scenario, hands: Hands, mip: Mip, *, fine: bool) -> None:
        self.s, self.hands, self.mip, self.fine = scenario, hands, mip, fine
        self.one: Var = mip.var(1, lo=1)
        self._asked: dict[tuple[int, frozenset[str]], list[Term]] = defaultdict(list)
        self._parts: dict[tuple[int, frozenset[str], str], list[Term]] = defaultdict(list)  # parts of minutes, by kind

    @property
    def numbers(self) -> range:
        """The buckets by number."""
        return range(len(self.hands.buckets))

    def ask(self, able: frozenset[str], bucket: int, var: Var, minutes: float) -> None:
        """Each unit of ``var`` takes ``minutes`` of somebody in ``able`` in ``bucket``."""
        if minutes:
            self._asked[bucket, able].append((minutes, var))

    def ask_kind(self, kind: str, bucket: int, var: Var, minutes: float) -> None:
        """The same, of somebody who can do ``kind``: where minutes cost, whole ones are reckoned kind by kind."""
        able = self.hands.able(kind)
        if float(minutes).is_integer() or not self._dear(bucket):
            self.ask(able, bucket, var, minutes)
        else:
            self._parts[bucket, able, kind].append((minutes, var))

    def _dear(self, bucket: int) -> bool:
        """Whether minutes beyond people's hours can be worked in ``bucket``, at a price."""
        return any(self.hands.minutes(p, bucket, extra=True) for p in self.s.people) and self.s.weights.extra > 0

    def spread(
        self, kind: str, minutes: int, window: tuple[int, int], share: list[Term], able: frozenset[str] | None = None
    ) -> bool:
        """One task of ``minutes`` that starts and ends inside ``window``, present as far as ``share`` (at most 1).

        Its minutes may be spread over the buckets where it could lie. False if there is no such bucket.
        """
        terms = list(share)
        for b in self.hands.buckets:
            end = self.hands.end_in(kind, window[0], minutes, b.number)
            if end is not None and end <= window[1]:
                part = self.mip.var(1)
                terms.append((-1.0, part))
                self.ask(self.hands.able(kind) if able is None else able, b.number, part, minutes)
        self.mip.row(terms, lo=0, hi=0)
        return len(terms) > len(share)

    def close(self) -> None:
        """Add the rows of labour."""
        for (bucket, able, _), terms in self._parts.items():
            whole = self.mip.var(self.s.horizon * len(able))
            self.mip.row([*terms, (-1.0, whole)], hi=0)
            self.ask(able, bucket, whole, 1.0)
        sets = sorted({able for _, able in self._asked}, key=sorted)
        everyone = frozenset(p.id for p in self.s.people)
        for number in self.numbers:
            extra = {}
            for p in self.s.people:
                most = self.hands.minutes(p, number, extra=True)
                if most:
                    extra[p.id] = self.mip.var(most, cost=self.s.weights.extra)
            for able in dict.fromkeys([*sets, everyone]):
                self._within(number, able, extra)

    def _within(self, number: int, able: frozenset[str], extra: dict[str, Var]) -> None:
        asked = [t for (n, who), terms in self._asked.items() if n == number and who <= able for t in terms]
        there = sum(self.hands.minutes(p, number, extra=False) for p in self.s.people if p.id in able)
        if asked:
            self.mip.row([*asked, *((-1.0, v) for p, v in extra.items() if p in able)], hi=there)


def each(work: Work, most: int | None = None) -> float:
    """Minutes of ``work`` for one piece, at least, where no task has more than ``most`` pieces."""
    return work.each_s / 60 + (work.fixed / most if most else 0.0)
