"""Windows from what clay, glaze, moulds and kilns ask for (R03, R04, R06, R07, R09, R10)."""

from __future__ import annotations

from itertools import pairwise

from planner.checks.kilns import stays
from planner.checks.waits import mould_turns, release_latest, release_window, step_latest, step_window
from planner.facts import Facts, Kilnful, Made
from planner.plan import Task
from planner.windows.bounds import Bounds
from planner.windows.work import stay_between


def narrow_by_ware(bounds: Bounds) -> None:
    """Narrow every task by the way of the ware, from the mould to the box."""
    for made in bounds.facts.made.values():
        _in_mould(bounds, made)
        _leather_hard(bounds, made)
    _resting(bounds)
    for kilnful in bounds.facts.kilnfuls:
        _kilnful(bounds, kilnful)
    _kilns(bounds)
    _after_kilns(bounds)


def _in_mould(bounds: Bounds, made: Made) -> None:
    window = release_window(made) if made.form is not None and made.release is not None else None
    if window is None or made.release is None:
        return
    bounds.follow(made.press, made.release, window.lo)
    if made.pressed_end is not None:
        bounds.starts_from(made.release, made.pressed_end + window.lo)
    latest = release_latest(made, window)
    bounds.ends_by(made.release, latest)
    if latest is not None and made.press is not None:
        # the first piece moves with the press task, minute by minute
        bounds.starts_from(made.press, made.press.start + made.release.end - latest)


def _leather_hard(bounds: Bounds, made: Made) -> None:
    for one, two in pairwise(made.steps):
        bounds.follow(one, two)
    for step, task in zip(made.todo, made.steps, strict=False):
        window = step_window(made, step)
        if window is None or task is None or made.taken_out is None:
            continue
        bounds.starts_from(task, made.taken_out.b + window.lo)
        bounds.ends_by(task, step_latest(made, window))
        bounds.ends_by(made.release, task.start - window.lo)
        bounds.starts_from(made.release, task.end - window.hi)


def _resting(bounds: Bounds) -> None:
    for turns in mould_turns(bounds.facts).values():
        for before, after in pairwise(turns):
            if before.form is not None:
                bounds.follow(before.release, after.press, before.form.mould_rest)


def _kilnful(bounds: Bounds, kilnful: Kilnful) -> None:
    facts, load, unload, fire = bounds.facts, kilnful.load, kilnful.unload, kilnful.firing.fire
    if kilnful.present:
        bounds.starts_from(unload, facts.opens(kilnful.firing.kiln))
        return
    if fire is not None:
        bounds.ends_by(load, fire)
        if kilnful.program is not None:
            bounds.starts_from(unload, fire + kilnful.program.fire + kilnful.program.cool)
    if load is None or kilnful.kiln is None:
        return
    bounds.starts_from(load, kilnful.kiln.free_at)
    if unload is not None:
        stay_between(bounds, load, unload, kilnful.kiln.closed)
    for part in kilnful.pieces:
        _ready(bounds, load, part.source)


def _ready(bounds: Bounds, load: Task, source: str) -> None:
    """Green ware is bone-dry and glaze is dry when it is loaded."""
    facts = bounds.facts
    green, glazed = facts.green.get(source), facts.glazed.get(source)
    bounds.starts_from(load, green.ready if green else glazed.ready if glazed else None)
    made, lot = facts.made.get(source), facts.lots.get(source)
    if made is not None and made.form is not None:
        bounds.ends_by(made.steps[-1] if made.steps else made.release, load.start - made.form.dry)
    form = facts.lot_form(lot) if lot is not None else None
    if lot is not None and form is not None:
        bounds.ends_by(facts.find(lot.glaze, "glaze"), load.start - form.glaze_dry)


def _kilns(bounds: Bounds) -> None:
    loads, unloads = _tasks(bounds.facts)
    for group in stays(bounds.facts).values():
        for one, two in pairwise(group):
            bounds.ends_by(unloads.get(one.firing), two.start)
            bounds.starts_from(loads.get(two.firing), one.end)


def _tasks(facts: Facts) -> tuple[dict[str, Task | None], dict[str, Task | None]]:
    kilnfuls = facts.kilnful.values()
    return {k.firing.id: k.load for k in kilnfuls}, {k.firing.id: k.unload for k in kilnfuls}


def _after_kilns(bounds: Bounds) -> None:
    """Ware is glazed or finished after it is out."""
    facts = bounds.facts
    _, unloads = _tasks(facts)
    for lot in facts.plan.lots:
        for part in lot.sources:
            glaze, ware = facts.find(lot.glaze, "glaze"), facts.bisque.get(part.source)
            bounds.starts_from(glaze, ware.at if ware else None)
            bounds.follow(unloads.get(part.source), glaze)
    for n in facts.plan.finishes:
        finish, fired = facts.find(n.task, "finish"), facts.fired.get(n.source)
        bounds.starts_from(finish, fired.at if fired else None)
        bounds.follow(unloads.get(n.source), finish)
