"""What one scenario costs by each way of planning, and how long that takes. Runs in a process of its own."""

from __future__ import annotations

import time
from dataclasses import dataclass, field, replace

from planner.bench.events import EVENTS, after, moved
from planner.bench.machine import peaks
from planner.bench.saved import Saved
from planner.bench.season import season
from planner.checks import check
from planner.dispatch import first_plan
from planner.dispatch.hand import hand_plan
from planner.dispatch.kept import afresh
from planner.plan import Plan
from planner.scenario import Scenario
from planner.solve import Progress, solve


@dataclass(frozen=True)
class Asked:
    """How to measure. ``seconds`` ascend; ``apart``: a run of its own for each of them, else one run looked in on."""

    seconds: tuple[float, ...]
    workers: int = 2
    seeds: tuple[int, ...] = (0,)
    apart: bool = False
    repair_seconds: float | None = 2.0  # None: no repairs


@dataclass(frozen=True)
class Way:
    """A plan made at once: its cost (None: no plan), late orders and the seconds it took."""

    cost: int | None
    late: int
    seconds: float


@dataclass(frozen=True)
class Look:
    """The best plan at a moment of a search."""

    seconds: float
    cost: int | None
    bound: int | None


@dataclass(frozen=True)
class Searched:
    """One search: ``looks`` at the seconds asked for; ``ended`` = when it was over, ``status`` what came of it."""

    seed: int
    looks: tuple[Look, ...]
    ended: float
    status: str
    late: int

    @property
    def cost(self) -> int | None:
        return self.looks[-1].cost

    @property
    def bound(self) -> int | None:
        return self.looks[-1].bound


@dataclass(frozen=True)
class Repaired:
    """The plan after an event: the first, the best in the seconds given, and one made afresh in them."""

    event: str
    first_seconds: float
    first_cost: int | None
    first_moved: int
    tasks: int
    cost: int | None
    moved: int
    afresh: int | None


@dataclass(frozen=True)
class Measured:
    """All figures of one scenario. Memory in megabytes."""

    name: str
    size: str
    orders: int
    pieces: int
    tasks: int
    before: dict[str, int]
    hand: Way
    first: Way
    searches: tuple[Searched, ...]
    repairs: tuple[Repaired, ...] = ()
    memory: float = 0.0
    memory_child: float = 0.0
    invalid: tuple[str, ...] = field(default=())  # plans that the checker refused: there must be none


@dataclass(frozen=True)
class Grown:
    """A season of ``pieces``: the first plan, the hand rule, and the memory of the process that made them."""

    pieces: int
    orders: int
    days: int
    tasks: int
    hand: Way
    first: Way
    memory: float


def measure(saved: Saved, asked: Asked) -> Measured:
    """Measure the scenario ``saved`` as ``asked``."""
    scenario = saved.scenario()
    hand, _, faults = _at_once(scenario, "hand")
    first, plan, more = _at_once(scenario, "first")
    faults = [*faults, *more]
    searches = []
    for seed in asked.seeds:
        searched, plan = _search(scenario, asked, seed)
        searches.append(searched)
    repairs: tuple[Repaired, ...] = ()
    if plan is not None and plan.tasks and asked.repair_seconds is not None:
        repairs = tuple(_repair(scenario, plan, event, asked) for event in EVENTS)
    own, child = peaks()
    return Measured(
        saved.name,
        saved.size,
        len(scenario.orders),
        sum(o.qty for o in scenario.orders),
        len(plan.tasks) if plan else 0,
        saved.before,
        hand,
        first,
        tuple(searches),
        repairs,
        own,
        child,
        tuple(faults),
    )


def grow(saved: Saved, pieces: int) -> Grown:
    """The first plan of a season of ``pieces``."""
    scenario = season(saved.scenario(), pieces)
    first, plan, _ = _at_once(scenario, "first")
    memory = peaks()[0]
    hand, _, _ = _at_once(scenario, "hand")
    days = scenario.horizon // 1440
    return Grown(pieces, len(scenario.orders), days, len(plan.tasks) if plan else 0, hand, first, memory)


def _at_once(scenario: Scenario, way: str) -> tuple[Way, Plan | None, list[str]]:
    begun = time.perf_counter()
    plan = {"hand": hand_plan, "first": first_plan}[way](scenario)
    seconds = time.perf_counter() - begun
    if plan is None:
        return Way(None, 0, seconds), None, []
    faults = [f"{way}: {v}" for v in check(scenario, plan)]
    return Way(plan.cost, _late(plan), seconds), plan, faults


def _late(plan: Plan) -> int:
    return sum(o.late_min > 0 for o in plan.orders)


def _search(scenario: Scenario, asked: Asked, seed: int) -> tuple[Searched, Plan]:
    """The looks of one run at all seconds asked for, or of a run for each."""
    if not asked.apart:
        return _one_run(scenario, asked, seed, asked.seconds)
    looks: list[Look] = []
    for seconds in asked.seconds:
        searched, plan = _one_run(scenario, asked, seed, (seconds,))
        looks += searched.looks
    return replace(searched, looks=tuple(looks)), plan


def _one_run(scenario: Scenario, asked: Asked, seed: int, at: tuple[float, ...]) -> tuple[Searched, Plan]:
    seen: list[Progress] = []
    plan = solve(scenario, seconds=at[-1], workers=asked.workers, seed=seed, on_progress=seen.append)
    ended = float(plan.diagnostics.get("seconds", at[-1]))
    cost = plan.cost if plan.status in ("optimal", "feasible") else None
    looks = [_look(seen, seconds) for seconds in at]
    looks = [Look(x.seconds, cost, plan.bound) if x.seconds >= min(ended, at[-1]) else x for x in looks]
    return Searched(seed, tuple(looks), ended, plan.status, _late(plan)), plan


def _look(seen: list[Progress], seconds: float) -> Look:
    """What was reported last by ``seconds``."""
    last = next((p for p in reversed(seen) if p.seconds <= seconds), None)
    return Look(seconds, last.cost if last else None, last.bound if last else None)


def _repair(scenario: Scenario, before: Plan, event: str, asked: Asked) -> Repaired:
    changed = after(scenario, before, event)
    begun = time.perf_counter()
    first = solve(changed, seconds=0)
    first_seconds = time.perf_counter() - begun
    seconds = asked.repair_seconds or 0.0
    best = solve(changed, seconds=seconds, workers=asked.workers) if seconds else first
    return Repaired(
        event,
        first_seconds,
        _cost(first),
        moved(before, first),
        sum(t.start >= 0 for t in before.tasks),
        _cost(best),
        moved(before, best),
        _cost(solve(afresh(changed), seconds=seconds, workers=asked.workers)) if seconds else None,
    )


def _cost(plan: Plan) -> int | None:
    return plan.cost if plan.status in ("optimal", "feasible") else None
