"""A plan moved to another minute 0, and a plan whose new ids are made unique for ever."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace

from planner.plan import Batch, CastPlan, Finish, Firing, JobPlan, Lot, Part, Plan, Task

Rename = Callable[[str | None], str | None]


def moved(plan: Plan, by: int, done: Iterable[str] = ()) -> Plan:
    """``plan`` with ``by`` minutes added to every time: the same instants counted from another start.

    Tasks that are ``done`` lie in the past whatever their plan was, so one that was planned for later is put before 0.
    What it would say of orders and reasons at its own start is left out or moved along.
    """
    gone = set(done)
    return replace(
        plan,
        tasks=tuple(_moved_task(t, by, t.id in gone) for t in plan.tasks),
        firings=tuple(replace(f, fire=None if f.fire is None else f.fire + by) for f in plan.firings),
        orders=tuple(replace(o, done=o.done + by) for o in plan.orders),
        reasons=(),
        diagnostics={},
    )


def _moved_task(task: Task, by: int, done: bool) -> Task:
    start, end = task.start + by, task.end + by
    if done and start >= 0:
        start, end = start - end, 0
    return replace(task, start=start, end=end)


def ids_of(plan: Plan) -> Iterator[str]:
    """The ids that a plan gives: of tasks, batches, firings, lots and finishes."""
    for things in (plan.tasks, plan.batches, plan.firings, plan.lots, plan.finishes):
        yield from (x.id for x in things)


def renamed(plan: Plan, kept: set[str], new_id: Callable[[], str]) -> Plan:
    """``plan`` with a ``new_id`` for every id that it gives and that is not ``kept`` (nor of the load in a kiln)."""
    names: dict[str, str] = {}
    for old in ids_of(plan):
        if old not in kept and not old.startswith("now:"):
            names[old] = new_id()

    def name(old: str) -> str:
        return names.get(old, old)

    def maybe(old: str | None) -> str | None:
        return None if old is None else name(old)

    return replace(
        plan,
        tasks=tuple(replace(t, id=name(t.id)) for t in plan.tasks),
        batches=tuple(_batch(b, name, maybe) for b in plan.batches),
        firings=tuple(_firing(f, name, maybe) for f in plan.firings),
        lots=tuple(_lot(x, name) for x in plan.lots),
        finishes=tuple(_finish(n, name) for n in plan.finishes),
        casts=tuple(CastPlan(c.id, maybe(c.pour), name(c.lift), c.name) for c in plan.casts),
        jobs=tuple(JobPlan(j.id, name(j.task), j.name) for j in plan.jobs),
        spoiled=tuple(name(x) for x in plan.spoiled),
        reasons=tuple(replace(r, things={k: name(v) for k, v in r.things.items()}) for r in plan.reasons),
    )


def _batch(b: Batch, name: Callable[[str], str], maybe: Rename) -> Batch:
    steps = tuple(name(s) for s in b.steps)
    return replace(b, id=name(b.id), press=maybe(b.press), release=maybe(b.release), steps=steps)


def _firing(f: Firing, name: Callable[[str], str], maybe: Rename) -> Firing:
    return replace(f, id=name(f.id), load=maybe(f.load), unload=name(f.unload), pieces=_parts(f.pieces, name))


def _parts(parts: Iterable[Part], name: Callable[[str], str]) -> tuple[Part, ...]:
    return tuple(Part(name(p.source), p.count) for p in parts)


def _lot(x: Lot, name: Callable[[str], str]) -> Lot:
    return replace(x, id=name(x.id), sources=_parts(x.sources, name), glaze=name(x.glaze))


def _finish(n: Finish, name: Callable[[str], str]) -> Finish:
    return replace(n, id=name(n.id), source=name(n.source), task=name(n.task))
