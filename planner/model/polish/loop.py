"""Polishing: one neighbourhood after another, each solved for a short while from the present plan."""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import NamedTuple, Protocol

from ortools.sat.python import cp_model

from planner.clocks import Clock
from planner.costs import with_costs
from planner.dispatch.adopt import adopt
from planner.dispatch.kept import may_keep
from planner.model.polish.build import SubModel, build
from planner.model.polish.context import TooHard
from planner.model.polish.freed import Freed
from planner.model.polish.neighbourhoods import BACK, MEND, WAYS, Picker
from planner.model.polish.rebuild import rebuilt
from planner.model.running import run, work_of
from planner.plan import Plan
from planner.recast import Recaster
from planner.resequence import resequence
from planner.scenario import Scenario

SLICE = 1.2  # seconds for one neighbourhood
LEAST_WORK = 0.01  # units that any try counts
EACH = 4e-5  # seconds that building and presolve take for each constraint, about: for clocks that count work
LEAST_SCALE, MOST_SCALE = 0.5, 4.0
FAR_OFF = 5.0  # a rival dearer by one part in so many is given up
RESEQUENCE, RECAST = "resequence", "recast"  # the ways that need no model
RECAST_SLICE = 0.8  # seconds for one walk of ruin and recreate


class Finds(Protocol):
    best: Plan

    def price(self, plan: Plan) -> int: ...

    def offer(self, plan: Plan) -> bool: ...

    def heard(self, plan: Plan | None) -> None: ...


@dataclass
class Way:
    """One kind of neighbourhood: how large it is taken and what it has given."""

    name: str
    scale: float = 1.0
    worth: float = 1.0  # gain a second, fading, against the others
    tried: int = 0
    failed: dict[str, int] = field(default_factory=dict)

    def learn(self, gain: int, seconds: float, cost: int) -> None:
        self.tried += 1
        part = 1000 * gain / max(1, cost) / max(0.05, seconds)  # thousandths of the cost a second
        self.worth = 0.8 * self.worth + 0.2 * min(part, 50.0)

    def fit(self, *, solved: bool, quickly: bool) -> None:
        """Larger while everything is solved in no time, smaller when time runs out."""
        factor = 1.25 if quickly else 1.0 if solved else 0.9
        self.scale = min(MOST_SCALE, max(LEAST_SCALE, self.scale * factor))


def polish(
    scenario: Scenario,
    finds: Finds,
    clock: Clock,
    seed: int,
    news: Callable[[], Plan | None],
    slice_: float = SLICE,
    rival: Plan | None = None,
) -> list[Way]:
    """Improve ``finds.best`` until the clock runs out; what the ways have given.

    A ``rival`` of another kind is improved beside it: a plan that was made afresh may overtake one that was repaired.
    """
    chance = random.Random(seed)
    again = (BACK, MEND) if may_keep(scenario) else ()
    ways = [Way(name) for name in (*WAYS, *again, RESEQUENCE, RECAST)]
    recaster = Recaster(scenario, chance)
    sides = (Way("best"), Way("rival"))
    while clock.left() > 0.1:
        finds.heard(news())
        way = chance.choices(ways, [0.15 + w.worth for w in ways])[0]
        aside = rival is not None and chance.random() < _share_of(rival, finds, *sides)
        plan, begun = (rival if aside and rival else finds.best), clock.now()
        clock.spend(LEAST_WORK)
        if way.name == RESEQUENCE:
            better = _resequenced(scenario, plan, finds, clock.within(0.3), chance.randrange(10**6))
        elif way.name == RECAST:
            better = recaster.better(plan, clock.within(RECAST_SLICE))
        else:
            within = clock.within(min(slice_ * max(1.0, way.scale), 0.3 * clock.left() + 0.3))
            better = _try(way, scenario, plan, within, chance)
        best = finds.best
        gain = 0
        if better is not None:
            gain = finds.price(plan) - finds.price(better)
            taken = finds.offer(better)
            if aside:
                rival = best if taken else better
        for learner in (way, sides[aside]):
            learner.learn(gain, clock.now() - begun, plan.cost)
    return ways


def _share_of(rival: Plan, finds: Finds, best: Way, other: Way) -> float:
    """The part of the tries for ``rival``: by what each side has gained of late, less the further it is off."""
    off = FAR_OFF * (finds.price(rival) / max(1, finds.price(finds.best)) - 1)
    weight = (0.15 + other.worth) * min(1.0, max(0.0, 1.0 - off))
    return weight / (0.15 + best.worth + weight)


def _resequenced(scenario: Scenario, plan: Plan, finds: Finds, clock: Clock, seed: int) -> Plan | None:
    """``plan`` with its finishes in a better order, if there is one."""
    better: list[Plan] = []

    def offer(other: Plan) -> None:
        if finds.price(other) < finds.price(better[-1] if better else plan):
            better.append(other)

    resequence(scenario, plan, clock, seed, offer)
    return better[-1] if better else None


def _try(way: Way, scenario: Scenario, plan: Plan, clock: Clock, chance: random.Random) -> Plan | None:
    """A better plan than ``plan`` from a neighbourhood of the kind ``way``, or None; the way learns its size."""
    freed = Picker(scenario, plan, chance).pick(way.name, way.scale)
    if freed is None:
        return None
    begun, seconds = clock.now(), clock.left()
    result = step(scenario, plan, freed, clock, chance.randrange(10**6))
    if result.why:
        way.failed[result.why] = way.failed.get(result.why, 0) + 1
    way.fit(solved=result.solved, quickly=result.solved and clock.now() - begun < seconds / 4)
    return result.plan


class Result(NamedTuple):
    """A cheaper plan, or None and ``why`` not; ``solved`` if the neighbourhood holds nothing better."""

    plan: Plan | None
    why: str = ""
    solved: bool = False


def step(scenario: Scenario, plan: Plan, freed: Freed, clock: Clock, seed: int) -> Result:
    """Look for a cheaper plan than ``plan`` (reckoned) in its neighbourhood ``freed`` until the clock runs out."""
    try:
        built = build(scenario, plan, freed)
    except TooHard:
        return Result(None, "too hard")
    clock.spend(len(built.sub.m.proto.constraints) * EACH)
    if not _hinted(built, clock):
        return Result(None, "hint")
    left = clock.left()
    if left < 0.05:
        return Result(None, "slow")
    status, solver = run(built.sub.m, left, seed=seed, stop=clock.stop, quick=True, repeatable=clock.repeatable)
    clock.spend(work_of(solver))
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return Result(None, "none")
    solved = status == cp_model.OPTIMAL
    if solver.objective_value >= built.sub.promised.price(plan) - 0.5:
        return Result(None, solved=solved)
    better = rebuilt(built, solver)
    if better is None:
        return Result(None, "moulds", solved)
    if scenario.previous is not None:
        better = adopt(scenario.previous, scenario, better)
    return Result(with_costs(scenario, better), solved=solved)


def _hinted(built: SubModel, clock: Clock) -> bool:
    """Make the present plan a hint for every variable; False if the sub-model does not hold it."""
    status, solver = run(
        built.sub.m, 1.0, stop=clock.stop, quick=True, fix_hints=True, repeatable=clock.repeatable
    )
    clock.spend(work_of(solver))
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return False
    m = built.sub.m
    values = list(solver.response_proto.solution)
    m.clear_hints()
    m.proto.solution_hint.vars.extend(range(len(values)))
    m.proto.solution_hint.values.extend(values)
    return True
