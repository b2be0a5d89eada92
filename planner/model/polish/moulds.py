"""Moulds in a sub-model: equal ones of a form as a stock, ids given afterwards (R02, R03, R11).

A mould is *plenty* if it has as many uses left as the form could have batches: one stands for another. The *scarce*
ones are a stock of their own with all their uses counted.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from planner.model.polish.batches import BatchVar
from planner.model.polish.casting import CastVar
from planner.model.polish.context import Number, Pool, Sub


class Stock:
    """The moulds of one form: which are scarce, and how many of them each batch fills (``worn``)."""

    def __init__(self, sub: Sub, form: str, batches: Iterable[BatchVar], casts: dict[str, CastVar]) -> None:
        self.sub, self.form = sub, form
        self.batches = [b for b in batches if b.form.id == form]
        self.casts = [c for c in casts.values() if sub.s.cast[c.id].form == form]
        self.made = [b for b in self.batches if b.press is not None]
        uses = {m.id: m.uses_left for m in sub.s.moulds if m.form == form}
        uses |= {c.id: sub.s.cast[c.id].uses for c in self.casts}
        self.uses = {m: n for m, n in uses.items() if n > 0}
        self.scarce = {m for m, n in self.uses.items() if n < len(self.made)}
        self.worn: dict[str, Number] = {b.id: self._worn(b) for b in self.made}

    def _worn(self, b: BatchVar) -> Number:
        now = sum(m in self.scarce for m in b.moulds)
        if not b.free or not self.scarce:
            return now
        var = self.sub.whole(0, len(self.scarce), f"{b.id}.worn", now)
        self.sub.m.add(var <= b.count)
        return var

    def constrain(self) -> None:
        """No more moulds filled or at rest than there are, and no more presses than the scarce ones have left."""
        plenty, scarce = self._pool(False), self._pool(True)
        for pool, worn in ((plenty, False), (scarce, True)):
            self._not_ready(pool, worn)
            for b in self.batches:
                self._hold(pool, b, worn)
            pool.close()
        if self.scarce:
            self.sub.m.add(sum(self.worn.values()) <= sum(self.uses[m] for m in self.scarce))

    def _pool(self, worn: bool) -> Pool:
        return Pool(self.sub, sum((m in self.scarce) == worn for m in self.uses), f"moulds:{self.form}")

    def _not_ready(self, pool: Pool, worn: bool) -> None:
        """Moulds at rest at minute 0, and poured ones until they are dry."""
        sub = self.sub
        held = {m for b in self.batches if b.press is None for m in b.moulds}
        for m in sub.s.moulds:
            if m.id in self.uses and (m.id in self.scarce) == worn:
                if m.ready is not None:
                    pool.take(0, m.ready, 1, 1, sub.yes)
                elif m.id not in held:
                    pool.take(0, sub.end, 1, 1, sub.yes)
        for c in self.casts:
            if c.id in self.uses and (c.id in self.scarce) == worn:
                pool.take(0, c.lift.end + sub.s.cast[c.id].dry, 1, 1, c.here)
                if c.here is not sub.yes:
                    pool.take(0, sub.end, 1, 1, ~c.here)

    def _hold(self, pool: Pool, b: BatchVar, worn: bool) -> None:
        if b.release is None:
            return
        again = b.release.end + b.form.mould_rest
        if b.press is None:
            n = sum(m in self.uses and (m in self.scarce) == worn for m in b.moulds)
            pool.take(0, again, n, n, self.sub.yes)
            return
        amount = self.worn[b.id] if worn else self._plenty(b)
        pool.take(b.press.start, again, amount, min(b.most, pool.size), b.kept)

    def _plenty(self, b: BatchVar) -> Number:
        worn = self.worn[b.id]
        if isinstance(worn, int) and worn == 0:
            return b.count
        return self.sub.sized(b.count - worn, b.most)


def add_moulds(sub: Sub, batches: Iterable[BatchVar], casts: dict[str, CastVar]) -> dict[str, Stock]:
    """The stocks of the forms of which something is free."""
    batches = list(batches)
    forms = {b.form.id for b in batches if b.free} | {sub.s.cast[c].form for c, v in casts.items() if v.free}
    stocks = {form: Stock(sub, form, batches, casts) for form in sorted(forms)}
    for stock in stocks.values():
        stock.constrain()
    return stocks


@dataclass
class _Mould:
    id: str
    ready: int
    uses: int


@dataclass(frozen=True, order=True)
class Wanted:
    """A pressed batch: from ``start`` until ``again`` it fills ``plenty`` and ``worn`` moulds; ``before``: its own."""

    start: int
    again: int
    batch: str
    plenty: int
    worn: int
    before: tuple[str, ...]


def given_out(stock: Stock, ready: dict[str, int], wanted: Iterable[Wanted]) -> dict[str, tuple[str, ...]] | None:
    """Moulds for each of ``wanted``; ``ready``: when moulds now filled, and poured ones, can be pressed in.

    A batch keeps the moulds it had where it can; else those with most uses left go first, so that scarce ones last.
    None if that does not work out.
    """
    begin = {m.id: m.ready or 0 for m in stock.sub.s.moulds} | ready
    moulds = [_Mould(m, begin.get(m, stock.sub.end), n) for m, n in stock.uses.items()]
    out: dict[str, tuple[str, ...]] = {}
    for w in sorted(wanted):
        taken = []
        for count, worn in ((w.plenty, False), (w.worn, True)):
            free = [m for m in moulds if m.ready <= w.start and m.uses > 0 and (m.id in stock.scarce) == worn]
            free.sort(key=lambda m, own=w.before: (m.id not in own, -m.uses, m.ready))  # type: ignore[misc]
            if len(free) < count:
                return None
            taken += free[:count]
        for m in taken:
            m.ready, m.uses = w.again, m.uses - 1
        out[w.batch] = tuple(sorted(m.id for m in taken))
    return out
