"""A plan as one line of tasks in the order of their planned starts, each with what it has to wait for.

Every task waits only for tasks before it in the line, so one pass through it plays the plan.
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass, field
from enum import Enum

from planner.dispatch.calendar import Gaps
from planner.plan import Task
from planner.scenario import Scenario, Span

DAY = 1440
NOON = 720
NEVER = 1 << 40


class Then(Enum):
    """What happens to the ware at the end of a task."""

    NOTHING = 0
    DRYING = 1  # the last hand on green ware
    LIT = 2
    DRAWN = 3
    GLAZED = 4
    PACKED = 5


@dataclass(frozen=True, slots=True)
class Wait:
    """Not before the end of place ``after`` and ``minutes`` more, and ``damp`` minutes that the weather stretches."""

    after: int
    minutes: int = 0
    damp: int = 0


@dataclass(slots=True)
class Place:
    """One task of the line.

    ``floor``: not before this minute; ``damp``: minutes of drying still to go at 0. ``thing``: the number of the batch,
    load, lot or pack that ``then`` speaks of. Ware is past its window at the start of ``clock`` (-1: at 0) + ``until``
    (covered where it can be, for that is done when it is seen to be late); it is that of batch ``ware``.
    """

    kind: str
    minutes: int
    person: int
    station: int
    floor: int
    waits: list[Wait] = field(default_factory=list)
    damp: int = 0
    then: Then = Then.NOTHING
    thing: int = -1
    clock: int = -1
    until: int = NEVER
    ware: int = -1
    out: int = -1  # presses: the place of taking the batch out
    out_from: int = 0  # and how long after the press at the earliest


@dataclass(slots=True)
class Batch:
    """Green ware: pressed or in the studio already. ``made``: what is lost in the making is lost by now."""

    form: str
    count: int
    dry: int
    made: bool = False
    place: int = -1  # its last task, or -1: dry at ``dry``


@dataclass(slots=True)
class Load:
    """A firing: ``parts`` are batches (bisque) or lots (glost) with pieces."""

    stage: str
    fire: int = 0
    cool: int = 0
    floor: int = 0
    opens: int = -1  # the load now in a kiln
    starts: tuple[Span, ...] | None = None
    closed: tuple[Span, ...] = ()
    whole: int = 0  # minutes from packing to drawn, as planned
    parts: list[tuple[int, int]] = field(default_factory=list)
    holds: list[tuple[str, int]] = field(default_factory=list)  # (form or order, pieces) of the load now in a kiln


@dataclass(slots=True)
class Lot:
    """Pieces of one order glazed together; ``parts`` are loads or bisqued stock with pieces."""

    order: str
    form: str
    count: int
    dry: int
    parts: list[tuple[int, int]] = field(default_factory=list)
    place: int = -1  # its glazing, or -1: dry at ``dry``


@dataclass(slots=True)
class Pack:
    order: str
    form: str
    source: int
    count: int


@dataclass(slots=True)
class Line:
    """Places in their order, the ware, and the times of people and stations.

    Bisqued and fired ware in the studio stands among ``loads`` as a load drawn already, of the stage "stock".
    """

    places: list[Place]
    batches: list[Batch]
    loads: list[Load]
    lots: list[Lot]
    packs: list[Pack]
    hours: list[Gaps]
    stations: list[Gaps]
    last: dict[str, int]  # the last planned pack of each order


def half_day(s: Scenario, minute: int) -> int:
    """The beginning of the local half-day of ``minute``, at the earliest 0."""
    local = minute + s.midnight_offset
    begin = local // DAY * DAY
    return max(0, begin + (NOON if local - begin >= NOON else 0) - s.midnight_offset)


def hours_of(s: Scenario, tasks: tuple[Task, ...]) -> list[Gaps]:
    """When each person is there: in extra hours only where the plan asks for it."""
    out = []
    for p in s.people:
        mine = [t for t in tasks if t.person == p.id]
        extra = [x for x in p.extra if any(t.start < x.b and x.a < t.end for t in mine)]
        out.append(Gaps.joined([*p.hours, *extra], NEVER))
    return out


def stations_of(s: Scenario) -> list[Gaps]:
    """When each station is free."""
    out = []
    for x in s.stations:
        gaps = Gaps([max(0, x.free_at)], [NEVER])
        for span in x.closed:
            gaps.cut(*span)
        out.append(gaps)
    return out


def lit_at(starts: tuple[Span, ...] | None, minute: int) -> int:
    """The first minute from ``minute`` on at which a kiln may be lit."""
    if not starts:
        return minute
    i = bisect_right(starts, minute, key=lambda x: x.b)
    return max(minute, starts[i].a) if i < len(starts) else minute
