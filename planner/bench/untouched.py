"""Which tasks of the plan before an event leaves possible: what a person may expect to stay where it is."""

from __future__ import annotations

from collections.abc import Iterable

from planner.plan import Batch, Plan
from planner.scenario import Scenario


def untouched(before: Scenario, after: Scenario, plan: Plan) -> frozenset[str]:
    """Ids of the tasks of ``plan``, still to come, that the way from ``before`` to ``after`` does not make impossible.

    Impossible by itself is a task whose person or station is not there in its minutes, one on moulds, ware or casts
    that are gone or fewer, a firing while its kiln is closed, glazing and finishing for an order that has changed.
    With it goes what hangs on it: all later work on the same pieces. Of a firing, pieces of other forms or orders are
    other pieces; packing and drawing themselves go only with the last of their pieces. Work that merely stands in the
    way of something else, or that could pay better elsewhere, counts as untouched.
    """
    touched = _Touched(before, after, plan)
    touched.run()
    return frozenset(t.id for t in plan.tasks if t.start >= 0 and t.id not in touched.tasks)


class _Touched:
    """The tasks that an event touches, found by following the pieces from pressing to packing."""

    def __init__(self, before: Scenario, after: Scenario, plan: Plan) -> None:
        self._before, self._after, self._plan = before, after, plan
        self.tasks = {t.id for t in plan.tasks if not _attended(after, plan, t.id)}
        self._ware = {w.id for w in before.wip if not _still(after, w.id, w.count)}  # ids of ware and batches
        self._bisque: set[tuple[str, str]] = set()  # firing, form
        self._lots = set(self._ware)  # ids of lots and glazed ware
        self._glost: set[tuple[str, str]] = set()  # firing or fired ware, order
        self._orders = {o.id for o in before.orders if after.order.get(o.id) != o}

    def run(self) -> None:
        """Follow the pieces through the plan, stage by stage."""
        for b in self._plan.batches:
            if self._chain((b.press, b.release, *b.steps), b.id in self._ware or self._lost(b)):
                self._ware.add(b.id)
        self._fire("bisque")
        for x in self._plan.lots:
            form = self._before.order[x.order].form if x.order in self._before.order else ""
            fed = any(p.source in self._ware or (p.source, form) in self._bisque for p in x.sources)
            if self._chain((x.glaze,), fed or x.order in self._orders):
                self._lots.add(x.id)
        self._fire("glost")
        for n in self._plan.finishes:
            fed = n.source in self._ware or (n.source, n.order) in self._glost
            self._chain((n.task,), fed or n.order in self._orders)
        for c in self._plan.casts:
            self._chain((c.pour, c.lift), False)

    def _chain(self, ids: Iterable[str | None], touched: bool) -> bool:
        """Touch what follows on the first touched task of ``ids``; True if any is."""
        for t in ids:
            touched = touched or t in self.tasks
            if touched and t is not None:
                self.tasks.add(t)
        return touched

    def _lost(self, b: Batch) -> bool:
        """Whether a mould of the batch is gone."""
        there = {m.id for m in self._after.moulds} | {c.id for c in self._plan.casts}
        return b.press is not None and not there.issuperset(b.moulds)

    def _fire(self, stage: str) -> None:
        """Touch firings of ``stage`` and what comes out of them."""
        for f in self._plan.firings:
            program = None if f.program is None else self._before.kiln[f.kiln].program(f.program)
            if program is None:
                now = [w.id for w in self._before.wip if getattr(w, "kiln", None) == f.kiln]
                self._came_out(f.id, [x for x in now if f.unload in self.tasks or x in self._ware])
            elif program.stage == stage:
                gone = self._ware if stage == "bisque" else self._lots
                whole = all(p.source in gone for p in f.pieces) or self._closed(f.kiln, f.load, f.unload)
                whole = self._chain((f.load, f.unload), whole)
                out = [p.source for p in f.pieces if whole or p.source in gone]
                self._came_out(f.id, out)

    def _came_out(self, firing: str, sources: list[str]) -> None:
        """Touch what is made of the pieces of ``sources`` after ``firing``."""
        for source in sources:
            self._bisque.add((firing, self._form(source)))
            self._glost.add((firing, self._order(source)))

    def _form(self, source: str) -> str:
        if source in self._plan.batch:
            return self._plan.batch[source].form
        return self._before.ware[source].form if source in self._before.ware else ""

    def _order(self, source: str) -> str:
        if source in self._plan.lot:
            return self._plan.lot[source].order
        return str(getattr(self._before.ware.get(source), "order", ""))

    def _closed(self, kiln: str, load: str | None, unload: str) -> bool:
        task, there = self._plan.task, self._after.kiln.get(kiln)
        if there is None or load is None:
            return there is None
        return any(s.a < task[unload].end and s.b > task[load].start for s in there.closed)


def _still(after: Scenario, ware: str, count: int) -> bool:
    return ware in after.ware and after.ware[ware].count >= count


def _attended(after: Scenario, plan: Plan, task_id: str) -> bool:
    """Whether the person and the station of the task are there in its minutes."""
    t = plan.task[task_id]
    person = next((p for p in after.people if p.id == t.person), None)
    if person is None:
        return False
    minutes = sum(max(0, min(t.end, s.b) - max(t.start, s.a)) for s in (*person.hours, *person.extra))
    station = next((x for x in after.stations if x.id == t.station), None)
    if t.station is not None and station is None:
        return False
    return minutes >= t.end - t.start and not any(
        s.a < t.end and s.b > t.start for s in (station.closed if station else ())
    )
