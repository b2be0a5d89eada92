"""One run of a plan in which things take as long as they take and some pieces are lost.

Who does what, at which station and in which kiln, stays as planned, and what was planned earlier goes first: a task
starts as soon as it can after the half-day it was planned in has begun, and whoever has to wait for ware, a mould or a
kiln does the next thing meanwhile. A task is begun only if it may be expected to end before the person leaves; once
begun it is brought to its end. A kiln takes its loads in the order of the plan, each when all its ware is ready.
"""

from __future__ import annotations

from bisect import bisect_right
from collections import Counter
from random import Random

from planner.dispatch.calendar import Gaps
from planner.robust.line import NEVER, Line, Load, Place, Then, lit_at
from planner.robust.spread import Spread

WAIT_TO_PRESS = 4320  # minutes after which a batch is pressed even if it may dry on

Packed = tuple[int, int]  # (minute, pieces)


class Run:
    """One run; ``packed`` holds what was packed for each order, in time."""

    def __init__(self, line: Line, spread: Spread, chance: Random) -> None:
        self._line, self._spread, self._chance = line, spread, chance
        self._weather = spread.weather.draw(chance)
        self.packed: dict[str, list[Packed]] = {}
        self.ends: list[int] = []
        self.starts: list[int] = []
        self._person = [g.copy() for g in line.hours]
        self._station = [g.copy() for g in line.stations]
        self._left = [b.count for b in line.batches]  # green pieces to be had
        self._dry = [b.dry if b.place < 0 else 0 for b in line.batches]
        self._glazed = [x.count if x.place < 0 else 0 for x in line.lots]
        self._coated = [x.dry if x.place < 0 else 0 for x in line.lots]
        self._opens = [x.opens for x in line.loads]
        self._out: list[Counter[str]] = [Counter(dict(x.holds)) for x in line.loads]
        self._past: set[int] = set()
        for place in line.places:
            self._do(place)

    def _do(self, p: Place) -> None:
        at = max(p.floor, self._damp(p.damp))
        for w in p.waits:
            at = max(at, self.ends[w.after] + w.minutes + self._damp(w.damp))
        if p.then is Then.LIT:
            at = self._ready(self._line.loads[p.thing], at)
        elif p.then is Then.DRAWN:
            at = max(at, self._opens[p.thing])
        lasts = max(1, round(p.minutes * self._spread.of_kind(p.kind).draw(self._chance)))
        start = self._fit(p, at, lasts)
        end = start + lasts
        self._person[p.person].cut(start, end)
        if p.station >= 0:
            self._station[p.station].cut(start, end)
        self.starts.append(start)
        self.ends.append(end)
        if p.ware >= 0:
            begun = 0 if p.clock < 0 else self.starts[p.clock]
            if end > begun + p.until + self._spread.grace:
                self._past.add(p.ware)
        self._then(p, end)

    def _fit(self, p: Place, at: int, lasts: int) -> int:
        """The first minute from ``at`` on with room for the task as planned, which then runs over nothing that stands
        there already. Past all hours: right after them."""
        hours, asked = self._person[p.person], at
        station = None if p.station < 0 else self._station[p.station]
        while True:
            start = hours.find(at, p.minutes, NEVER)
            if start < 0:
                last = self._line.hours[p.person].b
                return max(at, last[-1] if last else at)
            if station is not None:
                there = station.find(start, p.minutes, NEVER)
                if there > start:
                    at = there
                    continue
            if not self._clear(p, start, start + lasts):
                at = start + 15
            elif p.out >= 0 and start < asked + WAIT_TO_PRESS and not self._can_come_out(p, start + lasts, start):
                at = start + 30
            else:
                return start

    def _clear(self, p: Place, start: int, end: int) -> bool:
        """Whether nothing else stands in ``[start, end)``. Running on after hours or into a closed time is no clash."""
        if end <= start + p.minutes:
            return True
        person = _minutes(self._person[p.person], start, end) == _minutes(self._line.hours[p.person], start, end)
        if p.station < 0 or not person:
            return person
        return _minutes(self._station[p.station], start, end) == _minutes(self._line.stations[p.station], start, end)

    def _can_come_out(self, p: Place, pressed: int, start: int) -> bool:
        """Whether the one who is to take the batch out will be there in time: else it is not pressed yet."""
        out = self._line.places[p.out]
        there = self._line.hours[out.person]
        return there.find(pressed + p.out_from, out.minutes, start + out.until - out.minutes) >= 0

    def _damp(self, minutes: int) -> int:
        return round(minutes * self._weather) if minutes else 0

    def _ready(self, load: Load, at: int) -> int:
        """When the load may be packed: its ware is there, and the kiln is ours until it is drawn."""
        ready = self._dry if load.stage == "bisque" else self._coated
        at = max([at, *(ready[source] for source, _ in load.parts)])
        for a, b in load.closed:
            if at < b and a < at + load.whole:
                at = b
        return at

    def _then(self, p: Place, end: int) -> None:
        if p.then is Then.DRYING:
            self._made(p.thing, end)
        elif p.then is Then.LIT:
            self._lit(p.thing, end)
        elif p.then is Then.DRAWN:
            self._drawn(p.thing)
        elif p.then is Then.GLAZED:
            self._coat(p.thing, end)
        elif p.then is Then.PACKED:
            self._pack(p.thing, end)

    def _made(self, number: int, end: int) -> None:
        batch = self._line.batches[number]
        good = self._survive(batch.count, self._spread.of_form(batch.form).making)
        if number in self._past:
            good = self._survive(good, self._spread.past_window)
        self._left[number] = good
        self._dry[number] = end + self._damp(batch.dry)

    def _lit(self, number: int, packed: int) -> None:
        load, s = self._line.loads[number], self._spread
        lit = lit_at(load.starts, max(packed, load.floor))
        fire, cool = load.fire * s.fire.draw(self._chance), load.cool * s.cool.draw(self._chance)
        self._opens[number] = lit + round(fire + cool)
        left = self._left if load.stage == "bisque" else self._glazed
        for source, count in load.parts:
            n = min(count, left[source])
            left[source] -= n
            lot = self._line.lots[source] if load.stage == "glost" else None
            self._out[number][lot.order if lot else self._line.batches[source].form] += n

    def _drawn(self, number: int) -> None:
        load, held = self._line.loads[number], self._out[number]
        for key in held:
            form = key if load.stage == "bisque" else self._form_of(key)
            losses = self._spread.of_form(form)
            held[key] = self._survive(held[key], losses.bisque if load.stage == "bisque" else losses.glost)

    def _form_of(self, order: str) -> str:
        return next((x.form for x in self._line.packs if x.order == order), "")

    def _coat(self, number: int, end: int) -> None:
        lot = self._line.lots[number]
        for source, count in lot.parts:
            n = min(count, self._out[source][lot.form])
            self._out[source][lot.form] -= n
            self._glazed[number] += n
        self._coated[number] = end + self._damp(lot.dry)

    def _pack(self, number: int, end: int) -> None:
        pack = self._line.packs[number]
        n = min(pack.count, self._out[pack.source][pack.order])
        self._out[pack.source][pack.order] -= n
        self.packed.setdefault(pack.order, []).append((end, n))

    def _survive(self, pieces: int, loss: float) -> int:
        """How many of ``pieces`` are not lost: each by itself."""
        if loss <= 0 or pieces <= 0:
            return pieces
        draw = self._chance.random
        return sum(draw() >= loss for _ in range(pieces))


def _minutes(gaps: Gaps, start: int, end: int) -> int:
    """Free minutes within ``[start, end)``."""
    total, i = 0, max(0, bisect_right(gaps.a, start) - 1)
    while i < len(gaps.a) and gaps.a[i] < end:
        total += max(0, min(gaps.b[i], end) - max(gaps.a[i], start))
        i += 1
    return total
