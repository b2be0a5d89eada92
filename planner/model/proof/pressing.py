"""Pieces pressed, taken out and worked leather-hard, by bucket.

A piece pressed in bucket ``p`` and taken out in bucket ``r`` belongs to a *way* (p, r, covered). A way exists if some
minutes of these buckets keep R03; from it come the earliest minute the piece is out and the mould is ready again.
No valid plan is cut off:

* moulds: pieces whose ways hold their moulds beyond the last minute at which bucket b can begin to press (R02, R03) are
  in different moulds there, all of them ready by then. Up to any bucket a mould is pressed at most ``uses`` times and
  at most as often as the quickest ways allow.
* set-ups: a tool used in a bucket was on a station when the bucket began, or is set up in it. What is on at a bucket's
  end was on before or was set up, and there are as many places as stations that press.
* leather-hard steps follow each other; each is done in a bucket that the earliest and latest minutes allow, counted
  over all pieces up to each bucket (R04). The covers between are left out.
* boards: pieces taken out and not loaded at a cut stand on the damp or drying rack (R05), ``boards.green`` a board. A
  rack over-full at 0 may stay so.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field

from planner.model.proof.frame import Frame, each
from planner.model.proof.mip import Term, Var
from planner.scenario import Cast, Drying, Form, InMould, Released


@dataclass(frozen=True)
class Way:
    press: int
    release: int
    covered: bool
    out: int  # earliest end of the release
    ready: int  # earliest minute the mould may be pressed again
    var: Var


@dataclass
class Green:
    """One form's ware up to bone-dry."""

    form: Form
    ways: list[Way] = field(default_factory=list)
    out: dict[int, list[Term]] = field(default_factory=lambda: defaultdict(list))  # taken out, by bucket
    standing: list[Term] = field(default_factory=list)  # on a rack at 0 already
    dry: list[tuple[int, list[Term]]] = field(default_factory=list)  # bone-dry from a minute on
    # per step: (earliest minute of its start, latest of its end, pieces)
    waiting: dict[int, list[tuple[int, int, list[Term]]]] = field(default_factory=lambda: defaultdict(list))

    @property
    def total(self) -> list[Term]:
        return [t for _, terms in self.dry for t in terms]


class Pressing:
    """Builds the rows and keeps the ware of each form in ``green``."""

    def __init__(self, frame: Frame) -> None:
        self._f, self._s, self._hands, self._mip = frame, frame.s, frame.hands, frame.mip
        wanted = {o.form for o in self._s.orders}
        kept = {w.form for w in self._s.wip}
        self.green = {f.id: Green(f) for f in self._s.forms if f.id in wanted | kept}
        self._casts = {c.id: self._cast(c) for c in self._s.casts}
        for green in self.green.values():
            if green.form.id in wanted:
                self._ways(green)
                self._moulds(green)
        for w in self._s.wip:
            self._under_way(w)
        for green in self.green.values():
            self._steps(green)
        self._tools()

    # moulds

    def _cast(self, cast: Cast) -> Var:
        """1 if the cast gives its mould."""
        w = self._s.weights
        if cast.poured is not None:
            kept = self._mip.var(1, whole=True)
            self._mip.constant += w.spoil
            self._mip.price(kept, -w.spoil)
            window = (cast.poured + cast.lift_after.lo, cast.poured + cast.lift_after.hi + cast.lift)
            self._f.spread("lift", cast.lift, window, [(1.0, kept)])
            return kept
        made = self._mip.var(1, lo=int(cast.required), whole=True, cost=cast.cost)
        end = self._hands.end("pour", 0, cast.pour)
        self._f.spread("pour", cast.pour, (0, self._s.horizon), [(1.0, made)])
        after = self._s.horizon if end is None else end + cast.lift_after.lo
        self._f.spread("lift", cast.lift, (after, self._s.horizon), [(1.0, made)])
        return made

    def _cast_ready(self, cast: Cast) -> int | None:
        pour = cast.poured if cast.poured is not None else self._hands.end("pour", 0, cast.pour)
        lift = None if pour is None else self._hands.end("lift", pour + cast.lift_after.lo, cast.lift)
        return None if lift is None else lift + cast.dry

    def _sources(self, form: Form) -> list[tuple[int, int, Var]]:
        """Moulds as (first minute ready, uses, whether it is there)."""
        out = [(m.ready, m.uses_left, self._f.one) for m in self._s.moulds if m.form == form.id and m.ready is not None]
        for w in self._s.wip:
            if isinstance(w, InMould) and w.form == form.id:
                window = form.release_after_covered if w.covered and form.release_after_covered else form.release_after
                end = self._hands.end("release", w.pressed.b + window.lo, form.release.minutes(w.count))
                if end is not None:
                    rested = end + form.mould_rest
                    out += [(rested, self._s.mould[m].uses_left, self._f.one) for m in w.moulds]
        for cast in self._s.casts:
            if cast.form == form.id and (ready := self._cast_ready(cast)) is not None:
                out.append((ready, cast.uses, self._casts[cast.id]))
        return [x for x in out if x[1] > 0]

    def _last_start(self, form: Form, number: int) -> int | None:
        end = self._hands.last_end("press", form.press.minutes(1), number)
        return None if end is None else end - form.press.minutes(1)

    def _ways(self, green: Green) -> None:
        form, hands = green.form, self._hands
        most = len(self._sources(form))
        if not most:
            return
        lo = min(w.lo for w in (form.release_after, form.release_after_covered) if w is not None)
        cycle = form.press.minutes(1) + lo + form.release.minutes(1) + form.mould_rest
        for p in self._f.numbers:
            times = 1 + (hands.buckets[p].b - hands.buckets[p].a) // cycle  # each mould at most
            first, last = hands.end_in("press", 0, form.press.minutes(1), p), self._last_start(form, p)
            if first is None or last is None:
                continue
            latest = last + form.press.minutes(1)
            for covered, window in enumerate((form.release_after, form.release_after_covered)):
                if window is None:
                    continue
                for r in range(p, len(hands.buckets)):
                    out = hands.end_in("release", first + window.lo, form.release.minutes(1), r)
                    if hands.buckets[r].a > latest + window.hi:
                        break
                    if out is not None and out <= latest + window.hi:
                        var = self._mip.var(most * times)
                        green.ways.append(Way(p, r, bool(covered), out, out + form.mould_rest, var))
        for way in green.ways:
            self._f.ask_kind("press", way.press, way.var, each(form.press, most))
            self._f.ask_kind("release", way.release, way.var, each(form.release, most))
            green.out[way.release].append((1.0, way.var))
            self._wait_for_steps(green, 0, way.out, hands.buckets[way.release].b, None, [(1.0, way.var)])
        self._covers(green)

    def _covers(self, green: Green) -> None:
        """At least one batch is covered in a bucket where some piece is."""
        cost = self._s.weights.cover
        by_press: dict[int, list[Term]] = defaultdict(list)
        for way in green.ways:
            if way.covered:
                by_press[way.press].append((1.0, way.var))
        for b, terms in by_press.items() if cost else ():
            some = self._mip.var(1, whole=self._f.fine, cost=cost)
            self._mip.row([*terms, (-self._most(green, b), some)], hi=0)

    def _most(self, green: Green, b: int) -> float:
        """The most pieces of a form that can be pressed in bucket ``b``."""
        return sum(self._turns(green, ready, b, b) for ready, _, _ in self._sources(green.form))

    def _moulds(self, green: Green) -> None:
        sources = self._sources(green.form)
        for b in self._f.numbers:
            last = self._last_start(green.form, b)
            if last is None or not any(w.press == b for w in green.ways):
                continue
            held = [(1.0, w.var) for w in green.ways if w.press <= b and (w.press == b or w.ready > last)]
            there = [(-self._turns(green, ready, b, b), v) for ready, _, v in sources if ready <= last]
            self._mip.row(held + there, hi=0)
            if any(uses < self._turns(green, ready, 0, b) for ready, uses, _ in sources):
                pressed = [(1.0, w.var) for w in green.ways if w.press <= b]
                turns = [(-float(min(uses, self._turns(green, ready, 0, b))), v) for ready, uses, v in sources]
                self._mip.row(pressed + turns, hi=0)

    def _turns(self, green: Green, ready: int, first: int, last: int) -> float:
        """How often a mould ready at ``ready`` can be pressed in the buckets from ``first`` to ``last``."""
        form, turns, at = green.form, 0, ready
        lo = min(w.lo for w in (form.release_after, form.release_after_covered) if w is not None)
        cycle = form.press.minutes(1) + lo + form.release.minutes(1) + form.mould_rest
        for b in range(first, last + 1):
            start = self._last_start(form, b)
            again = min((w.ready for w in green.ways if w.press == b), default=None)
            if start is None or again is None or start < at:
                continue
            times = 1 + (start - max(at, self._hands.buckets[b].a)) // cycle
            turns += times
            at = max(at, again + (times - 1) * cycle)
        return float(turns)

    # set-ups

    def _tools(self) -> None:
        stations = [x for x in self._s.stations if "press" in x.kinds]
        tools = {g.form.tool: g.form for g in self.green.values() if g.ways}
        on: dict[str, list[Term]] = {
            t: [(float(sum(x.mounted == t for x in stations)), self._f.one)] for t in tools
        }
        for b in self._f.numbers:
            place: list[Term] = []
            machine: list[Term] = []
            for tool, form in tools.items():
                used = self._used(tool, b)
                z = self._mip.var(len(stations), whole=self._f.fine, cost=self._s.weights.setup)
                m = self._mip.var(len(stations))
                if used is not None:
                    self._mip.row([(1.0, used), (-1.0, z), *((-c, v) for c, v in on[tool])], hi=0)
                self._mip.row([(1.0, m), (-1.0, z), *((-c, v) for c, v in on[tool])], hi=0)
                on[tool] = [(1.0, m)]
                recheck = form.recheck if self._hands.buckets[b].opens_day and form.recheck <= form.setup else 0
                for var, minutes in ((z, form.setup - recheck if used is not None else form.setup), (used, recheck)):
                    if var is not None:
                        self._f.ask_kind("press", b, var, minutes)
                        machine.append((float(minutes), var))
            place = [t for terms in on.values() for t in terms]
            self._mip.row(place, hi=len(stations))
            for green in self.green.values():
                machine += [(each(green.form.press), w.var) for w in green.ways if w.press == b]
            if machine:
                self._mip.row(machine, hi=self._hands.station_minutes("press", b))

    def _used(self, tool: str, b: int) -> Var | None:
        """1 if a form with ``tool`` is pressed in bucket ``b``."""
        greens = [g for g in self.green.values() if g.form.tool == tool and any(w.press == b for w in g.ways)]
        if not greens:
            return None
        used = self._mip.var(1, whole=True)
        for g in greens:
            self._mip.row([*((1.0, w.var) for w in g.ways if w.press == b), (-self._most(g, b), used)], hi=0)
        return used

    # ware under way

    def _under_way(self, w: object) -> None:
        if isinstance(w, Drying):
            self.green[w.form].standing.append((w.count, self._f.one))
            self.green[w.form].dry.append((w.dry_at, [(w.count, self._f.one)]))
        elif isinstance(w, InMould | Released):
            kept = self._mip.var(1, whole=True)
            self._mip.constant += self._s.weights.spoil * w.count
            self._mip.price(kept, -self._s.weights.spoil * w.count)
            if isinstance(w, InMould):
                self._in_mould(w, kept)
            else:
                green = self.green[w.form]
                green.standing.append((w.count, kept))
                latest = w.released.b
                self._wait_for_steps(green, w.steps_done, w.released.b, latest, w.until, [(w.count, kept)])

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
                self._wait_for_steps(green, 0, end, min(b.b, latest), None, [(w.count, part)])
        self._mip.row([*in_time, (-1.0, kept)], lo=0, hi=0)
        lost: list[Term] = [(1.0, self._f.one), (-1.0, kept)]
        self._f.spread("release", minutes, (w.pressed.b + window.lo, self._s.horizon), lost)

    # leather-hard work

    def _wait_for_steps(
        self, green: Green, done: int, out: int, latest: int, until: int | None, pieces: list[Term]
    ) -> None:
        """Pieces out of the mould between ``out`` and ``latest``, with ``done`` steps done."""
        form = green.form
        if done >= len(form.steps):
            green.dry.append((out + form.dry, pieces))
            return
        for i in range(done, len(form.steps)):
            step = form.steps[i]
            windows = [x for x in (step.after, step.after_covered) if x is not None]
            last = latest + max(x.hi for x in windows) if until is None else until
            green.waiting[i].append((out + min(x.lo for x in windows), last, pieces))

    def _steps(self, green: Green) -> None:
        form = green.form
        before: dict[int, list[Term]] = {}
        started: set[int] = set()
        for i, step in enumerate(form.steps):
            minutes, waiting = step.work.minutes(1), green.waiting[i]
            done: dict[int, list[Term]] = {}
            up_to: list[Term] = []
            for b in self._f.numbers if waiting else ():
                end = self._hands.end_in(step.kind, 0, minutes, b)
                if end is not None:
                    var = self._mip.var(1_000_000)
                    most = max((len(self._sources(form)), *(w.count for w in self._s.wip if w.form == form.id)))
                    self._f.ask_kind(step.kind, b, var, each(step.work, most))
                    done[b] = [(1.0, var)]
                    up_to.append((1.0, var))
                    if i == len(form.steps) - 1:
                        green.dry.append((end + form.dry, [(1.0, var)]))
                self._between(green, i, b, list(up_to), before)
            everything = [(-c, v) for _, _, terms in waiting for c, v in terms]
            if waiting:
                self._mip.row([*up_to, *everything], lo=0, hi=0)
            before = done
            started.add(i)

    def _between(self, green: Green, i: int, b: int, up_to: list[Term], before: dict[int, list[Term]]) -> None:
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
