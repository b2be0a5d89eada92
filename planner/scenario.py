"""What the studio has and owes at one instant, as frozen records that refuse nonsense.

All times are whole minutes from :attr:`Scenario.start`; earlier ones are negative. Spans are half-open
``[a, b)``; windows are closed ``[lo, hi]`` waits. Counts are pieces. A record that breaks a rule of the format
raises :class:`planner.faults.Refused` when it is built, so nothing downstream has to check it again.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from functools import cached_property
from itertools import pairwise
from typing import Annotated, Any

from planner.faults import Fault, quoted
from planner.plan import TASK_KINDS, Plan
from planner.studio_rules import cross_faults, instant_faults, overlap_faults, twice_faults
from planner.values import (
    Amount,
    BoardCount,
    Checked,
    Count,
    Different,
    Duration,
    Id,
    Ids,
    Length,
    Millimetres,
    Minute,
    Name,
    Seconds,
    Shelves,
    Span,
    Spans,
    Stage,
    Window,
)
from planner.ware import Bisqued, Drying, Fired, Glazed, InKiln, InMould, Released, Wip

__all__ = [
    "Bisqued",
    "Boards",
    "Cast",
    "Drying",
    "Fired",
    "Form",
    "Glaze",
    "Glazed",
    "InKiln",
    "InMould",
    "Job",
    "Kiln",
    "Limit",
    "Mould",
    "Order",
    "Person",
    "Program",
    "Racks",
    "Released",
    "Scenario",
    "Shelving",
    "Span",
    "Station",
    "Step",
    "ToFinish",
    "Weights",
    "Window",
    "Wip",
    "Work",
]


@dataclass(frozen=True, slots=True)
class Work(Checked):
    """Attended work: ``fixed`` minutes plus ``each_s`` seconds for every piece."""

    fixed: Length
    each_s: Seconds

    def minutes(self, pieces: int) -> int:
        """Whole minutes for ``pieces`` pieces, at least 1."""
        return max(1, self.fixed + -(-pieces * self.each_s // 60))


@dataclass(frozen=True, slots=True)
class Person(Checked):
    id: Id
    hours: Spans
    extra: Spans
    skills: frozenset[Id] | None  # None = every kind of task
    name: Name | None = None

    def can(self, kind: str) -> bool:
        return self.skills is None or kind in self.skills

    def faults(self) -> Iterator[Fault]:
        return overlap_faults(self.hours, self.extra)


@dataclass(frozen=True, slots=True)
class Station(Checked):
    id: Id
    kinds: frozenset[Id]
    free_at: Minute
    mounted: Id | None
    closed: Spans
    name: Name | None = None


@dataclass(frozen=True, slots=True)
class Racks(Checked):
    """Sizes in ware boards."""

    damp: BoardCount
    drying: BoardCount
    glazed: BoardCount


@dataclass(frozen=True, slots=True)
class Step(Checked):
    """One piece of leather-hard work, such as turning or joining a handle."""

    kind: Id
    work: Work
    after: Window
    after_covered: Window | None

    def faults(self) -> Iterator[Fault]:
        if self.kind in TASK_KINDS:
            wrong = f"{quoted(self.kind)} is already the name of another kind of task"
            yield Fault("/kind", wrong, "a name of its own, such as trim or join")


@dataclass(frozen=True, slots=True)
class Boards(Checked):
    """Pieces on one ware board."""

    green: Count
    glazed: Count


@dataclass(frozen=True)
class Shelving(Checked):
    """How a form stands in a kiln: free height in mm and pieces a shelf, by kiln id."""

    clearance_mm: Millimetres
    per_shelf: dict[Id, Count]


@dataclass(frozen=True)
class Form(Checked):
    id: Id
    tool: Id
    setup: Length
    recheck: Length
    press: Work
    release: Work
    glaze: Work
    finish: Work
    release_after: Window
    release_after_covered: Window | None
    mould_rest: Length
    steps: tuple[Step, ...]
    dry: Length
    boards: Boards
    bisque: Shelving
    glost: Shelving
    glaze_dry: Length
    name: Name | None = None

    def shelving(self, stage: str) -> Shelving:
        """The shelving of ``stage``, "bisque" or "glost"."""
        return self.bisque if stage == "bisque" else self.glost


@dataclass(frozen=True, slots=True)
class Mould(Checked):
    id: Id
    form: Id
    ready: Minute | None  # None while a batch is in it
    uses_left: Amount
    name: Name | None = None


@dataclass(frozen=True, slots=True)
class Cast(Checked):
    """A working mould that could be poured."""

    id: Id
    form: Id
    pour: Duration
    lift_after: Window
    lift: Duration
    dry: Length
    uses: Count
    holds: Ids
    cost: Amount
    required: bool
    poured: Minute | None  # minute its pour ended, if it was poured before
    name: Name | None = None


@dataclass(frozen=True, slots=True)
class Glaze(Checked):
    id: Id
    fixed: Length
    programs: Ids
    name: Name | None = None


@dataclass(frozen=True, slots=True)
class Program(Checked):
    id: Id
    stage: Stage
    fire: Duration
    cool: Length
    kwh: Amount
    name: Name | None = None


@dataclass(frozen=True)
class Limit(Checked):
    """A load holding at least all these counts is known not to fit."""

    stage: Stage
    counts: dict[Id, Count]

    def faults(self) -> Iterator[Fault]:
        if not self.counts:
            yield Fault("/counts", "an empty limit, which every load reaches", "name at least one form and its count")


@dataclass(frozen=True)
class Kiln(Checked):
    id: Id
    stack_mm: Millimetres
    shelf_mm: Millimetres
    shelves: Shelves
    load: Duration
    unload: Duration
    free_at: Minute | None  # None while it holds a firing
    start_spans: Spans | None
    closed: Spans
    programs: tuple[Program, ...]
    limits: tuple[Limit, ...]
    name: Name | None = None

    def program(self, program_id: str) -> Program | None:
        return next((p for p in self.programs if p.id == program_id), None)

    def faults(self) -> Iterator[Fault]:
        return twice_faults([(f"/programs/{i}", p.id) for i, p in enumerate(self.programs)])


@dataclass(frozen=True, slots=True)
class Job(Checked):
    id: Id
    minutes: Duration
    window: Window
    person: Id | None
    station: Id | None
    name: Name | None = None


@dataclass(frozen=True, slots=True)
class Order(Checked):
    id: Id
    form: Id
    glaze: Id
    qty: Count
    due: Minute
    weight: Amount
    name: Name | None = None


@dataclass(frozen=True, slots=True)
class ToFinish(Checked):
    """Minutes after the horizon at which a piece left at a stage is reckoned finished."""

    none: Length
    green: Length
    bisqued: Length
    glazed: Length
    fired: Length

    def faults(self) -> Iterator[Fault]:
        stages = ("none", "green", "bisqued", "glazed", "fired")
        for a, b in pairwise(stages):
            if getattr(self, a) < getattr(self, b):
                wrong = f'{getattr(self, b)} is more than the {getattr(self, a)} of the earlier stage "{a}"'
                yield Fault(f"/{b}", wrong, "none ≥ green ≥ bisqued ≥ glazed ≥ fired")


@dataclass(frozen=True, slots=True)
class Weights(Checked):
    late: Amount
    late_step: Duration
    tardy: Amount
    kwh: Amount
    setup: Amount
    cover: Amount
    extra: Amount
    spoil: Amount
    move: Amount
    pin: Amount


class Instant:
    """An ISO 8601 instant to the minute with its offset."""

    def faults(self, value: Any, pointer: str) -> Iterator[Fault]:
        return instant_faults(value, pointer)


@dataclass(frozen=True)
class Scenario(Checked):
    start: Annotated[str, Instant()]
    horizon: Duration
    people: tuple[Person, ...]
    stations: tuple[Station, ...]
    racks: Racks
    forms: tuple[Form, ...]
    moulds: tuple[Mould, ...]
    casts: tuple[Cast, ...]
    glazes: tuple[Glaze, ...]
    kilns: tuple[Kiln, ...]
    jobs: tuple[Job, ...]
    orders: tuple[Order, ...]
    wip: tuple[Wip, ...]
    to_finish: ToFinish
    weights: Weights
    previous: Plan | None = None
    pins: Annotated[tuple[str, ...], Different()] = ()

    def faults(self) -> Iterator[Fault]:
        return cross_faults(self)

    @cached_property
    def form(self) -> dict[str, Form]:
        return {f.id: f for f in self.forms}

    @cached_property
    def mould(self) -> dict[str, Mould]:
        return {m.id: m for m in self.moulds}

    @cached_property
    def cast(self) -> dict[str, Cast]:
        return {c.id: c for c in self.casts}

    @cached_property
    def glaze(self) -> dict[str, Glaze]:
        return {g.id: g for g in self.glazes}

    @cached_property
    def kiln(self) -> dict[str, Kiln]:
        return {k.id: k for k in self.kilns}

    @cached_property
    def job(self) -> dict[str, Job]:
        return {j.id: j for j in self.jobs}

    @cached_property
    def order(self) -> dict[str, Order]:
        return {o.id: o for o in self.orders}

    @cached_property
    def person(self) -> dict[str, Person]:
        return {p.id: p for p in self.people}

    @cached_property
    def station(self) -> dict[str, Station]:
        return {s.id: s for s in self.stations}

    @cached_property
    def ware(self) -> dict[str, Wip]:
        """Work in progress by id."""
        return {w.id: w for w in self.wip}

    @cached_property
    def served_kinds(self) -> frozenset[str]:
        """Task kinds that some station serves (R01)."""
        return frozenset(k for s in self.stations for k in s.kinds)

    @cached_property
    def midnight_offset(self) -> int:
        """Minutes from local midnight to ``start``; the day of minute t is ``(t + this) // 1440``."""
        local = datetime.fromisoformat(self.start)
        return local.hour * 60 + local.minute

    def day(self, minute: int) -> int:
        return (minute + self.midnight_offset) // 1440
