"""Polishing: one neighbourhood after another, each solved for a short while from the present plan."""

from __future__ import annotations

import random
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Protocol

from ortools.sat.python import cp_model

from planner.costs import with_costs
from planner.model.polish.build import SubModel, build
from planner.model.polish.context import TooHard
from planner.model.polish.freed import Freed
from planner.model.polish.neighbourhoods import Picker
from planner.model.polish.rebuild import rebuilt
from planner.model.running import run
from planner.plan import Plan
from planner.scenario import Scenario

SLICE = 1.2  # seconds for one neighbourhood


class Clock(Protocol):
    stop: threading.Event

    def left(self) -> float: ...


class Finds(Protocol):
    best: Plan

    def offer(self, plan: Plan) -> bool: ...

    def heard(self, plan: Plan | None) -> None: ...


@dataclass
class Tally:
    """What became of the neighbourhoods, by label."""

    tried: dict[str, int] = field(default_factory=dict)
    gained: dict[str, int] = field(default_factory=dict)
    failed: dict[str, int] = field(default_factory=dict)

    @staticmethod
    def count(into: dict[str, int], label: str, n: int = 1) -> None:
        into[label] = into.get(label, 0) + n


def polish(
    scenario: Scenario, finds: Finds, clock: Clock, seed: int, news: Callable[[], Plan | None], slice_: float = SLICE
) -> Tally:
    """Improve ``finds.best`` until the clock runs out; what became of the tries."""
    chance = random.Random(seed)
    tally = Tally()
    while clock.left() > 0.1:
        finds.heard(news())
        plan = finds.best
        freed = Picker(scenario, plan, chance).pick()
        if freed is None:
            continue
        Tally.count(tally.tried, freed.label)
        better, why = step(scenario, plan, freed, min(slice_, clock.left()), chance.randrange(10**6), clock.stop)
        if better is not None and finds.offer(better):
            Tally.count(tally.gained, freed.label, plan.cost - better.cost)
        elif why:
            Tally.count(tally.failed, f"{freed.label}:{why}")
    return tally


def step(
    scenario: Scenario, plan: Plan, freed: Freed, seconds: float, seed: int, stop: threading.Event | None = None
) -> tuple[Plan | None, str]:
    """A cheaper plan than ``plan`` (reckoned) in its neighbourhood ``freed``, or None and why not."""
    begun = time.monotonic()
    try:
        built = build(scenario, plan, freed)
    except TooHard:
        return None, "too hard"
    if not _hinted(built, stop):
        return None, "hint"
    left = seconds - (time.monotonic() - begun)
    if left < 0.05:
        return None, "slow"
    status, solver = run(built.sub.m, left, workers=1, seed=seed, stop=stop, quick=True)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return None, "none"
    if solver.objective_value >= plan.cost - 0.5:
        return None, ""
    better = rebuilt(built, solver)
    return (None, "moulds") if better is None else (with_costs(scenario, better), "")


def _hinted(built: SubModel, stop: threading.Event | None) -> bool:
    """Make the present plan a hint for every variable; False if the sub-model does not hold it."""
    status, solver = run(built.sub.m, 1.0, stop=stop, quick=True, fix_hints=True)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return False
    m = built.sub.m
    values = list(solver.response_proto.solution)
    m.clear_hints()
    m.proto.solution_hint.vars.extend(range(len(values)))
    m.proto.solution_hint.values.extend(values)
    return True
