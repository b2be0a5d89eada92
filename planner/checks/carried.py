"""R13: work in progress is carried on or given up, and other jobs are done."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from planner.checks.violation import Violation
from planner.facts import Facts, Made
from planner.rules import Rule
from planner.scenario import InMould, Released


def _broken(text: str, **things: str) -> Violation:
    return Violation(Rule.R13, text, things)


def work_in_progress(facts: Facts) -> Iterator[Violation]:
    """R13: every batch goes its way to bone-dry unless it is given up, and every job is done in its window."""
    for ware in facts.scenario.wip:
        if isinstance(ware, InMould | Released) and ware.id not in facts.made:
            yield _broken(f"batch {ware.id}: is not carried on", batch=ware.id)
    for made in facts.batches:
        if isinstance(made.wip, InMould):
            yield from _in_mould(made, made.wip)
        elif isinstance(made.wip, Released):
            yield from _released(made, made.wip)
        elif made.batch.press is None:
            yield _broken(f"batch {made.batch.id}: neither under way nor pressed by the plan", batch=made.batch.id)
        yield from _way(made)
    yield from _given_up(facts)
    yield from _jobs(facts)


def _in_mould(made: Made, ware: InMould) -> Iterator[Violation]:
    batch = made.batch
    same = (
        batch.form == ware.form
        and batch.count == ware.count
        and sorted(batch.moulds) == sorted(ware.moulds)
        and batch.press is None
        and batch.covered_in_mould == ware.covered
    )
    if not same:
        yield _broken(f"batch {batch.id}: differs from wip", batch=batch.id)


def _released(made: Made, ware: Released) -> Iterator[Violation]:
    batch = made.batch
    same = (
        batch.form == ware.form
        and batch.count == ware.count
        and not batch.moulds
        and batch.press is None
        and batch.release is None
        and (batch.covered == ware.covered or made.spoiled)
    )
    if not same:
        yield _broken(f"batch {batch.id}: differs from wip", batch=batch.id)


def _way(made: Made) -> Iterator[Violation]:
    """Released and through all that is left to do; one that is given up is only taken out of its moulds."""
    batch = made.batch
    if batch.release is None and not isinstance(made.wip, Released):
        yield _broken(f"batch {batch.id}: is not taken out", batch=batch.id)
    if made.spoiled:
        if batch.steps:
            yield _broken(f"batch {batch.id}: is given up, and has steps", batch=batch.id)
        if batch.covered:
            yield _broken(f"batch {batch.id}: is given up, and covered", batch=batch.id)
    elif made.form is not None and len(batch.steps) != len(made.todo):
        text = f"batch {batch.id}: {len(batch.steps)} steps, {len(made.todo)} to do"
        yield _broken(text, batch=batch.id)


def _given_up(facts: Facts) -> Iterator[Violation]:
    for thing, times in Counter(facts.plan.spoiled).items():
        ware, cast = facts.scenario.ware.get(thing), facts.scenario.cast.get(thing)
        poured = cast is not None and cast.poured is not None
        if not poured and not isinstance(ware, InMould | Released):
            yield _broken(f"{thing} cannot be given up", thing=thing)
        if times > 1:
            yield _broken(f"{thing}: given up {times} times", thing=thing)
    for kilnful in facts.kilnfuls:
        for source in dict.fromkeys(p.source for p in kilnful.pieces):
            green = facts.green.get(source)
            if green is not None and green.spoiled:
                text = f"{kilnful.firing.id}: {source} is given up, and loaded"
                yield _broken(text, firing=kilnful.firing.id, source=source)


def _jobs(facts: Facts) -> Iterator[Violation]:
    listed = Counter(j.id for j in facts.plan.jobs)
    for job_id, times in listed.items():
        if job_id not in facts.scenario.job:
            yield _broken(f"job {job_id}: there is no such job", job=job_id)
        if times > 1:
            yield _broken(f"job {job_id}: in the plan {times} times", job=job_id)
    for due in facts.scenario.jobs:
        if due.id not in listed:
            yield _broken(f"job {due.id} is not done", job=due.id)
    for j in facts.plan.jobs:
        job, task = facts.scenario.job.get(j.id), facts.find(j.task, "job")
        if job is None or task is None:
            continue
        if task.start < job.window.lo:
            yield _broken(f"job {job.id}: {job.window.lo - task.start} min too early", job=job.id, task=task.id)
        if task.end > job.window.hi:
            yield _broken(f"job {job.id}: {task.end - job.window.hi} min too late", job=job.id, task=task.id)
