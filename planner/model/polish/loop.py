"""Polishing: one neighbourhood after another, each solved for a short while from the present plan."""

from __future__ import annotations

import random
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import NamedTuple, Protocol

from ortools.sat.python import cp_model

from planner.costs import with_costs
from planner.model.polish.build import SubModel, build
from planner.model.polish.context import TooHard
from planner.model.polish.freed import Freed
from planner.model.polish.neighbourhoods import WAYS, Picker
from planner.model.polish.rebuild import rebuilt
from planner.model.running import run
from planner.plan import Plan
from planner.resequence import resequence
from planner.scenario import Scenario

SLICE = 1.2  # seconds for one neighbourhood
LEAST_SCALE, MOST_SCALE = 0.5, 4.0
RESEQUENCE = "resequence"  # the way that needs no model


class Clock(Protocol):
    stop: threading.Event

    def left(self) -> float: ...


class Finds(Protocol):
    best: Plan

    def offer(self, plan: Plan) -> bool: ...

    def heard(self, plan: Plan | None) -> None: ...


@dataclass
class Way:
    """One kind of neighbourhood: how large it is taken and what it has given."""

    name: str
    scale: float = 1.0
    worth: float = 1.0  # gain a second, fading, against the others
    tried: int = 0
    gained: int = 0
    failed: dict[str, int] = field(default_factory=dict)

    def learn(self, gain: int, seconds: float, cost: int) -> None:
        self.tried += 1
        self.gained += gain
        part = 1000 * gain / max(1, cost) / max(0.05, seconds)  # thousandths of the cost a second
        self.worth = 0.9 * self.worth + 0.1 * min(part, 50.0)

    def fit(self, *, solved: bool, quickly: bool) -> None:
        """Larger while everything is solved in no time, smaller when time runs out."""
        factor = 1.1 if quickly else 1.0 if solved else 0.93
        self.scale = min(MOST_SCALE, max(LEAST_SCALE, self.scale * factor))


def polish(
    scenario: Scenario, finds: Finds, clock: Clock, seed: int, news: Callable[[], Plan | None], slice_: float = SLICE
) -> list[Way]:
    """Improve ``finds.best`` until the clock runs out; what the ways have given."""
    chance = random.Random(seed)
    ways = [Way(name) for name in (*WAYS, RESEQUENCE)]
    while clock.left() > 0.1:
        finds.heard(news())
        way = chance.choices(ways, [0.15 + w.worth for w in ways])[0]
        cost, begun = finds.best.cost, time.monotonic()
        if way.name == RESEQUENCE:
            resequence(scenario, finds.best, _Within(clock, 0.3), chance.randrange(10**6), finds.offer)
        else:
            _try(way, scenario, finds, clock, chance, min(slice_ * max(1.0, way.scale), 0.3 * clock.left() + 0.3))
        way.learn(cost - finds.best.cost, time.monotonic() - begun, cost)
    return ways


class _Within:
    """A clock of at most ``seconds`` of another."""

    def __init__(self, clock: Clock, seconds: float) -> None:
        self._clock, self._end = clock, time.monotonic() + seconds

    def left(self) -> float:
        return min(self._clock.left(), max(0.0, self._end - time.monotonic()))


def _try(way: Way, scenario: Scenario, finds: Finds, clock: Clock, chance: random.Random, seconds: float) -> None:
    plan = finds.best
    freed = Picker(scenario, plan, chance).pick(way.name, way.scale)
    if freed is None:
        return
    begun = time.monotonic()
    result = step(scenario, plan, freed, seconds, chance.randrange(10**6), clock.stop)
    if result.plan is not None:
        finds.offer(result.plan)
    elif result.why:
        way.failed[result.why] = way.failed.get(result.why, 0) + 1
    way.fit(solved=result.solved, quickly=result.solved and time.monotonic() - begun < seconds / 4)


class Result(NamedTuple):
    """A cheaper plan, or None and ``why`` not; ``solved`` if the neighbourhood holds nothing better."""

    plan: Plan | None
    why: str = ""
    solved: bool = False


def step(
    scenario: Scenario, plan: Plan, freed: Freed, seconds: float, seed: int, stop: threading.Event | None = None
) -> Result:
    """Look for a cheaper plan than ``plan`` (reckoned) in its neighbourhood ``freed``."""
    begun = time.monotonic()
    try:
        built = build(scenario, plan, freed)
    except TooHard:
        return Result(None, "too hard")
    if not _hinted(built, stop):
        return Result(None, "hint")
    left = seconds - (time.monotonic() - begun)
    if left < 0.05:
        return Result(None, "slow")
    status, solver = run(built.sub.m, left, workers=1, seed=seed, stop=stop, quick=True)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return Result(None, "none")
    solved = status == cp_model.OPTIMAL
    if solver.objective_value >= plan.cost - 0.5:
        return Result(None, solved=solved)
    better = rebuilt(built, solver)
    return Result(None, "moulds") if better is None else Result(with_costs(scenario, better), solved=solved)


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
