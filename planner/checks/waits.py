"""R03, R04 and R06: how long clay waits in the mould, leather-hard and drying."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from itertools import pairwise

from planner.checks.violation import Violation
from planner.facts import Facts, Made
from planner.rules import Rule
from planner.scenario import InMould, Released, Step, Window


def release(facts: Facts) -> Iterator[Violation]:
    """R03: taken out inside the window, and no mould pressed again before it has rested."""
    for made in facts.batches:
        yield from _taken_out(made)
    yield from _rest(facts)


def _taken_out(made: Made) -> Iterator[Violation]:
    batch, task = made.batch, made.release
    things = {"batch": batch.id}
    if made.form is None or isinstance(made.wip, Released):
        return
    window = release_window(made)
    if window is None:
        yield Violation(Rule.R03, f"batch {batch.id}: this form is never covered in the mould", things)
        return
    if task is None or made.pressed_end is None or made.first is None:
        return
    early = made.pressed_end + window.lo - task.start
    if early > 0:
        yield Violation(Rule.R03, f"batch {batch.id}: taken out {early} min too early", things)
    latest = release_latest(made, window)
    if latest is not None and task.end > latest:
        yield Violation(Rule.R03, f"batch {batch.id}: taken out {task.end - latest} min too late", things)


def release_window(made: Made) -> Window | None:
    """The wait in the mould that the batch's cover asks for; ``None`` if the form has no such cover."""
    assert made.form is not None
    covered = made.wip.covered if isinstance(made.wip, InMould) else made.batch.covered_in_mould
    return made.form.release_after_covered if covered else made.form.release_after


def release_latest(made: Made, window: Window) -> int | None:
    """Minute by which the batch must be out of its moulds; ``None`` for one that is given up."""
    if made.spoiled or made.first is None:
        return None
    if isinstance(made.wip, InMould) and made.wip.until is not None:
        return made.wip.until
    return made.first + window.hi


def mould_turns(facts: Facts) -> dict[str, list[Made]]:
    """The batches of each mould in the order in which they were pressed; what is in it now comes first."""
    turns: dict[str, list[Made]] = defaultdict(list)
    for made in facts.made.values():
        if isinstance(made.wip, InMould) or made.press is not None:
            for mould_id in set(made.wip.moulds if isinstance(made.wip, InMould) else made.batch.moulds):
                turns[mould_id].append(made)
    for batches in turns.values():
        batches.sort(key=lambda m: (m.press is not None, m.press.start if m.press else 0))
    return turns


def _rest(facts: Facts) -> Iterator[Violation]:
    for mould_id, batches in mould_turns(facts).items():
        for before, after in pairwise(batches):
            if after.press is None or before.form is None:
                continue
            one, two = before.batch.id, after.batch.id
            things = {"mould": mould_id, "batch": two, "other": one}
            if before.release is None:
                yield Violation(Rule.R03, f"mould {mould_id}: {two} pressed while {one} is in it", things)
                continue
            early = before.release.end + before.form.mould_rest - after.press.start
            if early > 0:
                text = f"mould {mould_id}: {two} pressed {early} min before it has rested from {one}"
                yield Violation(Rule.R03, text, things)


def steps(facts: Facts) -> Iterator[Violation]:
    """R04: leather-hard work in order and inside its windows."""
    for made in facts.batches:
        if made.form is None:
            continue
        if not made.todo:
            if made.batch.covered and not made.spoiled:
                yield _too(made, "covered for nothing")
            continue
        yield from _order(made)
        for i, step in enumerate(made.todo):
            yield from _step(made, i, step)


def _too(made: Made, text: str) -> Violation:
    return Violation(Rule.R04, f"batch {made.batch.id}: {text}", {"batch": made.batch.id})


def _order(made: Made) -> Iterator[Violation]:
    for i, (one, two) in enumerate(pairwise(made.steps)):
        if one is not None and two is not None and two.start < one.end:
            before = made.todo[i].kind if i < len(made.todo) else one.kind
            yield _too(made, f"{two.kind} starts {one.end - two.start} min before {before} has ended")


def step_window(made: Made, step: Step) -> Window | None:
    """The wait that the batch's cover asks for; ``None`` if it cannot wait covered."""
    covered = made.wip.covered if isinstance(made.wip, Released) else made.batch.covered
    return step.after_covered if covered else step.after


def step_latest(made: Made, window: Window) -> int | None:
    """Minute by which a step must be done."""
    if isinstance(made.wip, Released) and made.wip.until is not None:
        return made.wip.until
    return made.taken_out.a + window.hi if made.taken_out else None


def _step(made: Made, i: int, step: Step) -> Iterator[Violation]:
    window = step_window(made, step)
    if window is None:
        yield _too(made, f"cannot wait covered for {step.kind}")
        return
    task = made.steps[i] if i < len(made.steps) else None
    if task is None or made.taken_out is None:
        return
    early = made.taken_out.b + window.lo - task.start
    if early > 0:
        yield _too(made, f"{step.kind} {early} min too early")
    latest = step_latest(made, window)
    if latest is not None and task.end > latest:
        yield _too(made, f"{step.kind} {task.end - latest} min too late")


def dry(facts: Facts) -> Iterator[Violation]:
    """R06: nothing is loaded for bisque before it is bone-dry."""
    for kilnful in facts.kilnfuls:
        if kilnful.load is None:
            continue
        for part in kilnful.pieces:
            green = facts.green.get(part.source)
            if green is None or green.ready is None or kilnful.load.start >= green.ready:
                continue
            early = green.ready - kilnful.load.start
            text = f"{kilnful.firing.id}: {part.source} loaded {early} min before it is dry"
            yield Violation(Rule.R06, text, {"firing": kilnful.firing.id, "source": part.source})
