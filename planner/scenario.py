"""What the studio has and owes at one instant, as frozen records.

All times are whole minutes from :attr:`Scenario.start`; earlier ones are negative. Spans are half-open
``[a, b)``; windows are closed ``[lo, hi]`` waits. Counts are pieces.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property
from typing import NamedTuple


class Span(NamedTuple):
    """The half-open minutes ``[a, b)``."""

    a: int
    b: int


class Window(NamedTuple):
    """A wait of at least ``lo`` and at most ``hi`` minutes."""

    lo: int
    hi: int


@dataclass(frozen=True, slots=True)
class Work:
    """Attended work: ``fixed`` minutes plus ``each_s`` seconds for every piece."""

    fixed: int
    each_s: int

    def minutes(self, pieces: int) -> int:
        """Whole minutes for ``pieces`` pieces, at least 1."""
        return max(1, self.fixed + -(-pieces * self.each_s // 60))


@dataclass(frozen=True, slots=True)
class Person:
    id: str
    hours: tuple[Span, ...]
    extra: tuple[Span, ...]
    skills: frozenset[str] | None  # None = every kind of task
    name: str | None = None

    def can(self, kind: str) -> bool:
        return self.skills is None or kind in self.skills


@dataclass(frozen=True, slots=True)
class Station:
    id: str
    kinds: frozenset[str]
    free_at: int
    mounted: str | None
    closed: tuple[Span, ...]
    name: str | None = None


@dataclass(frozen=True, slots=True)
class Racks:
    """Sizes in ware boards."""

    damp: int
    drying: int
    glazed: int


@dataclass(frozen=True, slots=True)
class Step:
    """One piece of leather-hard work, such as turning or joining a handle."""

    kind: str
    work: Work
    after: Window
    after_covered: Window | None


@dataclass(frozen=True, slots=True)
class Boards:
    """Pieces on one ware board."""

    green: int
    glazed: int


@dataclass(frozen=True)
class Shelving:
    """How a form stands in a kiln: free height in mm and pieces a shelf, by kiln id."""

    clearance_mm: int
    per_shelf: dict[str, int]


@dataclass(frozen=True)
class Form:
    id: str
    tool: str
    setup: int
    recheck: int
    press: Work
    release: Work
    glaze: Work
    finish: Work
    release_after: Window
    release_after_covered: Window | None
    mould_rest: int
    steps: tuple[Step, ...]
    dry: int
    boards: Boards
    bisque: Shelving
    glost: Shelving
    glaze_dry: int
    name: str | None = None

    def shelving(self, stage: str) -> Shelving:
        """The shelving of ``stage``, "bisque" or "glost"."""
        return self.bisque if stage == "bisque" else self.glost


@dataclass(frozen=True, slots=True)
class Mould:
    id: str
    form: str
    ready: int | None  # None while a batch is in it
    uses_left: int
    name: str | None = None


@dataclass(frozen=True, slots=True)
class Cast:
    """A working mould that could be poured."""

    id: str
    form: str
    pour: int
    lift_after: Window
    lift: int
    dry: int
    uses: int
    holds: tuple[str, ...]
    cost: int
    required: bool
    poured: int | None  # minute its pour ended, if it was poured before
    name: str | None = None


@dataclass(frozen=True, slots=True)
class Glaze:
    id: str
    fixed: int
    programs: tuple[str, ...]
    name: str | None = None


@dataclass(frozen=True, slots=True)
class Program:
    id: str
    stage: str  # "bisque" or "glost"
    fire: int
    cool: int
    kwh: int
    name: str | None = None


@dataclass(frozen=True)
class Limit:
    """A load holding at least all these counts is known not to fit."""

    stage: str
    counts: dict[str, int]


@dataclass(frozen=True)
class Kiln:
    id: str
    stack_mm: int
    shelf_mm: int
    shelves: int
    load: int
    unload: int
    free_at: int | None  # None while it holds a firing
    start_spans: tuple[Span, ...] | None
    closed: tuple[Span, ...]
    programs: tuple[Program, ...]
    limits: tuple[Limit, ...]
    name: str | None = None

    def program(self, program_id: str) -> Program | None:
        return next((p for p in self.programs if p.id == program_id), None)


@dataclass(frozen=True, slots=True)
class Job:
    id: str
    minutes: int
    window: Window
    person: str | None
    station: str | None
    name: str | None = None


@dataclass(frozen=True, slots=True)
class Order:
    id: str
    form: str
    glaze: str
    qty: int
    due: int
    weight: int
    name: str | None = None


@dataclass(frozen=True, slots=True)
class InMould:
    """A pressed batch still in its moulds."""

    id: str
    form: str
    count: int
    moulds: tuple[str, ...]
    pressed: Span
    first: int
    covered: bool
    until: int | None
    name: str | None = None
    stage: str = field(default="in_mould", init=False)


@dataclass(frozen=True, slots=True)
class Released:
    """Leather-hard ware with steps still to do."""

    id: str
    form: str
    count: int
    released: Span
    covered: bool
    steps_done: int
    until: int | None
    name: str | None = None
    stage: str = field(default="released", init=False)


@dataclass(frozen=True, slots=True)
class Drying:
    id: str
    form: str
    count: int
    dry_at: int
    name: str | None = None
    stage: str = field(default="drying", init=False)


@dataclass(frozen=True, slots=True)
class Bisqued:
    id: str
    form: str
    count: int
    at: int
    name: str | None = None
    stage: str = field(default="bisqued", init=False)


@dataclass(frozen=True, slots=True)
class Glazed:
    id: str
    form: str
    count: int
    order: str | None
    glaze: str
    at: int
    name: str | None = None
    stage: str = field(default="glazed", init=False)


@dataclass(frozen=True, slots=True)
class Fired:
    id: str
    form: str
    count: int
    order: str | None
    at: int
    name: str | None = None
    stage: str = field(default="fired", init=False)


@dataclass(frozen=True, slots=True)
class InKiln:
    """Ware in the load that a kiln holds now (JSON stage "firing")."""

    id: str
    form: str
    count: int
    kiln: str
    fired_stage: str
    opens: int
    order: str | None
    name: str | None = None
    stage: str = field(default="firing", init=False)


Wip = InMould | Released | Drying | Bisqued | Glazed | Fired | InKiln


@dataclass(frozen=True, slots=True)
class ToFinish:
    """Minutes after the horizon at which a piece left at a stage is reckoned finished."""

    none: int
    green: int
    bisqued: int
    glazed: int
    fired: int


@dataclass(frozen=True, slots=True)
class Weights:
    late: int
    late_step: int
    tardy: int
    kwh: int
    setup: int
    cover: int
    extra: int
    spoil: int
    move: int
    pin: int


@dataclass(frozen=True)
class Scenario:
    start: str  # ISO 8601 to the minute, with offset
    horizon: int
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
    previous: "Plan | None" = None
    pins: tuple[str, ...] = ()

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
        hour, minute = self.start.split("T")[1][:5].split(":")
        return int(hour) * 60 + int(minute)

    def day(self, minute: int) -> int:
        return (minute + self.midnight_offset) // 1440


from planner.plan import Plan  # noqa: E402  (a scenario may hold the plan that it replaces)
