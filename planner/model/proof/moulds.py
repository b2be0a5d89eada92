"""Moulds and casts: when each is ready, how often it can be pressed, and the rows that hold pressing to it.

No valid plan is cut off: every mould goes one of the paths of :mod:`.turns` (R02, R03), so no more leave a node than
come to it. Moulds that last, whose uses cannot run out, are pressed in a bucket as often at most as the quickest ways
allow; what is pressed there beyond that wears the others, each of which is pressed at most ``uses`` times in all.
"""

from __future__ import annotations

from collections import defaultdict

from planner.model.proof.frame import Frame
from planner.model.proof.green import Green, Way, least_cycle, windows
from planner.model.proof.mip import Term, Var
from planner.model.proof.time import Node
from planner.model.proof.turns import Turn, Turns
from planner.scenario import Cast, Drying, Form, InMould, Released

Source = tuple[int, int, Var]  # first minute ready, uses, whether it is there


class Moulds:
    """What there is to press into."""

    def __init__(self, frame: Frame) -> None:
        self._f, self._s, self._hands, self._mip = frame, frame.s, frame.hands, frame.mip
        self._casts = {c.id: self._cast(c) for c in self._s.casts}
        self._dry: dict[str, dict[int, int]] = {}

    def _cast(self, cast: Cast) -> Var:
        """1 if the cast gives its mould."""
        w = self._s.weights
        if cast.poured is not None:
            kept = self._mip.var(1)
            self._mip.constant += w.spoil
            self._mip.price(kept, -w.spoil)
            window = (cast.poured + cast.lift_after.lo, cast.poured + cast.lift_after.hi + cast.lift)
            self._f.spread("lift", cast.lift, window, [(1.0, kept)])
            return kept
        made = self._mip.var(1, lo=int(cast.required), cost=cast.cost)
        end = self._hands.end("pour", 0, cast.pour)
        self._f.spread("pour", cast.pour, (0, self._s.horizon), [(1.0, made)])
        after = self._s.horizon if end is None else end + cast.lift_after.lo
        self._f.spread("lift", cast.lift, (after, self._s.horizon), [(1.0, made)])
        return made

    def _cast_ready(self, cast: Cast) -> int | None:
        pour = cast.poured if cast.poured is not None else self._hands.end("pour", 0, cast.pour)
        lift = None if pour is None else self._hands.end("lift", pour + cast.lift_after.lo, cast.lift)
        return None if lift is None else lift + cast.dry

    def sources(self, form: Form) -> list[Source]:
        """Moulds as (first minute ready, uses, whether it is there)."""
        out = self._empty(form)
        for w in self._s.wip:
            if isinstance(w, InMould) and w.form == form.id:
                window = form.release_after_covered if w.covered and form.release_after_covered else form.release_after
                end = self._hands.end("release", w.pressed.b + window.lo, form.release.minutes(w.count))
                if end is not None:
                    rested = end + form.mould_rest
                    out += [(rested, n, self._f.one) for m in w.moulds if (n := self._s.mould[m].uses_left) > 0]
        return out + self._to_come(form)

    def _empty(self, form: Form) -> list[Source]:
        """Moulds that can be pressed and hold nothing."""
        own = [m for m in self._s.moulds if m.form == form.id and m.uses_left > 0]
        return [(m.ready, m.uses_left, self._f.one) for m in own if m.ready is not None]

    def _to_come(self, form: Form) -> list[Source]:
        """Moulds that casts give."""
        out = []
        for cast in self._s.casts:
            if cast.form == form.id and cast.uses > 0 and (ready := self._cast_ready(cast)) is not None:
                out.append((ready, cast.uses, self._casts[cast.id]))
        return out

    def last_start(self, form: Form, number: int) -> int | None:
        end = self._hands.last_end("press", form.press.minutes(1), number)
        return None if end is None else end - form.press.minutes(1)

    def most(self, green: Green, b: int) -> float:
        """The most pieces of a form that can be pressed in bucket ``b``."""
        return sum(self.turns(green, ready, b, b) for ready, _, _ in self.sources(green.form))

    def turn(self, green: Green) -> None:
        """The ways of a form: each mould goes from press to press, or waits, as :mod:`.turns` says."""
        turns = Turns(self._hands, green.form)
        there = [(ready, [(1.0, v)]) for ready, _, v in (*self._empty(green.form), *self._to_come(green.form))]
        into: dict[Node, list[Term]] = defaultdict(list)
        for ready, terms in (*there, *green.empty):
            if (node := turns.node(ready)) is not None:
                into[node] += terms
        self._flow(green, into, *turns.explored(into))

    def _flow(self, green: Green, into: dict[Node, list[Term]], turns: list[Turn], idle: dict[Node, Node]) -> None:
        """No more moulds leave a node than come to it."""
        most = len(self.sources(green.form))
        out: dict[Node, list[Term]] = defaultdict(list)
        for turn in turns:
            var = self._mip.var(most)
            ready = turn.out + green.form.mould_rest
            n = turn.node
            green.ways.append(Way(n.bucket, n.at, turn.release, turn.covered, turn.by, turn.out, ready, var))
            out[n].append((1.0, var))
            if turn.after is not None:
                into[turn.after].append((1.0, var))
        for node, following in idle.items():
            waits = self._mip.var(most)
            out[node].append((1.0, waits))
            into[following].append((1.0, waits))
        for node, terms in out.items():
            self._mip.row([*terms, *((-c, v) for c, v in into[node])], hi=0)

    def rows(self, green: Green) -> None:
        """What is pressed in a bucket beyond what the lasting moulds take wears the others."""
        last = len(self._f.numbers) - 1
        lasting, others = [], []
        for ready, uses, v in self.sources(green.form):
            (lasting if uses >= self.turns(green, ready, 0, last) else others).append((ready, uses, v))
        if not others:
            return
        worn: list[Term] = []
        for b in self._f.numbers:
            pressed = [(1.0, w.var) for w in green.ways if w.press == b]
            if pressed:
                wears = self._mip.var(sum(self.turns(green, ready, b, b) for ready, _, _ in others))
                there = [(-self.turns(green, ready, b, b), v) for ready, _, v in lasting]
                self._mip.row([*pressed, *there, (-1.0, wears)], hi=0)
                worn.append((1.0, wears))
        self._mip.row([*worn, *((-float(uses), v) for _, uses, v in others)], hi=0)

    def most_dry(self, green: Green, last: int) -> int:
        """The most pieces that can be bone-dry by minute ``last``."""
        if green.form.id not in self._dry:
            self._dry[green.form.id] = self._first_dry(green)
        pressed = [p for p, dry in self._dry[green.form.id].items() if dry <= last]
        under_way = sum(w.count for w in self._s.wip if w.form == green.form.id and self._dry_by(w, last))
        if not pressed:
            return under_way
        turns = [min(uses, self.turns(green, ready, 0, max(pressed))) for ready, uses, _ in self.sources(green.form)]
        return under_way + int(sum(turns))

    def _dry_by(self, w: object, last: int) -> bool:
        return w.dry_at <= last if isinstance(w, Drying) else isinstance(w, InMould | Released)

    def _first_dry(self, green: Green) -> dict[int, int]:
        """By the bucket it is pressed in, the earliest minute at which a piece can be bone-dry."""
        form = green.form
        out: dict[int, int] = {}
        for way in green.ways:
            at: int | None = way.out
            for step in form.steps:
                lo = min(w.lo for w in windows(step.after, step.after_covered))
                at = None if at is None else self._hands.end(step.kind, max(at, way.out + lo), step.work.minutes(1))
            if at is not None:
                out[way.press] = min(at + form.dry, out.get(way.press, at + form.dry))
        return out

    def turns(self, green: Green, ready: int, first: int, last: int) -> float:
        """How often a mould ready at ``ready`` can be pressed in the buckets from ``first`` to ``last``."""
        form, turns, at = green.form, 0, ready
        cycle = least_cycle(form)
        for b in range(first, last + 1):
            start = self.last_start(form, b)
            again = min((w.ready for w in green.ways if w.press == b), default=None)
            if start is None or again is None or start < at:
                continue
            times = 1 + (start - max(at, self._hands.buckets[b].a)) // cycle
            turns += times
            at = max(at, again + (times - 1) * cycle)
        return float(turns)
