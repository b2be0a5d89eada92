"""Ruin and recreate: the present plan laid in again with something left out, the rest filled by the dispatcher.

It moves what the exact sub-models cannot hold at once: a firing with all that went through it, the days from some
minute on, the lots of several orders.
"""

from __future__ import annotations

import random
from collections.abc import Iterable
from dataclasses import replace
from typing import TypeVar

from planner.clocks import Clock
from planner.costs import with_costs
from planner.dispatch import Habits, dispatch
from planner.dispatch.facts import DAY
from planner.dispatch.first import TRIED, effort
from planner.dispatch.kept import may_keep
from planner.dispatch.vary import MENDS, mutated
from planner.plan import Batch, Finish, Firing, Lot, Plan
from planner.promised import Promised
from planner.scenario import Scenario

EACH = 1.0  # of what a plan takes at first: laying in costs what is saved elsewhere
SLACK = 0.005  # how much dearer than the best a plan may be to go on from
PATIENCE = 80  # tries without a better plan before the walk goes back to where it began
BACK = 0.4  # of the tries put something back as it was in the plan before, where there is one
# batches, firings, lots, finishes: of which of them all that begins in some days is changed
KINDS = ((0, 1, 2, 3), (0, 1, 2, 3), (1, 2, 3), (2, 3), (0, 1), (1, 2), (0,), (1,), (3,))
NEW_HABITS = 0.5  # of the tries fill by habits near the tried ones, the others by these themselves

_T = TypeVar("_T", Batch, Firing, Lot, Finish)


class Recaster:
    """A walk from plan to plan that begins again wherever somebody else has found a better one."""

    def __init__(self, scenario: Scenario, chance: random.Random) -> None:
        self._scenario, self._chance = scenario, chance
        self._price = Promised(scenario).price
        self._habits = [replace(h, keep=scenario.horizon) for h in TRIED]
        self._base: Plan | None = None
        self._at: Plan | None = None
        self._since = 0

    def better(self, plan: Plan, clock: Clock) -> Plan | None:
        """The first plan cheaper than ``plan`` that the walk comes to until the clock runs out, or None."""
        if self._at is None or self._base is not plan:
            self._base = self._at = plan
        while clock.left() > 0:
            clock.spend(EACH * effort(self._scenario))
            made = dispatch(self._scenario, self._some_habits(), like=self._changed(self._at))
            if made is None:
                continue
            made = with_costs(self._scenario, made)
            if self._price(made) < self._price(plan):
                return made
            self._since += 1
            if self._since > PATIENCE:
                self._at, self._since = plan, 0
            elif self._price(made) <= self._price(plan) * (1 + SLACK):
                self._at = made
        return None

    def _some_habits(self) -> Habits:
        habits = self._chance.choice(self._habits)
        if self._chance.random() < NEW_HABITS:
            habits = mutated(habits, self._scenario, self._chance)
        return replace(habits, keep=self._scenario.horizon, keep_what="all", mend=self._chance.choice(MENDS))

    def _changed(self, plan: Plan) -> Plan:
        """The plan without something, or with something as it was in the plan before."""
        before = self._scenario.previous
        if before is not None and may_keep(self._scenario) and self._chance.random() < BACK:
            return crossed(plan, before, self._chance)
        return thinned(plan, self._chance)


def crossed(plan: Plan, before: Plan, chance: random.Random) -> Plan:
    """``plan`` with what begins in some days, of some kinds of things, as in the plan ``before``."""
    there = [t for t in before.tasks if t.start >= 0]
    if not there:
        return thinned(plan, chance)
    lo, hi = _some_days([t.start for t in there], chance)
    kinds = chance.choice(KINDS)
    gone, back = _begun(plan, lo, hi, kinds), _begun(before, max(0, lo), hi, kinds)
    mixed = {t.id: t for t in plan.tasks} | {t.id: t for t in before.tasks if t.id not in plan.task}
    ids = {t for things in _things(before) for x, *tasks in things if x in back for t in tasks if t is not None}
    mixed |= {t: before.task[t] for t in ids if t in before.task}

    def some(now: Iterable[_T], then: Iterable[_T]) -> tuple[_T, ...]:
        kept = [x for x in now if x.id not in gone and x.id not in back]
        return (*kept, *(x for x in then if x.id in back))

    return replace(
        plan,
        tasks=tuple(mixed.values()),
        batches=some(plan.batches, before.batches),
        firings=some(plan.firings, before.firings),
        lots=some(plan.lots, before.lots),
        finishes=some(plan.finishes, before.finishes),
    )


def thinned(plan: Plan, chance: random.Random) -> Plan:
    """``plan`` without some of its batches, firings, lots and finishes."""
    gone = chance.choice((_firings, _orders, _days, _days, _batches, _scattered))(plan, chance)
    return replace(
        plan,
        batches=tuple(b for b in plan.batches if b.id not in gone),
        firings=tuple(f for f in plan.firings if f.id not in gone),
        lots=tuple(x for x in plan.lots if x.id not in gone),
        finishes=tuple(n for n in plan.finishes if n.id not in gone),
    )


def _firings(plan: Plan, chance: random.Random) -> set[str]:
    """One to three firings after each other, mostly with what is drawn from them, at times with what goes in."""
    loads = sorted((plan.task[f.load].start, f.id) for f in plan.firings if f.load)
    if not loads:
        return set()
    first = chance.randrange(len(loads))
    gone = {f for _, f in loads[first : first + chance.choice((1, 1, 2, 3))]}
    if chance.random() < 0.7:
        drawn = {x.id for x in plan.lots if any(p.source in gone for p in x.sources)}
        gone |= drawn | {n.id for n in plan.finishes if n.source in gone}
    if chance.random() < 0.3:
        gone |= {p.source for f in plan.firings if f.id in gone for p in f.pieces}
    return gone


def _orders(plan: Plan, chance: random.Random) -> set[str]:
    """The glazing and sorting of one to three orders."""
    some = chance.sample([o.id for o in plan.orders], min(len(plan.orders), chance.choice((1, 2, 2, 3))))
    return {x.id for x in (*plan.lots, *plan.finishes) if x.order in some}


def _days(plan: Plan, chance: random.Random) -> set[str]:
    """What begins in some days, or from a minute on; all of it or only some kinds of things."""
    if not plan.tasks:
        return set()
    lo, hi = _some_days([t.start for t in plan.tasks], chance)
    return _begun(plan, lo, hi, chance.choice(KINDS))


def _some_days(starts: list[int], chance: random.Random) -> tuple[int, int]:
    lo = chance.choice(starts)
    return lo, lo + chance.choice((1, 2, 3, 5, 1000)) * DAY


def _things(plan: Plan) -> tuple[list[tuple[str | None, ...]], ...]:
    """By kind of thing: its id and its tasks, the first one first."""
    return (
        [(b.id, b.press, b.release, *b.steps) for b in plan.batches],
        [(f.id, f.load, f.unload) for f in plan.firings],
        [(x.id, x.glaze) for x in plan.lots],
        [(n.id, n.task) for n in plan.finishes],
    )


def _begun(plan: Plan, lo: int, hi: int, kinds: tuple[int, ...]) -> set[str]:
    """The ids of the things of ``kinds`` whose first task starts in ``[lo, hi)``."""
    task, things = plan.task, _things(plan)
    return {x[0] for k in kinds for x in things[k] if x[0] and x[1] in task and lo <= task[x[1] or ""].start < hi}


def _batches(plan: Plan, chance: random.Random) -> set[str]:
    """One to three batches of a form."""
    made = [b for b in plan.batches if b.press is not None]
    if not made:
        return set()
    form = chance.choice(made).form
    own = [b.id for b in made if b.form == form]
    return set(chance.sample(own, min(len(own), chance.choice((1, 2, 3)))))


def _scattered(plan: Plan, chance: random.Random) -> set[str]:
    """Anything, here and there."""
    part = chance.choice((0.05, 0.1, 0.2, 0.3))
    things = (*plan.batches, *plan.firings, *plan.lots, *plan.finishes)
    return {x.id for x in things if chance.random() < part}
