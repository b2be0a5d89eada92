"""Putting the batches, firings, lots and finishes of a plan before into a shop again, in the order of their starts."""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass

from planner.dispatch.casting import book_cast, cast_as_before
from planner.dispatch.coming import Coming, Thing
from planner.dispatch.daily import days, fill_day
from planner.dispatch.kept import Kept
from planner.dispatch.pull import Pull
from planner.dispatch.replay_firings import replay_firing
from planner.dispatch.replay_pressing import replay_batch
from planner.dispatch.replay_ware import replay_finish, replay_lot
from planner.dispatch.shop import Shop, id_of
from planner.plan import Batch, CastPlan, Finish, Firing, Lot, Task

SORTS = {
    "all": (Batch, Firing, Lot, Finish, CastPlan),
    "fired": (Batch, Firing, Lot, CastPlan),
    "green": (Batch, CastPlan),
}


@dataclass
class Held:
    """Minutes kept free for tasks of the plan before: task id -> (person, station, start, end)."""

    shop: Shop
    spans: dict[str, tuple[int, int | None, int, int]]

    def hold(self, task: Task) -> None:
        """Keep the task's minutes free for it, if its person and station still have them."""
        shop = self.shop
        s = shop.facts.scenario
        person = next((i for i, p in enumerate(s.people) if p.id == task.person), None)
        station = next((i for i, x in enumerate(s.stations) if x.id == task.station), None)
        if person is None or task.id in self.spans or task.start < 0 or task.end <= task.start:
            return
        if not shop.hours[person].holds(task.start, task.end):
            return
        if station is not None and not shop.stations[station].holds(task.start, task.end):
            return
        self.spans[task.id] = (person, station, task.start, task.end)
        shop.regular[person].cut(task.start, task.end)
        shop.hours[person].cut(task.start, task.end)
        if station is not None:
            shop.stations[station].cut(task.start, task.end)

    def let_go(self, task_ids: list[str | None]) -> None:
        """Free the minutes again, for the tasks themselves or for others."""
        shop, facts = self.shop, self.shop.facts
        for t in task_ids:
            if t is None or t not in self.spans:
                continue
            person, station, start, end = self.spans.pop(t)
            shop.regular[person].give(start, end, facts.regular[person])
            shop.hours[person].give(start, end, facts.all_hours[person])
            if station is not None:
                shop.stations[station].give(start, end, facts.station_gaps[station])


def replay(shop: Shop, kept: Kept, pull: Pull) -> None:
    """Put what the plan before began by ``habits.keep`` and is still right into ``shop``, which holds the core.

    What it lacks is filled in after each day, or by :func:`planner.dispatch.run.fill` after all (``habits.mend``).
    """
    sorts = SORTS[pull.habits.keep_what]
    things = [x for x in _in_order(shop, kept, pull.habits.keep) if isinstance(x[1], sorts)]
    held = Held(shop, {})
    pins = set(shop.facts.scenario.pins)
    tasks = [t for _, thing in things for t in tasks_of(kept, thing)]
    for task in sorted(tasks, key=lambda t: (t.id not in pins, t.start)):
        held.hold(task)
    coming = Coming(shop, kept, guards=pull.habits.mend == "gentle")
    ahead = deque[tuple[int, int]]()  # days still to be filled
    if pull.habits.mend != "after":
        ahead.extend(days(shop.facts))
        for _, thing in things:
            coming.tell(thing)
    for start, thing in things:
        while ahead and ahead[0][1] <= start:
            _mend(shop, pull, *ahead.popleft())
        held.let_go([t.id for t in tasks_of(kept, thing)])
        coming.arrives(thing)
        _lay_in(shop, kept, pull, thing, pins)


def _mend(shop: Shop, pull: Pull, start: int, end: int) -> None:
    """Fill the day if something is owed that neither stands in the plan nor is to come."""
    if any(owed > coming for owed, coming in zip(shop.to_finish, shop.to_come.finished, strict=True)):
        fill_day(shop, pull, start, end)


def _lay_in(shop: Shop, kept: Kept, pull: Pull, thing: Thing, pins: set[str]) -> None:
    if isinstance(thing, Batch):
        replay_batch(shop, kept, pull, thing, pins)
    elif isinstance(thing, Firing):
        replay_firing(shop, kept, pull, thing)
    elif isinstance(thing, Lot):
        replay_lot(shop, kept, thing)
    elif isinstance(thing, Finish):
        replay_finish(shop, kept, thing)
    else:
        _replay_cast(shop, kept, thing)


def _in_order(shop: Shop, kept: Kept, until: int) -> list[tuple[int, Thing]]:
    """The things of the plan before that begin in ``[0, until)``, by the start of their first task; each id once."""
    taken = set(shop.facts.scenario.ware) | {b.id for b in shop.batches} | {c.id for c in shop.casts}
    found: list[tuple[int, Thing]] = []
    plan = kept.plan
    firsts: list[tuple[Thing, Task | None]] = [
        *((b, kept.task(b.press, "press")) for b in plan.batches),
        *((f, kept.task(f.load, "load")) for f in plan.firings if not f.id.startswith("now:")),
        *((x, kept.task(x.glaze, "glaze")) for x in plan.lots),
        *((c, kept.task(c.pour, "pour")) for c in plan.casts),
    ]
    for thing, task in firsts:
        if task is not None and task.start < until and thing.id not in taken:
            taken.add(thing.id)
            found.append((task.start, thing))
    names: set[str] = set()
    for n in plan.finishes:
        task = kept.task(n.task, "finish")
        if task is not None and task.start < until and n.id not in names:
            names.add(n.id)
            found.append((task.start, n))
    return sorted(found, key=lambda x: (x[0], x[1].id))


def tasks_of(kept: Kept, thing: Thing) -> list[Task]:
    """The tasks of a thing from minute 0 on."""
    if isinstance(thing, Batch):
        form = [kept.task(thing.press, "press"), kept.task(thing.release, "release")]
        steps = [t for t in (kept.any_task(x) for x in thing.steps) if t is not None]
        return [t for t in (*form, *steps) if t is not None]
    if isinstance(thing, Firing):
        pair = [kept.task(thing.load, "load"), kept.task(thing.unload, "unload")]
    elif isinstance(thing, Lot):
        pair = [kept.task(thing.glaze, "glaze")]
    elif isinstance(thing, Finish):
        pair = [kept.task(thing.task, "finish")]
    else:
        pair = [kept.task(thing.pour, "pour"), kept.task(thing.lift, "lift")]
    return [t for t in pair if t is not None]


def _replay_cast(shop: Shop, kept: Kept, thing: CastPlan) -> None:
    cast = shop.facts.scenario.cast.get(thing.id)
    if cast is None or cast.poured is not None or cast.required:
        return
    pour, lift = kept.pour(thing.id), kept.lift(thing.id)
    slots = cast_as_before(shop, cast, pour, lift)
    if slots is not None:
        book_cast(shop, cast, slots, (id_of(pour), id_of(lift)))
