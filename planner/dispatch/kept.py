"""Where the plan before had its tasks: what a repair holds on to.

A plan before may be nonsense by now. Nothing here trusts it: whatever is looked up may be missing.
"""

from __future__ import annotations

from dataclasses import replace

from planner.dispatch.facts import Facts
from planner.dispatch.shop import Shop, Slot
from planner.plan import Batch, Firing, Plan, Task
from planner.scenario import Scenario

NOTHING = Plan("unknown", 0, {}, None)  # a plan before where there is none
AFRESH = "afresh"  # among the diagnostics of the plan before: moves are priced, dates held, nothing begins from it


def afresh(scenario: Scenario) -> Scenario:
    """``scenario`` to be planned as if nobody could look at the plan before, which still prices every move.

    What a repair is measured against. It stands among the diagnostics, so that it goes wherever the scenario goes.
    """
    before = scenario.previous
    if before is None:
        return scenario
    return replace(scenario, previous=replace(before, diagnostics={**before.diagnostics, AFRESH: True}))


def may_keep(scenario: Scenario) -> bool:
    """Whether there is a plan before that plans may begin from."""
    return scenario.previous is not None and not scenario.previous.diagnostics.get(AFRESH)


class Kept:
    """A plan before, by the things its tasks are for. Only tasks from minute 0 on are of interest."""

    def __init__(self, plan: Plan) -> None:
        self.plan = plan
        self._task = {t.id: t for t in reversed(plan.tasks)}
        self.batch: dict[str, Batch] = {b.id: b for b in reversed(plan.batches)}
        self._pour = {c.id: (c.pour, c.lift) for c in reversed(plan.casts)}
        self._job = {j.id: j.task for j in reversed(plan.jobs)}

    def task(self, task_id: str | None, kind: str) -> Task | None:
        """The task of that id and kind, if it starts at 0 or later."""
        t = self._task.get(task_id) if task_id is not None else None
        return t if t is not None and t.kind == kind and t.start >= 0 else None

    def any_task(self, task_id: str) -> Task | None:
        """The task of that id, of whatever kind, if it starts at 0 or later."""
        t = self._task.get(task_id)
        return t if t is not None and t.start >= 0 else None

    def release(self, batch: str) -> Task | None:
        b = self.batch.get(batch)
        return None if b is None else self.task(b.release, "release")

    def step_tasks(self, batch: str, kinds: list[str]) -> list[Task | None]:
        """The tasks of the last ``len(kinds)`` steps of the batch."""
        b = self.batch.get(batch)
        ids: list[str | None] = [] if b is None else list(b.steps)
        ids = ids[max(0, len(ids) - len(kinds)) :]
        ids = [*[None] * (len(kinds) - len(ids)), *ids]
        return [self.task(t, k) for t, k in zip(ids, kinds, strict=True)]

    def present(self, kiln: str) -> Firing | None:
        """The firing that is in the kiln now: not drawn yet and either present before or loaded meanwhile."""
        there = [
            f
            for f in self.plan.firings
            if f.kiln == kiln
            and self.task(f.unload, "unload") is not None
            and (f.load is None or self.task(f.load, "load") is None)
        ]
        return there[0] if there else None

    def unload(self, kiln: str) -> Task | None:
        f = self.present(kiln)
        return None if f is None else self.task(f.unload, "unload")

    def pour(self, cast: str) -> Task | None:
        return self.task(self._pour.get(cast, (None, ""))[0], "pour")

    def lift(self, cast: str) -> Task | None:
        return self.task(self._pour.get(cast, (None, ""))[1], "lift")

    def job(self, job: str) -> Task | None:
        return self.task(self._job.get(job), "job")


def form_of(facts: Facts, kept: Kept, source: str) -> int | None:
    """The form, by place, of ware that the plan before names; None where there is none of it."""
    if source in kept.batch:
        return facts.form_at.get(kept.batch[source].form)
    if source in facts.scenario.ware:
        return facts.form_at[facts.scenario.ware[source].form]
    order = facts.order_at.get(kept.plan.lot[source].order) if source in kept.plan.lot else None
    return None if order is None else facts.order_form[order]


def at_same(shop: Shop, task: Task | None, minutes: int, lo: int = 0, end: int = 1 << 40) -> Slot | None:
    """A slot at the very minute of ``task``, by the same person where that can be, or None.

    ``lo``: not before; ``end``: over by then. Another person or station may do it: that is no move.
    """
    if task is None or task.start < lo or task.start + minutes > min(end, shop.facts.horizon):
        return None
    return at_minute(shop, task.kind, task.start, minutes, task.person, task.station)


def at_minute(
    shop: Shop, kind: str, start: int, minutes: int, person: str | None = None, station: str | None = None
) -> Slot | None:
    """A slot for a task of ``kind`` at ``start``; the named person and station first."""
    facts = shop.facts
    s = facts.scenario
    places = facts.stations_of.get(kind)
    free: list[int | None] = [None]
    if places is not None:
        free = [x for x in places if shop.stations[x].holds(start, start + minutes)]
        free.sort(key=lambda x: x is None or s.stations[x].id != station)
    if not free:
        return None
    able = [p for p in facts.people_of.get(kind, ()) if shop.hours[p].holds(start, start + minutes)]
    if not able:
        return None
    who = min(able, key=lambda p: s.people[p].id != person)
    return start, who, free[0]
