"""R01: people and stations."""

from __future__ import annotations

from bisect import bisect_right
from collections import defaultdict
from collections.abc import Iterable, Iterator

from planner.checks.violation import Violation
from planner.facts import Facts, Use
from planner.plan import Task
from planner.rules import Rule
from planner.scenario import Person, Span, Station


def _broken(text: str, **things: str) -> Violation:
    return Violation(Rule.R01, text, things)


def attended_work(facts: Facts) -> Iterator[Violation]:
    """R01: each task serves one thing, is done by one person who is there, at its station, in its time."""
    yield from _references(facts)
    yield from _services(facts)
    yield from _people(facts)
    yield from _stations(facts)


def _references(facts: Facts) -> Iterator[Violation]:
    """Every reference leads to a task of its kind that lasts what its work says (press: R02, glaze: R09)."""
    for use in facts.uses:
        task = facts.task.get(use.task)
        if task is None or (use.kind is not None and task.kind != use.kind):
            kind = f"{use.kind} task" if use.kind else "task"
            yield _broken(f"{use.role} {use.thing}: no {kind} {use.task}", **{use.role: use.thing, "task": use.task})
        elif use.minutes is not None and task.end - task.start != use.minutes:
            lasts = task.end - task.start
            text = f"task {task.id}: {task.kind} lasts {lasts} min, its work says {use.minutes}"
            yield _broken(text, **{"task": task.id, use.role: use.thing})


def _services(facts: Facts) -> Iterator[Violation]:
    """Each task has an id of its own, serves exactly one thing and lies inside the plan's time."""
    served: dict[str, list[Use]] = defaultdict(list)
    for use in facts.uses:
        served[use.task].append(use)
    seen: set[str] = set()
    for task in facts.plan.tasks:
        if task.id in seen:
            yield _broken(f"task {task.id}: two tasks have this id", task=task.id)
        seen.add(task.id)
        uses = served[task.id]
        if not uses:
            yield _broken(f"task {task.id}: serves nothing", task=task.id)
        elif len(uses) > 1:
            both = " and ".join(f"{u.role} {u.thing}" for u in uses[:2])
            yield _broken(f"task {task.id}: serves {both}", task=task.id)
        if task.start < 0:
            yield _broken(f"task {task.id}: starts {-task.start} min before now", task=task.id)
        late = task.end - facts.scenario.horizon
        if late > 0:
            yield _broken(f"task {task.id}: ends {late} min after the plan's last minute", task=task.id)
        if task.end < task.start:
            yield _broken(f"task {task.id}: ends before it starts", task=task.id)


def joined(*lists: Iterable[Span]) -> list[Span]:
    """The union of spans as sorted spans that do not touch."""
    out: list[Span] = []
    for a, b in sorted(span for spans in lists for span in spans):
        if out and a <= out[-1].b:
            out[-1] = Span(out[-1].a, max(b, out[-1].b))
        else:
            out.append(Span(a, b))
    return out


def span_around(spans: list[Span], start: int, end: int) -> Span | None:
    """That of the ``joined`` spans in which ``[start, end)`` lies wholly."""
    i = bisect_right(spans, start, key=lambda s: s.a) - 1
    return spans[i] if i >= 0 and end <= spans[i].b else None


def _people(facts: Facts) -> Iterator[Violation]:
    there = {p.id: joined(p.hours, p.extra) for p in facts.scenario.people}
    own: dict[str, list[Task]] = defaultdict(list)
    for task in facts.plan.tasks:
        person = facts.scenario.person.get(task.person)
        if person is None:
            yield _broken(f"task {task.id}: nobody is called {task.person}", task=task.id, person=task.person)
            continue
        own[person.id].append(task)
        yield from _hands(task, person, there[person.id])
    for use in facts.uses:
        yield from _asked_for(facts, use)
    for person_id, tasks in own.items():
        for one, two in overlaps(tasks):
            text = f"person {person_id}: {one.id} and {two.id} at once"
            yield _broken(text, person=person_id, task=one.id, other=two.id)


def _hands(task: Task, person: Person, there: list[Span]) -> Iterator[Violation]:
    if not person.can(task.kind):
        yield _broken(f"task {task.id}: {person.id} does not do {task.kind}", task=task.id, person=person.id)
    if span_around(there, task.start, task.end) is None:
        text = f"task {task.id}: {person.id} is not there {task.start}-{task.end}"
        yield _broken(text, task=task.id, person=person.id)


def _asked_for(facts: Facts, use: Use) -> Iterator[Violation]:
    """A job may ask for one person."""
    job, task = facts.scenario.job.get(use.thing) if use.role == "job" else None, facts.task.get(use.task)
    if job and task and job.person is not None and task.person != job.person:
        text = f"task {task.id}: job {job.id} is for {job.person}, not {task.person}"
        yield _broken(text, task=task.id, job=job.id, person=job.person)


def overlaps(tasks: Iterable[Task]) -> Iterator[tuple[Task, Task]]:
    """Neighbours in time of which the second starts before the first has ended."""
    last: Task | None = None
    for task in sorted(tasks, key=lambda t: (t.start, t.end)):
        if last is not None and task.start < last.end:
            yield last, task
        if last is None or task.end > last.end:
            last = task


def places(facts: Facts) -> dict[str, frozenset[str]]:
    """The stations at which each task may be done, by task id; empty where it names none."""
    given: dict[str, str] = {}
    for use in facts.uses:
        job = facts.scenario.job.get(use.thing) if use.role == "job" else None
        if job and job.station is not None:
            given[use.task] = job.station
    serving: dict[str, set[str]] = defaultdict(set)
    for station in facts.scenario.stations:
        for kind in station.kinds:
            serving[kind].add(station.id)
    return {t.id: frozenset((given[t.id],) if t.id in given else serving.get(t.kind, ())) for t in facts.plan.tasks}


def _stations(facts: Facts) -> Iterator[Violation]:
    allowed = places(facts)
    own: dict[str, list[Task]] = defaultdict(list)
    for task in facts.plan.tasks:
        right = allowed[task.id]
        if task.station is None:
            if right:
                yield _broken(f"task {task.id}: {task.kind} names no station", task=task.id)
            continue
        if not right:
            yield _broken(f"task {task.id}: names a station for nothing", task=task.id, station=task.station)
        elif task.station not in right:
            text = f"task {task.id}: {task.kind} is not done at {task.station}"
            yield _broken(text, task=task.id, station=task.station)
        station = facts.scenario.station.get(task.station)
        if station is not None:
            own[station.id].append(task)
            yield from _bench(task, station)
    for station_id, tasks in own.items():
        for one, two in overlaps(tasks):
            text = f"station {station_id}: {one.id} and {two.id} at once"
            yield _broken(text, station=station_id, task=one.id, other=two.id)


def _bench(task: Task, station: Station) -> Iterator[Violation]:
    if task.start < station.free_at:
        text = f"task {task.id}: {station.id} is free {station.free_at - task.start} min later"
        yield _broken(text, task=task.id, station=station.id)
    for span in station.closed:
        if task.start < span.b and span.a < task.end:
            text = f"task {task.id}: {station.id} is closed {span.a}-{span.b}"
            yield _broken(text, task=task.id, station=station.id)
