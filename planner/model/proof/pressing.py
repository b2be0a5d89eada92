"""Pieces pressed and taken out, by bucket, and the ware that is under way at the beginning.

A piece pressed in bucket ``p`` and taken out in bucket ``r`` belongs to a *way* (p, r, covered). A way exists if some
minutes of these buckets keep R03; from it come the earliest minute the piece is out and the mould is ready again.
No valid plan is cut off: every piece pressed has its way, and what it asks of moulds, tools, steps and racks is asked
in :mod:`.moulds`, :mod:`.tools`, :mod:`.leather` and :mod:`.firing`.
"""

from __future__ import annotations

from collections import defaultdict

from planner.model.proof.frame import Frame, each
from planner.model.proof.green import Green
from planner.model.proof.leather import Leather
from planner.model.proof.mip import Term, Var
from planner.model.proof.moulds import Moulds
from planner.model.proof.tools import Tools
from planner.scenario import Drying, InMould, Released


class Pressing:
    """Builds the rows and keeps the ware of each form in ``green``."""

    def __init__(self, frame: Frame) -> None:
        self._f, self._s, self._hands, self._mip = frame, frame.s, frame.hands, frame.mip
        wanted = {o.form for o in self._s.orders}
        kept = {w.form for w in self._s.wip}
        self.green = {f.id: Green(f) for f in self._s.forms if f.id in wanted | kept}
        self.moulds = Moulds(frame)
        self._leather = Leather(frame, self.moulds)
        for w in self._s.wip:
            self._under_way(w)
        for green in self.green.values():
            if green.form.id in wanted:
                self._ways(green)
                self.moulds.rows(green)
        for green in self.green.values():
            self._leather.rows(green)
        Tools(frame, self.moulds, list(self.green.values()))

    # ways

    def _ways(self, green: Green) -> None:
        form = green.form
        most = len(self.moulds.sources(form))
        self.moulds.turn(green)
        for way in green.ways:
            self._f.ask_kind("press", way.press, way.var, each(form.press, most))
            self._f.ask_kind("release", way.release, way.var, each(form.release, most))
            green.out[way.release].append((1.0, way.var))
            latest = self._hands.buckets[way.release].b
            self._leather.wait(green, 0, way.out, latest, None, [(1.0, way.var)])
        self._covers(green)

    def _covers(self, green: Green) -> None:
        """At least one batch is covered in a bucket where some piece is."""
        cost = self._s.weights.cover
        by_press: dict[int, list[Term]] = defaultdict(list)
        for way in green.ways:
            if way.covered:
                by_press[way.press].append((1.0, way.var))
        for b, terms in by_press.items() if cost else ():
            some = self._mip.var(1, cost=cost)
            self._mip.row([*terms, (-self.moulds.most(green, b), some)], hi=0)

    # ware under way

    def _under_way(self, w: object) -> None:
        if isinstance(w, Drying):
            self.green[w.form].standing.append((w.count, self._f.one))
            for dry in (self.green[w.form].dry, self.green[w.form].alone):
                dry.append((w.dry_at, [(w.count, self._f.one)]))
        elif isinstance(w, InMould | Released):
            kept = self._mip.var(1)
            self._mip.constant += self._s.weights.spoil * w.count
            self._mip.price(kept, -self._s.weights.spoil * w.count)
            if isinstance(w, InMould):
                self._in_mould(w, kept)
            else:
                green = self.green[w.form]
                green.standing.append((w.count, kept))
                latest = w.released.b
                self._leather.wait(green, w.steps_done, w.released.b, latest, w.until, [(w.count, kept)])

    def _in_mould(self, w: InMould, kept: Var) -> None:
        """It is taken out in some bucket, in time if it is kept; its work is done then."""
        green, form = self.green[w.form], self.green[w.form].form
        window = form.release_after_covered if w.covered and form.release_after_covered else form.release_after
        minutes = form.release.minutes(w.count)
        latest = w.first + window.hi if w.until is None else w.until
        in_time: list[Term] = []
        for b in self._hands.buckets:
            end = self._hands.end_in("release", w.pressed.b + window.lo, minutes, b.number)
            if end is not None and end <= latest:
                part = self._mip.var(1)
                self._f.ask_kind("release", b.number, part, minutes)
                in_time.append((1.0, part))
                green.out[b.number].append((w.count, part))
                self._leather.wait(green, 0, end, min(b.b, latest), None, [(w.count, part)])
                self._emptied(w, end, [(1.0, part)])
        self._mip.row([*in_time, (-1.0, kept)], lo=0, hi=0)
        lost: list[Term] = [(1.0, self._f.one), (-1.0, kept)]
        self._f.spread("release", minutes, (w.pressed.b + window.lo, self._s.horizon), lost)
        earliest = self._hands.end("release", w.pressed.b + window.lo, minutes)
        if earliest is not None:
            self._emptied(w, earliest, lost)

    def _emptied(self, w: InMould, at: int, share: list[Term]) -> None:
        """The moulds of ``w`` are empty at ``at`` and rest, as far as ``share`` (at most 1)."""
        green = self.green[w.form]
        moulds = sum(self._s.mould[m].uses_left > 0 for m in w.moulds)
        if moulds:
            green.empty.append((at + green.form.mould_rest, [(moulds * c, v) for c, v in share]))
