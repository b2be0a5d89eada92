"""Windows from people, stations, set-ups, jobs and casts (R01, R02, R11, R13)."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from itertools import pairwise

from planner.checks.attended import joined, span_around
from planner.checks.casts import holds
from planner.facts import Facts
from planner.plan import Task
from planner.scenario import Form, Span
from planner.windows.bounds import Bounds

DAY = 1440


def narrow_by_work(bounds: Bounds) -> None:
    """Narrow every task by who does it, where, and what it is attended work for."""
    _people(bounds)
    _stations(bounds)
    _set_ups(bounds)
    _jobs(bounds)
    _casts(bounds)


def _one_at_a_time(bounds: Bounds, tasks: Iterable[Task]) -> None:
    for one, two in pairwise(sorted(tasks, key=lambda t: (t.start, t.end))):
        bounds.follow(one, two)


def _people(bounds: Bounds) -> None:
    there = {p.id: joined(p.hours, p.extra) for p in bounds.facts.scenario.people}
    own: dict[str, list[Task]] = defaultdict(list)
    for task in bounds.facts.task.values():
        span = span_around(there.get(task.person, []), task.start, task.end)
        if span is not None:
            bounds.starts_from(task, span.a)
            bounds.ends_by(task, span.b)
        own[task.person].append(task)
    for tasks in own.values():
        _one_at_a_time(bounds, tasks)


def _stations(bounds: Bounds) -> None:
    own: dict[str, list[Task]] = defaultdict(list)
    for task in bounds.facts.task.values():
        station = bounds.facts.scenario.station.get(task.station) if task.station is not None else None
        if station is None:
            continue
        own[station.id].append(task)
        bounds.starts_from(task, station.free_at)
        stay_between(bounds, task, task, station.closed)
    for tasks in own.values():
        _one_at_a_time(bounds, tasks)


def stay_between(bounds: Bounds, first: Task, last: Task, closed: Iterable[Span]) -> None:
    """From the start of ``first`` to the end of ``last`` no ``closed`` span is met."""
    for span in closed:
        if span.b <= first.start:
            bounds.starts_from(first, span.b)
        elif span.a >= last.end:
            bounds.ends_by(last, span.a)


def _set_ups(bounds: Bounds) -> None:
    """A press stays on the side of midnight on which it, and the one after it, has the recheck it has now."""
    facts = bounds.facts
    at: dict[str | None, list[tuple[Task, Form]]] = defaultdict(list)
    for made in facts.made.values():
        if made.press is not None and made.form is not None:
            at[made.press.station].append((made.press, made.form))
    for presses in at.values():
        presses.sort(key=lambda p: (p[0].start, p[0].id))
        for (one, form), (two, other) in pairwise(presses):
            if form.tool == other.tool and other.recheck > 0:
                _recheck(bounds, one, two)


def _recheck(bounds: Bounds, one: Task, two: Task) -> None:
    scenario = bounds.facts.scenario
    first_day, second_day = scenario.day(one.start), scenario.day(two.start)
    midnight = second_day * DAY - scenario.midnight_offset
    if first_day < second_day:
        bounds.starts_by(one, midnight - 1)
        bounds.starts_from(two, (first_day + 1) * DAY - scenario.midnight_offset)
    else:
        bounds.starts_from(one, midnight)
        bounds.starts_by(two, midnight + DAY - 1)


def _jobs(bounds: Bounds) -> None:
    for listed in bounds.facts.plan.jobs:
        job, task = bounds.facts.scenario.job.get(listed.id), bounds.facts.find(listed.task, "job")
        if job is not None:
            bounds.starts_from(task, job.window.lo)
            bounds.ends_by(task, job.window.hi)


def _casts(bounds: Bounds) -> None:
    facts = bounds.facts
    pours: dict[str, Task | None] = {}
    lifts: dict[str, Task | None] = {}
    for listed in facts.plan.casts:
        known = facts.scenario.cast.get(listed.id)
        pour, lift = facts.find(listed.pour, "pour"), facts.find(listed.lift, "lift")
        pours[listed.id], lifts[listed.id] = pour, lift
        if known is None or lift is None:
            continue
        bounds.ends_from(pour, lift.start - known.lift_after.hi)
        bounds.ends_by(pour, lift.start - known.lift_after.lo)
        poured = known.poured if known.poured is not None else pour.end if pour else None
        if poured is not None:
            bounds.starts_from(lift, poured + known.lift_after.lo)
            bounds.starts_by(lift, poured + known.lift_after.hi)
    for group in holds(facts).values():
        for one, two in pairwise(group):
            bounds.ends_by(lifts[one.cast], two.start)
            bounds.starts_from(pours[two.cast], one.end)
    _first_presses(bounds, facts, lifts)


def _first_presses(bounds: Bounds, facts: Facts, lifts: dict[str, Task | None]) -> None:
    """A new mould dries before it is pressed in."""
    for made in facts.made.values():
        for mould_id in made.batch.moulds if made.press is not None else ():
            bounds.starts_from(made.press, facts.mould_ready(mould_id))
            cast, lift = facts.scenario.cast.get(mould_id), lifts.get(mould_id)
            if cast is not None and made.press is not None:
                bounds.ends_by(lift, made.press.start - cast.dry)
