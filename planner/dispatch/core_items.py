"""How each kind of must-do work finds its place: one function a kind, giving the function that places it.

What had a place in the plan before stays there where that is still right.
"""

from __future__ import annotations

from collections.abc import Callable
from itertools import product

from planner.dispatch.calendar import NEVER
from planner.dispatch.casting import book_cast, cast_as_before, find_cast
from planner.dispatch.chain import (
    Ask,
    Chain,
    book_chain,
    chain_as_before,
    find_chain,
    find_steps,
    steps_as_before,
)
from planner.dispatch.facts import DAY, Facts
from planner.dispatch.kept import Kept, at_same
from planner.dispatch.settle import (
    boards_of,
    earliest_out,
    latest_out,
    settle_released,
    settle_spoiled_mould,
    settle_spoiled_released,
    settle_taken_out,
    settle_unload,
)
from planner.dispatch.shop import Shop, Slot, id_of, meet
from planner.plan import JobPlan, Task
from planner.scenario import Cast, Form, InMould, Job, Kiln, Released

Place = Callable[[Shop], bool]  # books its thing, or says False


def unloading(kiln: Kiln, opens: int, kept: Kept) -> Place:
    before = kept.unload(kiln.id)

    def place(shop: Shop) -> bool:
        slot = at_same(shop, before, kiln.unload, opens)
        slot = slot or _first(shop, "unload", max(0, opens), kiln.unload)
        if slot is None:
            return False
        settle_unload(shop, kiln, shop.book("unload", slot, kiln.unload, id_of(before)))
        return True

    return place


def taking_out(w: InMould, kept: Kept) -> Place:
    def place(shop: Shop) -> bool:
        form = shop.facts.forms[shop.facts.form_at[w.form]]
        found = _out_as_before(shop, w, form, kept) or _out_anew(shop, w, form)
        if found is None:
            return False
        ask, chain = found
        before = (kept.release(w.id), *kept.step_tasks(w.id, [s.kind for s in form.steps]))
        release, steps = book_chain(shop, ask, chain, tuple(id_of(t) for t in before))
        settle_taken_out(shop, w, ask, chain, release, steps)
        return True

    return place


def _out_anew(shop: Shop, w: InMould, form: Form) -> tuple[Ask, Chain] | None:
    best: tuple[Ask, Chain] | None = None
    for extra in (False, True):
        for covered in (False, True) if form.steps else (False,):
            ask = Ask(form, w.count, earliest_out(shop.facts, w), latest_out(shop.facts, w), covered, extra=extra)
            chain = find_chain(shop, ask)
            if chain is not None and (best is None or chain.end < best[1].end):
                best = ask, chain
        if best is not None:
            return best
    return None


def _out_as_before(shop: Shop, w: InMould, form: Form, kept: Kept) -> tuple[Ask, Chain] | None:
    before = kept.batch.get(w.id)
    if before is None:
        return None
    lo, hi = earliest_out(shop.facts, w), latest_out(shop.facts, w)
    ask = Ask(form, w.count, lo, hi, bool(before.covered and form.steps), extra=True)
    chain = chain_as_before(shop, ask, kept.release(w.id), kept.step_tasks(w.id, [s.kind for s in form.steps]))
    return None if chain is None else (ask, chain)


def giving_up_mould(w: InMould, kept: Kept) -> Place:
    before = kept.release(w.id)

    def place(shop: Shop) -> bool:
        facts = shop.facts
        form = facts.forms[facts.form_at[w.form]]
        minutes, lo = form.release.minutes(w.count), earliest_out(facts, w)
        slot = at_same(shop, before, minutes, lo) or _first(shop, "release", lo, minutes)
        if slot is None:
            return False
        settle_spoiled_mould(shop, w, shop.book("release", slot, minutes, id_of(before)))
        return True

    return place


def finishing_leather(w: Released, kept: Kept) -> Place:
    def place(shop: Shop) -> bool:
        form = shop.facts.forms[shop.facts.form_at[w.form]]
        before = kept.step_tasks(w.id, [s.kind for s in form.steps[w.steps_done :]])
        for extra in (False, True):
            ask = Ask(form, w.count, 0, 0, w.covered, w.steps_done, w.until, extra)
            steps = steps_as_before(shop, ask, w.released.a, w.released.b, before)
            steps = steps or find_steps(shop, ask, w.released.a, max(0, w.released.b))[0]
            if not steps:
                continue
            end = steps[-1][0] + form.steps[-1].work.minutes(w.count)
            chain = Chain(None, steps, w.covered, w.released.a, w.released.b, end, extra)
            if w.covered and shop.drying.room(end) < boards_of(shop.facts, w):
                return False
            _, tasks = book_chain(shop, ask, chain, (None, *[id_of(t) for t in before]))
            settle_released(shop, w, ask, chain, tasks)
            return True
        return False

    return place


def giving_up_released(w: Released) -> Place:
    def place(shop: Shop) -> bool:
        settle_spoiled_released(shop, w)
        return True

    return place


def casting(cast: Cast, lo: int, kept: Kept) -> Place:
    pour, lift = kept.pour(cast.id), kept.lift(cast.id)

    def place(shop: Shop) -> bool:
        slots = cast_as_before(shop, cast, pour, lift)
        slots = slots or find_cast(shop, cast, lo, False) or find_cast(shop, cast, 0, False)
        slots = slots or find_cast(shop, cast, 0, True)
        if slots is None:
            return False
        book_cast(shop, cast, slots, (id_of(pour), id_of(lift)))
        return True

    return place


def giving_up_cast(cast: Cast) -> Place:
    def place(shop: Shop) -> bool:
        shop.spoiled.append(cast.id)
        return True

    return place


def doing(job: Job, late: bool, kept: Kept) -> Place:
    before = kept.job(job.id)

    def place(shop: Shop) -> bool:
        slot = job_as_before(shop, job, before) or job_slot(shop, job, late)
        if slot is None:
            return False
        task = shop.book("job", slot, job.minutes, id_of(before))
        shop.jobs.append(JobPlan(job.id, task.id))
        return True

    return place


def job_slot(shop: Shop, job: Job, late: bool) -> Slot | None:
    """A place for the job in its window: the latest or the earliest, extra hours only where nothing else is."""
    facts = shop.facts
    lo, hi = job.window.lo, min(job.window.hi, facts.horizon)
    stations, people = _job_needs(facts, job)
    for calendars in (shop.regular, shop.hours):
        best: Slot | None = None
        for p, station in product(people, stations):
            gaps = calendars[p]
            if station is not None:
                s = meet(gaps, shop.stations[station], lo, job.minutes, hi - job.minutes)
            elif late:
                s = gaps.find_last(lo, job.minutes, hi)
            else:
                s = gaps.find(lo, job.minutes, hi - job.minutes)
            if s >= 0 and (best is None or (s > best[0]) == late):
                best = s, p, station
        if best is not None:
            return best
    return None


def _job_needs(facts: Facts, job: Job) -> tuple[list[int | None], list[int]]:
    """The stations at which the job may be done ([None]: it names none), and the people who may do it."""
    s = facts.scenario
    stations: list[int | None] = [None]
    if job.station is not None:
        stations = [[x.id for x in s.stations].index(job.station)]
    elif facts.stations_of["job"] is not None:
        stations = list(facts.stations_of["job"])
    return stations, [p for p in facts.people_of["job"] if job.person in (None, s.people[p].id)]


def job_as_before(shop: Shop, job: Job, before: Task | None) -> Slot | None:
    """The job at the minute it had before, if that is in its window and somebody can."""
    if before is None:
        return None
    start, end = before.start, before.start + job.minutes
    stations, people = _job_needs(shop.facts, job)
    if start < job.window.lo or end > job.window.hi:
        return None
    free = [x for x in stations if x is None or shop.stations[x].holds(start, end)]
    able = [p for p in people if shop.hours[p].holds(start, end)]
    if not able or not free:
        return None
    return start, min(able, key=lambda p: shop.facts.scenario.people[p].id != before.person), free[0]


def _first(shop: Shop, kind: str, lo: int, minutes: int) -> Slot | None:
    """The earliest place in regular hours; extra hours only where there is none, or more than a day earlier."""
    regular = shop.find(kind, lo, minutes, NEVER)
    if regular is not None and regular[0] < lo + DAY:
        return regular
    slot = shop.find(kind, lo, minutes, NEVER, True)
    return slot if regular is None or (slot is not None and slot[0] < regular[0] - DAY) else regular
