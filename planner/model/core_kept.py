"""Batches of the must-do core that are kept or given up: windows of R03 and R04, boards of R05."""

from __future__ import annotations

from dataclasses import dataclass

from ortools.sat.python import cp_model

from planner.model.attended import Floor, Literal, Number, TaskVar
from planner.scenario import Drying, InMould, Released, Scenario, Step


@dataclass
class Kept:
    """A batch in a mould or released, kept or spoiled. ``begin`` and ``leather_end``: when boards are taken."""

    id: str
    form: str
    count: int
    kept: Literal
    covered: Literal
    release: TaskVar | None
    steps: list[TaskVar]
    begin: Number
    leather_end: Number


def keep_in_mould(m: cp_model.CpModel, floor: Floor, wip: InMould, spoil_all: bool) -> Kept:
    """Taken out from ``lo`` on; in time and through its steps if it is kept."""
    form = floor.scenario.form[wip.form]
    window = form.release_after_covered if wip.covered else form.release_after
    assert window is not None
    size = form.release.minutes(wip.count)
    earliest = (wip.pressed.b + window.lo, floor.hi)
    release = floor.task(f"release:{wip.id}", "release", earliest, size, least=size)
    kept = m.new_bool_var(f"kept:{wip.id}")
    covered = m.new_bool_var(f"covered:{wip.id}")
    if spoil_all:
        m.add(kept == 0)
        return Kept(wip.id, wip.form, wip.count, kept, covered, release, [], release.start, release.end)
    latest = wip.first + window.hi if wip.until is None else wip.until
    m.add(release.end <= latest).only_enforce_if(kept)
    steps = _steps(m, floor, wip.id, wip.count, form.steps, kept)
    if not form.steps or any(s.after_covered is None for s in form.steps):
        m.add(covered == 0)
    for step, task in zip(form.steps, steps, strict=True):
        m.add(task.start >= release.end + step.after.lo).only_enforce_if(kept, ~covered)
        m.add(task.end <= release.start + step.after.hi).only_enforce_if(kept, ~covered)
        if step.after_covered is not None:
            m.add(task.start >= release.end + step.after_covered.lo).only_enforce_if(kept, covered)
            m.add(task.end <= release.start + step.after_covered.hi).only_enforce_if(kept, covered)
    end = steps[-1].end if steps else release.end
    return Kept(wip.id, wip.form, wip.count, kept, covered, release, steps, release.start, end)


def keep_released(m: cp_model.CpModel, floor: Floor, wip: Released) -> Kept:
    """What is left of its steps, inside the windows that count from its release, if it is kept."""
    form = floor.scenario.form[wip.form]
    kept = m.new_bool_var(f"kept:{wip.id}")
    todo = form.steps[wip.steps_done :]
    steps = _steps(m, floor, wip.id, wip.count, todo, kept)
    for step, task in zip(todo, steps, strict=True):
        window = step.after_covered if wip.covered else step.after
        assert window is not None
        latest = wip.released.a + window.hi if wip.until is None else wip.until
        m.add(task.start >= wip.released.b + window.lo).only_enforce_if(kept)
        m.add(task.end <= latest).only_enforce_if(kept)
    covered = m.new_constant(int(wip.covered))
    return Kept(wip.id, wip.form, wip.count, kept, covered, None, steps, min(0, wip.released.a), steps[-1].end)


def _steps(
    m: cp_model.CpModel, floor: Floor, batch: str, count: int, todo: tuple[Step, ...], kept: Literal
) -> list[TaskVar]:
    """Tasks for ``todo`` in order, present if ``kept``."""
    tasks: list[TaskVar] = []
    for step in todo:
        size = step.work.minutes(count)
        task = floor.task(f"{step.kind}:{batch}", step.kind, (0, floor.hi), size, least=size, present=kept)
        if tasks:
            m.add(task.start >= tasks[-1].end).only_enforce_if(kept)
        tasks.append(task)
    return tasks


def share_racks(m: cp_model.CpModel, scenario: Scenario, batches: list[Kept]) -> None:
    """R05 for damp and drying racks when nothing is loaded: what stands there stays.

    A rack that is over-full at 0 takes nothing until it has come down: an arrival asks for room at that minute.
    """
    end = scenario.horizon + 1
    boards = {b.id: -(-b.count // scenario.form[b.form].boards.green) for b in batches}
    damp, drying = [], []
    for b in batches:
        dry_kept, damp_kept = m.new_bool_var(f"drying:{b.id}"), m.new_bool_var(f"damp:{b.id}")
        m.add_bool_and([b.kept, b.covered]).only_enforce_if(damp_kept)
        m.add_bool_or([damp_kept, ~b.kept, ~b.covered])
        m.add_bool_and([b.kept, ~b.covered]).only_enforce_if(dry_kept)
        m.add_bool_or([dry_kept, ~b.kept, b.covered])
        damp.append((b.begin, b.leather_end, boards[b.id], damp_kept))
        drying.append((b.leather_end, end, boards[b.id], damp_kept))
        drying.append((b.begin, end, boards[b.id], dry_kept))
    for w in scenario.wip:
        if isinstance(w, Drying):
            drying.append((0, end, -(-w.count // scenario.form[w.form].boards.green), m.new_constant(1)))
    _rack(m, damp, scenario.racks.damp)
    _rack(m, drying, scenario.racks.drying)


def _rack(m: cp_model.CpModel, stays: list[tuple[Number, Number, int, Literal]], size: int) -> None:
    """Whatever arrives after minute 0 finds room: ``stays`` are (from, to, boards, present)."""
    if sum(boards for _, _, boards, _ in stays) <= size:
        return
    for i, (begin, _, boards, here) in enumerate(stays):
        if isinstance(begin, int):
            continue
        used = []
        for j, (a, b, n, present) in enumerate(stays):
            if i != j:
                there = m.new_bool_var("")
                before, after = m.new_bool_var(""), m.new_bool_var("")
                m.add(a > begin).only_enforce_if(before)
                m.add(b <= begin).only_enforce_if(after)
                m.add_bool_or([there, before, after, ~present])
                used.append(n * there)
        m.add(sum(used) + boards <= size).only_enforce_if(here)
