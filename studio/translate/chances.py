"""When somebody who can do a thing is there to do it."""

from __future__ import annotations

from collections.abc import Iterable

from planner.scenario import Person, Span
from studio.translate.spans import common, joined, without

BREAK = 120  # minutes: hours with a shorter pause between them are one day's work


def day_of_chance(people: Iterable[Person], kind: str, minutes: int, after: int) -> int | None:
    """The end of the first working day on which somebody can give ``minutes`` to ``kind`` in one go, from ``after``.

    None if nobody ever can.
    """
    there = [span for p in people if p.can(kind) for span in p.hours]
    spans = sorted(Span(max(s.a, after), s.b) for s in there if s.b > after)
    first = next((s for s in spans if s.b - s.a >= minutes), None)
    if first is None:
        return None
    end = first.b
    for span in spans:
        if span.b > end and span.a - end < BREAK:
            end = span.b
    return end


def has_room(people: Iterable[Person], kind: str, minutes: int, window: Span, closed: Iterable[Span]) -> bool:
    """Whether somebody can give ``minutes`` to ``kind`` within ``window``, outside ``closed``."""
    for person in people:
        if person.can(kind):
            there = common(joined([*person.hours, *person.extra], window.a, window.b), [window])
            if any(s.b - s.a >= minutes for s in without(there, closed)):
                return True
    return False
