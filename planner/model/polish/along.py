"""A whole plan along the skeleton that a relaxation has found: everything is free, near where the skeleton has it.

The relaxation knows which firings, pressings and glazings are cheap together; the sub-model knows every rule. So one
search gives what no small change of the present plan reaches. It proves nothing: what the skeleton lacks is not tried.
"""

from __future__ import annotations

from dataclasses import replace

from ortools.sat.python import cp_model

from planner.clocks import Clock
from planner.costs import with_costs
from planner.dispatch.adopt import adopt
from planner.model.polish.build import SubModel, build
from planner.model.polish.context import TooHard
from planner.model.polish.freed import Freed
from planner.model.polish.rebuild import rebuilt
from planner.model.running import run
from planner.model.skeleton import Skeleton
from planner.plan import Plan
from planner.scenario import Scenario, Span


def along(scenario: Scenario, plan: Plan, skeleton: Skeleton, clock: Clock, seed: int) -> Plan | None:
    """A plan cheaper than ``plan`` that goes along ``skeleton``, if one is found before the clock runs out."""
    bare = _bare(scenario, plan)
    try:
        built = build(scenario, bare, _everything(scenario, bare, skeleton))
    except TooHard:
        return None
    m = built.sub.m
    m.clear_hints()  # they tell of the bare plan
    _follow(built, skeleton)
    m.add(sum(built.sub.costs) <= built.sub.promised.price(plan) - 1)
    status, solver = run(m, clock.left(), seed=seed, stop=clock.stop, quick=True)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return None
    better = rebuilt(built, solver)
    if better is not None and scenario.previous is not None:
        better = adopt(scenario.previous, scenario, better)
    return None if better is None else with_costs(scenario, better)


def _bare(scenario: Scenario, plan: Plan) -> Plan:
    """``plan`` without what it presses, fires and glazes, and what it finishes from that."""
    there = {w.id for w in scenario.wip} | {f.id for f in plan.firings if f.load is None}
    return replace(
        plan,
        batches=tuple(b for b in plan.batches if b.press is None),
        firings=tuple(f for f in plan.firings if f.load is None),
        lots=(),
        finishes=tuple(x for x in plan.finishes if x.source in there),
    )


def _everything(scenario: Scenario, bare: Plan, skeleton: Skeleton) -> Freed:
    return Freed(
        Span(0, scenario.horizon),
        batches=frozenset(b.id for b in bare.batches),
        firings=frozenset(f.id for f in bare.firings),
        finishes=frozenset(x.id for x in bare.finishes),
        casts=frozenset(c.id for c in scenario.casts),
        jobs=frozenset(j.id for j in bare.jobs),
        contents=True,
        new_batches=tuple(x.form for x in skeleton.pressed),
        new_firings=tuple((x.kiln, x.stage) for x in skeleton.lit),
        new_lots=tuple(x.order for x in skeleton.dipped),
        finishes_each=2,
        label="along",
    )


def _follow(built: SubModel, skeleton: Skeleton) -> None:
    """Hold what is new to the spans of the skeleton, and begin from its counts and programs."""
    m = built.sub.m
    batches = [b for b in built.batches.values() if not b.wip]
    for pressed, batch in zip(skeleton.pressed, batches, strict=True):
        assert batch.press is not None and batch.release is not None
        m.add(batch.press.start >= pressed.press.a).only_enforce_if(batch.kept)
        m.add(batch.press.end <= pressed.press.b).only_enforce_if(batch.kept)
        m.add(batch.release.end <= pressed.out_by).only_enforce_if(batch.kept)
        built.sub.hint(batch.count, pressed.count)
        built.sub.hint(batch.kept, True)
    firings = [f for f in built.firings.values() if not f.now]
    for lit, firing in zip(skeleton.lit, firings, strict=True):
        assert firing.load is not None
        m.add(firing.here == 1)
        m.add(firing.load.start >= lit.load.a)
        m.add(firing.load.end <= lit.load.b)
        m.add(firing.unload.end <= lit.drawn_by)
        built.sub.hint(firing.programs[lit.program], True)
    for dipped, lot in zip(skeleton.dipped, built.flows.lots.values(), strict=True):
        m.add(lot.glaze.start >= dipped.glaze.a).only_enforce_if(lot.here)
        m.add(lot.glaze.end <= dipped.glaze.b).only_enforce_if(lot.here)
        built.sub.hint(lot.count, dipped.count)
        built.sub.hint(lot.here, True)
