"""A plan as it stands after part of it was done: what is left of it, told of the studio as it is now.

What the plan called a batch, a lot or a firing may meanwhile be pressed, glazed, packed or drawn: then the ware of the
record stands in its place. Whether what is left still fits is for the checks to say.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from planner.costs import with_costs
from planner.facts import NOW
from planner.plan import Batch, Finish, Firing, Lot, Part, Plan
from planner.scenario import Glazed, InKiln, InMould, Released, Scenario, Wip
from studio.record.state import State
from studio.translate.clip import clipped, in_their_minutes


def carried(plan: Plan, scenario: Scenario, state: State) -> Plan:
    """What is left of ``plan`` for ``scenario``, which has the same minute 0 and the state as it is by now.

    Its costs are those that it has in ``scenario``; it is neither optimal nor bounded any more.
    """
    left = clipped(_Carrying(plan, scenario, state).plan_left(), scenario)
    used = set(_task_ids(left))
    left = in_their_minutes(replace(left, tasks=tuple(t for t in left.tasks if t.id in used)), scenario)
    return with_costs(scenario, replace(left, status="feasible", bound=None, reasons=(), diagnostics={}))


@dataclass(frozen=True)
class _Carrying:
    plan: Plan
    scenario: Scenario
    state: State

    def plan_left(self) -> Plan:
        done = self.state.done_tasks
        firings = tuple(f for f in map(self._firing, self.plan.firings) if f is not None)
        lots = tuple(x for x in map(self._lot, self.plan.lots) if x is not None)
        return replace(
            self.plan,
            batches=tuple(b for b in map(self._batch, self.plan.batches) if b is not None),
            firings=firings,
            lots=lots,
            finishes=tuple(n for f in self.plan.finishes for n in self._finish(f)),
            casts=tuple(
                replace(c, pour=None if c.pour in done else c.pour)
                for c in self.plan.casts
                if c.lift not in done and c.id in self.scenario.cast
            ),
            jobs=tuple(j for j in self.plan.jobs if j.task not in done),
            spoiled=tuple(s for s in self.plan.spoiled if s in self.scenario.ware or s in self.scenario.cast),
        )

    def _batch(self, batch: Batch) -> Batch | None:
        """Still to press, in its moulds, leather-hard, or past all that the plan lists batches for."""
        ware = self.scenario.ware.get(batch.id)
        if ware is None:
            gone = batch.press is None or batch.press in self.state.done_tasks or batch.id in self.state.ids
            return None if gone else batch
        if isinstance(ware, InMould):
            return replace(batch, count=ware.count, moulds=ware.moulds, press=None, covered_in_mould=ware.covered)
        if isinstance(ware, Released):
            left = batch.steps[len(batch.steps) - self._steps_left(ware) :]
            covered = ware.covered and batch.id not in self.plan.spoiled
            return replace(batch, count=ware.count, moulds=(), press=None, release=None, steps=left, covered=covered,
                           covered_in_mould=False)  # fmt: skip
        return None

    def _steps_left(self, ware: Released) -> int:
        return len(self.scenario.form[ware.form].steps) - ware.steps_done

    def _firing(self, firing: Firing) -> Firing | None:
        """Still to pack, now in its kiln (under the name of such a load), or drawn."""
        if firing.is_now:
            present = any(isinstance(w, InKiln) and w.kiln == firing.kiln for w in self.scenario.wip)
            return firing if present and firing.unload not in self.state.done_tasks else None
        stands = self.state.firings.get(firing.id)
        if stands is None:
            return replace(firing, pieces=tuple(p for part in firing.pieces for p in self._now(part)))
        if stands.drawn is not None or not any(
            isinstance(w, InKiln) and w.kiln == firing.kiln for w in self.scenario.wip
        ):
            return None
        return Firing(NOW + firing.kiln, firing.kiln, None, None, None, firing.unload, (), firing.name)

    def _now(self, part: Part, form: str | None = None, order: str | None = None) -> list[Part]:
        """``part`` under the names that its pieces have now; pieces that are gone stay out."""
        stands = self.state.firings.get(part.source)
        if stands is not None and stands.drawn is None:
            return [Part(NOW + stands.kiln, part.count)]
        if part.source in self.scenario.ware:
            return [part]
        if part.source.startswith(NOW):
            kiln = part.source.removeprefix(NOW)
            if any(isinstance(w, InKiln) and w.kiln == kiln for w in self.scenario.wip):
                return [part]
            return self._out_of(self._last_firing(kiln), part.count, form, order)
        if stands is not None:
            return self._out_of(part.source, part.count, form, order)
        return [part]

    def _last_firing(self, kiln: str) -> str | None:
        drawn = [f for f in self.state.firings.values() if f.kiln == kiln and f.drawn is not None]
        return max(drawn, key=lambda f: (f.drawn or 0, f.id)).id if drawn else None

    def _out_of(self, firing: str | None, count: int, form: str | None, order: str | None) -> list[Part]:
        """``count`` pieces of the ware that came out of a firing, of this form or order, as far as they go."""
        found = []
        for ware in self.scenario.wip:
            stands = self.state.ware.get(ware.id)
            if stands is None or stands.firing != firing or not _is(ware, form, order):
                continue
            take = min(ware.count, count)
            if take > 0:
                found.append(Part(ware.id, take))
                count -= take
        return found

    def _lot(self, lot: Lot) -> Lot | None:
        """Still to glaze, or glazed (then it is ware)."""
        if lot.glaze in self.state.done_tasks or lot.id in self.state.ids:
            return None
        order = self.scenario.order.get(lot.order)
        if order is None:
            return lot
        sources = [p for part in lot.sources for p in self._now(part, form=order.form)]
        return replace(lot, sources=tuple(sources))

    def _finish(self, finish: Finish) -> list[Finish]:
        """Still to sort. One task sorts from one source: of several wares by now, from the one with most pieces."""
        if finish.task in self.state.done_tasks:
            return []
        parts = self._now(Part(finish.source, finish.count), order=finish.order)
        most = max(parts, key=lambda p: p.count, default=None)
        return [] if most is None else [replace(finish, source=most.source, count=most.count)]


def _is(ware: Wip, form: str | None, order: str | None) -> bool:
    if isinstance(ware, Glazed | InKiln):
        return False
    return (form is None or ware.form == form) and (order is None or getattr(ware, "order", None) == order)


def _task_ids(plan: Plan) -> Iterable[str]:
    for b in plan.batches:
        yield from (t for t in (b.press, b.release, *b.steps) if t is not None)
    for f in plan.firings:
        yield from (t for t in (f.load, f.unload) if t is not None)
    yield from (x.glaze for x in plan.lots)
    yield from (n.task for n in plan.finishes)
    for c in plan.casts:
        yield from (t for t in (c.pour, c.lift) if t is not None)
    yield from (j.task for j in plan.jobs)
