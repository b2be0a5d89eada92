"""Who does what, when, with which moulds, boards and kilns: the planner's answer, as frozen records.

A plan is built many times a second while one is sought, so its records are not checked as they are built:
:meth:`Plan.faults` says whether a finished one has the form of a plan; ``planner.checks`` says whether it is valid.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cached_property
from typing import Annotated, Any

from planner.faults import Fault, quoted
from planner.studio_rules import twice_faults
from planner.values import Bound, Cost, Count, Id, Ids, Late, Later, Minute, Name, OneOf, Ref, Text

COST_NAMES = ("late", "tardy", "kwh", "setup", "cover", "extra", "cast", "spoil", "move", "pin")
STATUSES = ("optimal", "feasible", "infeasible", "unknown")
TASK_KINDS = ("press", "release", "load", "unload", "glaze", "finish", "pour", "lift", "job")  # and the forms' steps
LISTS = ("tasks", "batches", "firings", "lots", "finishes", "casts", "jobs", "spoiled", "orders")

Sentence = Annotated[str, Text(4000, given=False)]


@dataclass(frozen=True, slots=True)
class Task:
    id: Id
    kind: Id
    start: Minute
    end: Minute
    person: Id
    station: Id | None
    name: Name | None = None


@dataclass(frozen=True, slots=True)
class Batch:
    id: Id
    form: Id
    count: Count
    moulds: tuple[Id, ...]
    press: Id | None  # task ids; None where that step lies in the past
    release: Id | None
    steps: tuple[Id, ...]
    covered_in_mould: bool
    covered: bool
    name: Name | None = None


@dataclass(frozen=True, slots=True)
class Part:
    """Pieces taken from one source (JSON keys "from" and "count")."""

    source: Ref
    count: Count


@dataclass(frozen=True, slots=True)
class Firing:
    id: Ref
    kiln: Id
    program: Id | None  # None, with load and fire, for the load now in the kiln
    load: Id | None
    fire: Minute | None
    unload: Id
    pieces: tuple[Part, ...]
    name: Name | None = None

    @property
    def is_now(self) -> bool:
        """Whether this is the load now in the kiln."""
        return self.id.startswith("now:")

    def faults(self) -> Iterator[Fault]:
        if not self.is_now:
            for key in ("program", "load", "fire"):
                if getattr(self, key) is None:
                    yield Fault(f"/{key}", f"no {key}", "only the load now in a kiln (now:KILN) has null here")
            return
        if self.id != f"now:{self.kiln}":
            yield Fault("/id", f"{quoted(self.id)} in the kiln {quoted(self.kiln)}", quoted(f"now:{self.kiln}"))
        for key in ("program", "load", "fire"):
            if getattr(self, key) is not None:
                yield Fault(f"/{key}", f"the load now in a kiln has a {key}", "null")
        if self.pieces:
            yield Fault("/pieces", "the load now in a kiln lists pieces", "an empty list; wip says what is in it")


@dataclass(frozen=True, slots=True)
class Lot:
    """Pieces of one order glazed together."""

    id: Id
    order: Id
    count: Count
    sources: tuple[Part, ...]  # JSON "from"
    glaze: Id  # task id
    name: Name | None = None


@dataclass(frozen=True, slots=True)
class Finish:
    id: Id
    order: Id
    source: Ref  # JSON "from"
    count: Count
    task: Id
    name: Name | None = None


@dataclass(frozen=True, slots=True)
class CastPlan:
    id: Id
    pour: Id | None
    lift: Id
    name: Name | None = None


@dataclass(frozen=True, slots=True)
class JobPlan:
    id: Id
    task: Id
    name: Name | None = None


@dataclass(frozen=True, slots=True)
class OrderDone:
    id: Id
    done: Later
    late_min: Late
    reckoned: bool
    name: Name | None = None


@dataclass(frozen=True)
class Reason:
    """Why something is late, spoiled or impossible: a code with its things, minutes and counts."""

    code: Id
    things: dict[str, str]
    minutes: dict[str, int]
    counts: dict[str, int]
    text: Sentence


@dataclass(frozen=True)
class Plan:
    status: Annotated[str, OneOf(STATUSES)]
    cost: Cost
    costs: dict[str, Cost]
    bound: Bound | None
    tasks: tuple[Task, ...] = ()
    batches: tuple[Batch, ...] = ()
    firings: tuple[Firing, ...] = ()
    lots: tuple[Lot, ...] = ()
    finishes: tuple[Finish, ...] = ()
    casts: tuple[CastPlan, ...] = ()
    jobs: tuple[JobPlan, ...] = ()
    spoiled: Ids = ()
    orders: tuple[OrderDone, ...] = ()
    reasons: tuple[Reason, ...] = ()
    diagnostics: Any = field(default_factory=dict)  # free form

    @cached_property
    def task(self) -> dict[str, Task]:
        return {t.id: t for t in self.tasks}

    @cached_property
    def batch(self) -> dict[str, Batch]:
        return {b.id: b for b in self.batches}

    @cached_property
    def firing(self) -> dict[str, Firing]:
        return {f.id: f for f in self.firings}

    @cached_property
    def lot(self) -> dict[str, Lot]:
        return {x.id: x for x in self.lots}

    def faults(self) -> Iterator[Fault]:
        """What keeps this from having the form of a plan, its records being sound by themselves."""
        for name in sorted(set(COST_NAMES) ^ set(self.costs)):
            wrong = "missing" if name in COST_NAMES else "unknown"
            yield Fault("/costs", f"{wrong} key {quoted(name)}", "the keys " + ", ".join(COST_NAMES))
        if self.status in ("infeasible", "unknown"):
            for key in LISTS:
                if getattr(self, key):
                    yield Fault(f"/{key}", f"a plan that is {self.status} has {key}", "an empty list")
        for key in ("tasks", "finishes", "casts", "jobs", "orders"):
            yield from twice_faults((f"/{key}/{i}", x.id) for i, x in enumerate(getattr(self, key)))
        shared = [(f"/{k}/{i}", x.id) for k in ("batches", "firings", "lots") for i, x in enumerate(getattr(self, k))]
        yield from twice_faults(shared, "batches, firings and lots together")
