"""Ids of what is the same as in the plan before, so that nothing that stays put counts as moved."""

from __future__ import annotations

from collections.abc import Hashable, Iterator
from dataclasses import replace

from planner.plan import Plan, Task
from planner.scenario import Scenario

Key = tuple[Hashable, ...]


def adopt(before: Plan, scenario: Scenario, plan: Plan) -> Plan:
    """``plan`` with the task ids of the plan ``before`` for tasks that do the same at the same minute.

    Only tasks whose ids the plan does not use yet are renamed; nothing else changes.
    """
    mine = {t.id for t in plan.tasks}
    wanted: dict[Key, list[str]] = {}
    for key, task in _keys(scenario, before):
        if task.start >= 0 and task.id not in mine:
            wanted.setdefault(key, []).append(task.id)
    old = {t.id for t in before.tasks}
    names: dict[str, str] = {}
    given: set[str] = set()
    for key, task in _keys(scenario, plan):
        line = wanted.get(key)
        while line and line[0] in given:
            line.pop(0)
        if line and task.id not in old and task.id not in names:
            names[task.id] = line.pop(0)
            given.add(names[task.id])
    return renamed(plan, names) if names else plan


def _keys(scenario: Scenario, plan: Plan) -> Iterator[tuple[Key, Task]]:
    """What each task is for, with its minute: same key, same task."""
    task = plan.task
    for b in plan.batches:
        in_hand = b.id if b.id in scenario.ware else None
        for place, t in enumerate((b.press, b.release, *b.steps)):
            if t in task:
                yield ("batch", b.form, in_hand, min(place, 2), task[t].kind, task[t].start), task[t]
    for f in plan.firings:
        for t in (f.load, f.unload):
            if t in task:
                yield ("firing", f.kiln, task[t].kind, task[t].start), task[t]
    for lot in plan.lots:
        if lot.glaze in task:
            yield ("glaze", lot.order, task[lot.glaze].start), task[lot.glaze]
    for n in plan.finishes:
        if n.task in task:
            yield ("finish", n.order, task[n.task].start), task[n.task]
    for c in plan.casts:
        for t in (c.pour, c.lift):
            if t in task:
                yield ("cast", c.id, task[t].kind, task[t].start), task[t]
    for j in plan.jobs:
        if j.task in task:
            yield ("job", j.id, task[j.task].start), task[j.task]


def renamed(plan: Plan, names: dict[str, str]) -> Plan:
    """``plan`` with other ids for the tasks in ``names``."""

    def new(t: str | None) -> str | None:
        return None if t is None else names.get(t, t)

    return replace(
        plan,
        tasks=tuple(replace(t, id=names.get(t.id, t.id)) for t in plan.tasks),
        batches=tuple(
            replace(
                b, press=new(b.press), release=new(b.release), steps=tuple(names.get(t, t) for t in b.steps)
            )
            for b in plan.batches
        ),
        firings=tuple(replace(f, load=new(f.load), unload=names.get(f.unload, f.unload)) for f in plan.firings),
        lots=tuple(replace(x, glaze=names.get(x.glaze, x.glaze)) for x in plan.lots),
        finishes=tuple(replace(n, task=names.get(n.task, n.task)) for n in plan.finishes),
        casts=tuple(replace(c, pour=new(c.pour), lift=names.get(c.lift, c.lift)) for c in plan.casts),
        jobs=tuple(replace(j, task=names.get(j.task, j.task)) for j in plan.jobs),
    )
