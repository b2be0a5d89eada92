"""The horizon in buckets that no task straddles, and the earliest and latest minutes of tasks inside them.

A task lies wholly inside one person's duty (R01). So a cut at a minute when nobody is on duty parts the tasks into
those before and those after, whatever the plan: a relaxation may count by bucket without losing a valid plan.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from itertools import pairwise

from planner.model.spans import clipped, gaps, merged, overlap
from planner.scenario import Person, Scenario, Span


@dataclass(frozen=True)
class Bucket:
    """Everything between two cuts: duty begins at ``a`` and ends at ``b``; ``opens_day``: no bucket before it is of
    the day that ``a`` lies in."""

    number: int
    a: int
    b: int
    opens_day: bool


@dataclass(frozen=True)
class Node:
    """Something is free in ``bucket`` from minute ``at`` on."""

    bucket: int
    at: int


def buckets(scenario: Scenario, *, bridge: int, most: int) -> list[Bucket]:
    """Buckets parted by the times when nobody is there for more than ``bridge`` minutes, ``most`` at most."""
    duty = merged(clipped([s for p in scenario.people for s in (*p.hours, *p.extra)], 0, scenario.horizon))
    breaks = sorted((b.a - a.b for a, b in pairwise(duty)), reverse=True)
    if len(breaks) >= most:
        bridge = max(bridge, breaks[most - 1])
    parts: list[Span] = []
    for span in duty:
        if parts and span.a - parts[-1].b <= bridge:
            parts[-1] = Span(parts[-1].a, span.b)
        else:
            parts.append(span)
    days = [(scenario.day(p.a), scenario.day(p.b - 1)) for p in parts]
    return [Bucket(i, p.a, p.b, i == 0 or days[i - 1][1] < days[i][0]) for i, p in enumerate(parts)]


class Hands:
    """When people and stations together allow a task of a kind, task by task as if it were the only one."""

    def __init__(self, scenario: Scenario, parts: list[Bucket]) -> None:
        self.scenario, self.buckets = scenario, parts
        self._duty = {p.id: merged([*p.hours, *p.extra]) for p in scenario.people}
        self.spans = cache(self._spans)
        self.able = cache(self._able)
        self.end_in = cache(self._end_in)

    def _able(self, kind: str) -> frozenset[str]:
        return frozenset(p.id for p in self.scenario.people if p.can(kind))

    def _spans(self, kind: str, number: int) -> tuple[Span, ...]:
        """Where a task of ``kind`` can lie inside a bucket: one span per person, station and stretch."""
        bucket = self.buckets[number]
        places = self._open(kind)
        out = []
        for person in sorted(self.able(kind)):
            for stretch in clipped(self._duty[person], bucket.a, bucket.b):
                for free in places:
                    out += clipped(free, stretch.a, stretch.b)
        return tuple(out)

    def _open(self, kind: str) -> list[list[Span]]:
        """The open spans of each station that serves ``kind``; one endless span if it needs none."""
        h = self.scenario.horizon
        serving = [x for x in self.scenario.stations if kind in x.kinds and kind != "job"]  # a job names its own
        if not serving:
            return [[Span(0, h)]]
        return [gaps(merged(x.closed), min(max(0, x.free_at), h), h) for x in serving]

    def _end_in(self, kind: str, at: int, minutes: int, number: int) -> int | None:
        """Earliest end inside bucket ``number`` of a task begun at ``at`` or later; None if there is no room."""
        ends = [max(a, at) + minutes for a, b in self.spans(kind, number) if max(a, at) + minutes <= b]
        return min(ends, default=None)

    def end(self, kind: str, at: int, minutes: int) -> int | None:
        """Earliest end in any bucket."""
        for bucket in self.buckets:
            if bucket.b > at and (end := self.end_in(kind, at, minutes, bucket.number)) is not None:
                return end
        return None

    def last_end(self, kind: str, minutes: int, number: int) -> int | None:
        """Latest end inside bucket ``number`` of a task of at least ``minutes``."""
        return max((b for a, b in self.spans(kind, number) if b - a >= minutes), default=None)

    def station_minutes(self, kind: str, number: int, since: int = 0, until: int | None = None) -> int:
        """Minutes that the stations serving ``kind`` can be at work in a bucket while somebody is there."""
        bucket = self.buckets[number]
        lo, hi = max(bucket.a, since), bucket.b if until is None else min(bucket.b, until)
        duty = merged(clipped([s for d in self._duty.values() for s in d], lo, hi))
        return sum(overlap(stretch, free) for free in self._open(kind) for stretch in duty)

    def minutes(self, person: Person, number: int, *, extra: bool, since: int = 0) -> int:
        """Minutes of ``person`` in a bucket, of hours or of extra, not before ``since``."""
        bucket = self.buckets[number]
        spans = person.extra if extra else person.hours
        return length(clipped(spans, max(bucket.a, since), bucket.b))

    def minutes_after(self, kind: str, number: int, since: int) -> int:
        """Minutes from ``since`` on in a bucket that all who can do ``kind`` have together, extra included."""
        return sum(
            self.minutes(p, number, extra=extra, since=since)
            for p in self.scenario.people
            if p.can(kind)
            for extra in (False, True)
        )


def length(spans: Iterable[Span]) -> int:
    return sum(b - a for a, b in spans)
