"""Who does what, when, with which moulds, boards and kilns: the planner's answer, as frozen records."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

COST_NAMES = ("late", "tardy", "kwh", "setup", "cover", "extra", "cast", "spoil", "move", "pin")
STATUSES = ("optimal", "feasible", "infeasible", "unknown")
TASK_KINDS = ("press", "release", "load", "unload", "glaze", "finish", "pour", "lift", "job")  # and the forms' steps


@dataclass(frozen=True, slots=True)
class Task:
    id: str
    kind: str
    start: int
    end: int
    person: str
    station: str | None


@dataclass(frozen=True, slots=True)
class Batch:
    id: str
    form: str
    count: int
    moulds: tuple[str, ...]
    press: str | None  # task ids; None where that step lies in the past
    release: str | None
    steps: tuple[str, ...]
    covered_in_mould: bool
    covered: bool


@dataclass(frozen=True, slots=True)
class Part:
    """Pieces taken from one source (JSON keys "from" and "count")."""

    source: str
    count: int


@dataclass(frozen=True, slots=True)
class Firing:
    id: str
    kiln: str
    program: str | None  # None, with load and fire, for the load now in the kiln
    load: str | None
    fire: int | None
    unload: str
    pieces: tuple[Part, ...]


@dataclass(frozen=True, slots=True)
class Lot:
    """Pieces of one order glazed together."""

    id: str
    order: str
    count: int
    sources: tuple[Part, ...]  # JSON "from"
    glaze: str  # task id


@dataclass(frozen=True, slots=True)
class Finish:
    id: str
    order: str
    source: str  # JSON "from"
    count: int
    task: str


@dataclass(frozen=True, slots=True)
class CastPlan:
    id: str
    pour: str | None
    lift: str


@dataclass(frozen=True, slots=True)
class JobPlan:
    id: str
    task: str


@dataclass(frozen=True, slots=True)
class OrderDone:
    id: str
    done: int
    late_min: int
    reckoned: bool


@dataclass(frozen=True)
class Reason:
    """Why something is late, spoiled or impossible: a code with its things, minutes and counts."""

    code: str
    things: dict[str, str]
    minutes: dict[str, int]
    counts: dict[str, int]
    text: str


@dataclass(frozen=True)
class Plan:
    status: str
    cost: int
    costs: dict[str, int]
    bound: int | None
    tasks: tuple[Task, ...] = ()
    batches: tuple[Batch, ...] = ()
    firings: tuple[Firing, ...] = ()
    lots: tuple[Lot, ...] = ()
    finishes: tuple[Finish, ...] = ()
    casts: tuple[CastPlan, ...] = ()
    jobs: tuple[JobPlan, ...] = ()
    spoiled: tuple[str, ...] = ()
    orders: tuple[OrderDone, ...] = ()
    reasons: tuple[Reason, ...] = ()
    diagnostics: dict[str, Any] = field(default_factory=dict)

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
