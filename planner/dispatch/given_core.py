"""A shop whose must-do core stands where somebody else has placed it."""

from __future__ import annotations

from planner.core_placement import CorePlacement
from planner.dispatch.casting import settle_cast
from planner.dispatch.chain import Ask, Chain
from planner.dispatch.facts import Facts
from planner.dispatch.settle import (
    latest_out,
    settle_released,
    settle_spoiled_mould,
    settle_spoiled_released,
    settle_taken_out,
    settle_unload,
    stand_released,
)
from planner.dispatch.shop import Shop
from planner.plan import Batch, Task
from planner.scenario import InMould, Released


def apply_core(facts: Facts, core: CorePlacement) -> Shop:
    """Book all of ``core`` as it stands and note what it gives."""
    shop = Shop(facts)
    s = facts.scenario
    stand_released(shop)
    task = {t.id: t for t in core.tasks}
    people = {p.id: i for i, p in enumerate(s.people)}
    places = {x.id: i for i, x in enumerate(s.stations)}
    shop.taken_ids |= set(task)
    for t in core.tasks:
        _block(shop, t, people[t.person], None if t.station is None else places[t.station])
    for firing in core.firings:
        settle_unload(shop, s.kiln[firing.kiln], task[firing.unload])
    for cast in core.casts:
        start = 0 if cast.pour is None else task[cast.pour].start
        settle_cast(shop, s.cast[cast.id], start, task[cast.lift].end)
    shop.casts += core.casts
    shop.jobs += core.jobs
    shop.spoiled += [x for x in core.spoiled if x in s.cast]
    for batch in sorted(core.batches, key=lambda b: b.id not in core.spoiled):
        _settle_batch(shop, batch, task, batch.id in core.spoiled)
    return shop


def _block(shop: Shop, task: Task, person: int, station: int | None) -> None:
    shop.regular[person].cut(task.start, task.end)
    shop.hours[person].cut(task.start, task.end)
    if station is not None:
        shop.stations[station].cut(task.start, task.end)
    shop.tasks.append(task)


def _settle_batch(shop: Shop, batch: Batch, task: dict[str, Task], spoiled: bool) -> None:
    facts = shop.facts
    w = facts.scenario.ware[batch.id]
    form = facts.forms[facts.form_at[w.form]]
    release = None if batch.release is None else task[batch.release]
    steps = [task[t] for t in batch.steps]
    if isinstance(w, InMould) and release is not None:
        if spoiled:
            settle_spoiled_mould(shop, w, release)
            return
        ask = Ask(form, w.count, release.start, latest_out(facts, w), batch.covered)
        end = steps[-1].end if steps else release.end
        settle_taken_out(
            shop, w, ask, Chain(None, [], batch.covered, release.start, release.end, end, False), release, steps
        )
    elif isinstance(w, Released):
        if spoiled:
            settle_spoiled_released(shop, w)
            return
        ask = Ask(form, w.count, 0, 0, w.covered, w.steps_done, w.until)
        end = steps[-1].end
        settle_released(
            shop, w, ask, Chain(None, [], w.covered, w.released.a, w.released.b, end, False), steps
        )
