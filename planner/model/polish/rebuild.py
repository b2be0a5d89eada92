"""The plan that a solved sub-model describes."""

from __future__ import annotations

from dataclasses import replace

from ortools.sat.python import cp_model

from planner.model.polish.batches import BatchVar
from planner.model.polish.build import SubModel
from planner.model.polish.context import Literal, Number
from planner.model.polish.moulds import Wanted, given_out
from planner.plan import Batch, CastPlan, Finish, Firing, Lot, Part, Plan, Task


class _Reader:
    """The values of a solution."""

    def __init__(self, built: SubModel, solver: cp_model.CpSolver) -> None:
        self.built, self.solver = built, solver

    def value(self, x: Number) -> int:
        return x if isinstance(x, int) else self.solver.value(x)

    def true(self, lit: Literal) -> bool:
        return self.solver.boolean_value(lit)


def rebuilt(built: SubModel, solver: cp_model.CpSolver) -> Plan | None:
    """The plan, not reckoned yet; None where equal moulds could not be told apart again."""
    read = _Reader(built, solver)
    plan = built.sub.plan
    moulds = _moulds(read)
    if moulds is None:
        return None
    kept, spoiled = _batches(read, moulds)
    casts, lost = _casts(read)
    made = replace(
        plan,
        batches=kept,
        casts=casts,
        spoiled=(*spoiled, *lost),
        firings=_firings(read),
        lots=_lots(read),
        finishes=_finishes(read),
        status="feasible",
        bound=None,
        reasons=(),
    )
    return replace(made, tasks=_tasks(read, _task_ids(made)))


def _task_ids(plan: Plan) -> set[str]:
    """Ids of the tasks that the things of ``plan`` need."""
    used: set[str | None] = {j.task for j in plan.jobs}
    for b in plan.batches:
        used |= {b.press, b.release, *b.steps}
    for f in plan.firings:
        used |= {f.load, f.unload}
    used |= {x.glaze for x in plan.lots} | {x.task for x in plan.finishes}
    for c in plan.casts:
        used |= {c.pour, c.lift}
    return {u for u in used if u is not None}


def _tasks(read: _Reader, used: set[str]) -> tuple[Task, ...]:
    sub = read.built.sub
    out = [t for t in sub.plan.tasks if t.id in used and t.id not in sub.tasks]
    for task_id, var in sub.tasks.items():
        if task_id in used:
            start = read.value(var.start)
            person = next(p for p, lit in var.people.items() if read.true(lit))
            station = next((s for s, lit in var.stations.items() if read.true(lit)), None)
            out.append(Task(task_id, var.kind, start, start + read.value(var.size), person, station))
    return tuple(sorted(out, key=lambda t: (t.start, t.id)))


def _moulds(read: _Reader) -> dict[str, tuple[str, ...]] | None:
    """Moulds for every batch of a form of which something was free."""
    sub = read.built.sub
    out: dict[str, tuple[str, ...]] = {}
    for stock in read.built.stocks.values():
        ready = {c.id: read.value(c.lift.end) + sub.s.cast[c.id].dry for c in stock.casts if read.true(c.here)}
        wanted = []
        for b in stock.batches:
            if b.release is None:
                continue
            again = read.value(b.release.end) + b.form.mould_rest
            if b.press is None:
                ready |= dict.fromkeys(b.moulds, again)
            elif read.true(b.kept):
                count, worn = read.value(b.count), read.value(stock.worn[b.id])
                wanted.append(Wanted(read.value(b.press.start), again, b.id, count - worn, worn, b.moulds))
        given = given_out(stock, ready, wanted)
        if given is None:
            return None
        out |= given
    return out


def _batches(read: _Reader, moulds: dict[str, tuple[str, ...]]) -> tuple[tuple[Batch, ...], list[str]]:
    before = read.built.sub.plan.batch
    out, spoiled = [], []
    for b in read.built.batches.values():
        kept = read.true(b.kept)
        if b.wip and not kept:
            spoiled.append(b.id)
        if not b.free:
            old = before[b.id]
            out.append(replace(old, moulds=moulds.get(b.id, old.moulds)))
        elif kept or b.wip:
            out.append(_batch(read, b, kept, moulds))
    return tuple(out), spoiled


def _batch(read: _Reader, b: BatchVar, kept: bool, moulds: dict[str, tuple[str, ...]]) -> Batch:
    steps = b.step_ids if kept else ()
    covered = kept and read.true(b.covered)
    in_mould = read.true(b.covered_in_mould)
    given = moulds.get(b.id, b.moulds)
    return Batch(b.id, b.form.id, read.value(b.count), given, b.press_id, b.release_id, steps, in_mould, covered)


def _casts(read: _Reader) -> tuple[tuple[CastPlan, ...], list[str]]:
    sub, out, lost = read.built.sub, [], []
    for c in read.built.casts.values():
        if read.true(c.here):
            out.append(CastPlan(c.id, c.pour_id, c.lift_id))
        elif sub.s.cast[c.id].poured is not None:
            lost.append(c.id)
    kept = {c.id for c in out} | set(lost)
    lost += [s for s in sub.plan.spoiled if s in sub.s.cast and s not in kept]
    return tuple(out), lost


def _firings(read: _Reader) -> tuple[Firing, ...]:
    flows = read.built.flows
    parts: dict[str, dict[str, int]] = {}
    for ware in (*flows.green.values(), *flows.coated.values()):
        for firing, n in ware.loads:
            if (count := read.value(n)) > 0:
                into = parts.setdefault(firing, {})
                into[ware.id] = into.get(ware.id, 0) + count
    out = []
    for f in read.built.firings.values():
        if f.now:
            out.append(Firing(f.id, f.kiln.id, None, None, None, f.unload_id, ()))
        elif read.true(f.here):
            program = next(p for p, lit in f.programs.items() if read.true(lit))
            pieces = tuple(Part(s, n) for s, n in parts.get(f.id, {}).items())
            out.append(Firing(f.id, f.kiln.id, program, f.load_id, read.value(f.fire), f.unload_id, pieces))
    return tuple(out)


def _lots(read: _Reader) -> tuple[Lot, ...]:
    out = []
    for x in read.built.flows.lots.values():
        if read.true(x.here):
            sources = tuple(Part(s, read.value(n)) for s, n in x.sources if read.value(n) > 0)
            out.append(Lot(x.id, x.order, read.value(x.count), sources, x.task_id))
    return tuple(out)


def _finishes(read: _Reader) -> tuple[Finish, ...]:
    out = []
    for x in read.built.flows.finishes.values():
        if read.true(x.here):
            out.append(Finish(x.id, x.order, x.source, read.value(x.count), x.task_id))
    return tuple(out)
