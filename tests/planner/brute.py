"""Every way of doing a handful of tasks, minute by minute: slow, simple, and written from the rules alone.

It shares nothing with the planner but the records of a scenario. A :class:`Need` is one task; :func:`cheapest` tries
every start, person and station for each in turn, and for chains that may end early, every end.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import ceil

from planner.scenario import Form, Kiln, Scenario
from planner.values import Span


@dataclass(frozen=True)
class Placed:
    kind: str
    start: int
    end: int
    person: str
    station: str | None


Done = dict[str, Placed]


@dataclass(frozen=True)
class Need:
    """One task to place: how long it takes and when it may be, given what is placed already."""

    key: str
    kind: str
    minutes: Callable[[Done], int]
    earliest: Callable[[Done], int] = lambda done: 0
    latest_end: Callable[[Done], int] = lambda done: 10**9
    allowed: Callable[[Done, int, int], bool] = lambda done, start, end: True
    person: str | None = None
    station: str | None = None
    chain: str = ""  # needs of one chain come in order; where ``may_stop``, it may end before this one
    may_stop: bool = False


def overlaps(start: int, end: int, spans: Sequence[Span]) -> int:
    """Minutes that ``[start, end)`` shares with ``spans``."""
    return sum(max(0, min(end, s.b) - max(start, s.a)) for s in spans)


def _places(s: Scenario, need: Need) -> list[str | None]:
    if need.kind == "job":
        return [need.station]
    served: list[str | None] = [x.id for x in s.stations if need.kind in x.kinds]
    return served or [None]


def _may_be(s: Scenario, done: Done, need: Need, start: int, end: int, who: str, where: str | None) -> bool:
    """R01 for one task beside those that are placed."""
    person = s.person[who]
    if overlaps(start, end, person.hours) + overlaps(start, end, person.extra) < end - start:
        return False
    if any(start < t.end and t.start < end and (t.person == who or t.station == where is not None)
           for t in done.values()):  # fmt: skip
        return False
    if where is not None:
        station = s.station[where]
        if start < station.free_at or overlaps(start, end, station.closed):
            return False
    return need.allowed(done, start, end)


def cheapest(s: Scenario, needs: Sequence[Need], cost: Callable[[Done], int]) -> int | None:
    """The least ``cost`` of all ways of placing ``needs``, or None if there is none."""
    best: int | None = None
    people = {n.key: [p.id for p in s.people if p.can(n.kind) and n.person in (None, p.id)] for n in needs}
    places = {n.key: _places(s, n) for n in needs}

    def place(i: int, done: Done) -> None:
        nonlocal best
        if i == len(needs):
            total = cost(done)
            best = total if best is None else min(best, total)
            return
        need = needs[i]
        if need.may_stop:
            rest = i
            while rest < len(needs) and needs[rest].chain == need.chain:
                rest += 1
            place(rest, done)
        minutes = need.minutes(done)
        last = min(s.horizon, need.latest_end(done)) - minutes
        for start in range(max(0, need.earliest(done)), last + 1):
            for who in people[need.key]:
                for where in places[need.key]:
                    if _may_be(s, done, need, start, start + minutes, who, where):
                        done[need.key] = Placed(need.kind, start, start + minutes, who, where)
                        place(i + 1, done)
                        del done[need.key]

    place(0, {})
    return best


def extra_cost(s: Scenario, done: Done) -> int:
    return s.weights.extra * sum(overlaps(t.start, t.end, s.person[t.person].extra) for t in done.values())


def late_cost(s: Scenario, order: str, minutes: Sequence[int]) -> int:
    """``late`` and ``tardy`` of an order whose pieces are finished, or reckoned finished, at ``minutes``."""
    o, w = s.order[order], s.weights
    late = [max(0, m - o.due) for m in minutes]
    steps = sum(ceil(Fraction(x, w.late_step)) for x in late)
    return o.weight * (w.late * steps + (w.tardy if any(late) else 0))


def fits(kiln: Kiln, stage: str, load: Sequence[tuple[Form, int]]) -> bool:
    """R08 by its own words."""
    for limit in kiln.limits:
        counts = {f: sum(n for form, n in load if form.id == f) for f in limit.counts}
        if limit.stage == stage and all(counts[f] >= n for f, n in limit.counts.items()):
            return False
    if any(kiln.id not in f.shelving(stage).per_shelf for f, _ in load):
        return False
    height = shelves = 0
    for c in sorted({f.shelving(stage).clearance_mm for f, _ in load}, reverse=True):
        tall = [(f.shelving(stage), n) for f, n in load if f.shelving(stage).clearance_mm >= c]
        full = ceil(sum((Fraction(n, shelving.per_shelf[kiln.id]) for shelving, n in tall), Fraction(0)))
        height, shelves = height + (full - shelves) * (c + kiln.shelf_mm), full
    return height <= kiln.stack_mm and shelves <= kiln.shelves


def lit(kiln: Kiln, minute: int) -> int:
    """The first minute from ``minute`` on at which a program may start; a very late one if there is none."""
    if kiln.start_spans is None:
        return minute
    return min((max(minute, span.a) for span in kiln.start_spans if span.b > minute), default=10**9)


def firing(
    kiln: Kiln, program_id: str, key: str, ready: Callable[[Done], int], after: str | None, **chain: object
) -> list[Need]:
    """The two needs of one firing, ``key`` + "load" and ``key`` + "unload", not before the firing ``after`` is out."""
    program = next(p for p in kiln.programs if p.id == program_id)

    def earliest(done: Done) -> int:
        return max(ready(done), kiln.free_at or 0, done[after + "unload"].end if after else 0)

    def opened(done: Done) -> int:
        return lit(kiln, done[key + "load"].end) + program.fire + program.cool

    def open_all_the_time(done: Done, _start: int, end: int) -> bool:
        return not overlaps(done[key + "load"].start, end, kiln.closed)

    return [
        Need(key + "load", "load", lambda done: kiln.load, earliest, **chain),
        Need(key + "unload", "unload", lambda done: kiln.unload, opened, allowed=open_all_the_time,
             **{**chain, "may_stop": False}),
    ]  # fmt: skip
