"""Leather-hard steps: each is done in a bucket that the earliest and latest minutes allow.

Pieces are counted over all of a form up to each bucket, the steps follow each other (R04), and the covers between them
are left out, so no valid plan is cut off.
"""

from __future__ import annotations

from planner.model.proof.frame import Frame, each
from planner.model.proof.green import Green, windows
from planner.model.proof.mip import Term
from planner.model.proof.moulds import Moulds
from planner.scenario import Form

Done = dict[int, list[Term]]  # pieces by the bucket in which a step is done


class Leather:
    """What waits for the steps of each form, and the rows of the steps."""

    def __init__(self, frame: Frame, moulds: Moulds) -> None:
        self._f, self._s, self._hands, self._mip, self._moulds = frame, frame.s, frame.hands, frame.mip, moulds

    def wait(self, green: Green, done: int, out: int, latest: int, until: int | None, pieces: list[Term]) -> None:
        """Pieces out of the mould between ``out`` and ``latest``, with ``done`` steps done."""
        form = green.form
        if (dry := self.dry(form, done, out)) is not None:
            green.alone.append((dry, pieces))
        if done >= len(form.steps):
            green.dry.append((out + form.dry, pieces))
            return
        for i in range(done, len(form.steps)):
            step = form.steps[i]
            waits = windows(step.after, step.after_covered)
            last = latest + max(x.hi for x in waits) if until is None else until
            green.waiting[i].append((out + min(x.lo for x in waits), last, pieces))

    def dry(self, form: Form, done: int, out: int) -> int | None:
        """Earliest minute bone-dry of a piece out of the mould at ``out`` with ``done`` steps done; None: never."""
        at: int | None = out
        for step in form.steps[done:]:
            lo = min(w.lo for w in windows(step.after, step.after_covered))
            at = None if at is None else self._hands.end(step.kind, max(at, out + lo), step.work.minutes(1))
        return None if at is None else at + form.dry

    def rows(self, green: Green) -> None:
        """All steps of a form, once everything that waits for them is known."""
        before: Done = {}
        for i in range(len(green.form.steps)):
            before = self._step(green, i, before) if green.waiting[i] else {}

    def _step(self, green: Green, i: int, before: Done) -> Done:
        """Every piece that waits for step ``i`` goes through it in some bucket."""
        form, step = green.form, green.form.steps[i]
        most = max((len(self._moulds.sources(form)), *(w.count for w in self._s.wip if w.form == form.id)))
        done: Done = {}
        up_to: list[Term] = []
        for b in self._f.numbers:
            end = self._hands.end_in(step.kind, 0, step.work.minutes(1), b)
            if end is not None:
                var = self._mip.var(1_000_000)
                self._f.ask_kind(step.kind, b, var, each(step.work, most))
                done[b] = [(1.0, var)]
                up_to.append((1.0, var))
                if i == len(form.steps) - 1:
                    green.dry.append((end + form.dry, [(1.0, var)]))
            self._between(green, i, b, list(up_to), before)
        self._mip.row([*up_to, *((-c, v) for _, _, terms in green.waiting[i] for c, v in terms)], lo=0, hi=0)
        return done

    def _between(self, green: Green, i: int, b: int, up_to: list[Term], before: Done) -> None:
        """Done up to bucket ``b``: no more than can be, no less than must be."""
        kind, minutes = green.form.steps[i].kind, green.form.steps[i].work.minutes(1)
        can: list[Term] = []
        must: list[Term] = []
        next_start = self._hands.buckets[b + 1].a if b + 1 < len(self._hands.buckets) else self._s.horizon
        for earliest, latest, terms in green.waiting[i]:
            end = self._hands.end(kind, earliest, minutes)
            if end is not None and end <= self._hands.buckets[b].b:
                can += [(-c, v) for c, v in terms]
            if latest < next_start + minutes:
                must += [(-c, v) for c, v in terms]
        self._mip.row([*up_to, *can], hi=0)
        if must:
            self._mip.row([*up_to, *must], lo=0)
        if before:
            earlier = [(-c, v) for n, terms in before.items() if n <= b for c, v in terms]
            fresh = [(-c, v) for e, l, terms in self._fresh(green, i) for c, v in terms]
            self._mip.row([*up_to, *earlier, *fresh], hi=0)

    def _fresh(self, green: Green, i: int) -> list[tuple[int, int, list[Term]]]:
        """Pieces that come to step ``i`` with the one before done already."""
        known = [id(x[2]) for x in green.waiting[i - 1]]
        return [x for x in green.waiting[i] if id(x[2]) not in known]
