"""The exact model of the must-do core alone: is there a plan at all? The lemma stands in :mod:`planner.core`."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import count

from ortools.sat.python import cp_model

from planner.clocks import Clock
from planner.core import CoreVerdict, Must, must
from planner.core_placement import CorePlacement
from planner.dispatch.kept import NOTHING
from planner.dispatch.kept import Kept as Before
from planner.model.attended import Floor, TaskVar
from planner.model.core_kept import Kept, keep_in_mould, keep_released, share_racks
from planner.model.core_reasons import core_reasons
from planner.model.running import run, work_of
from planner.plan import Batch, CastPlan, Firing, JobPlan, Task
from planner.scenario import Cast, InMould, Released, Scenario

TIDY_MOST, TIDY_PART = 2.0, 0.3  # seconds, and of the time left, for placing what is kept well


@dataclass
class CoreModel:
    """The model and the variables of each thing in it."""

    model: cp_model.CpModel
    floor: Floor
    unloads: dict[str, TaskVar] = field(default_factory=dict)
    batches: dict[str, Kept] = field(default_factory=dict)
    pours: dict[str, TaskVar] = field(default_factory=dict)
    lifts: dict[str, TaskVar] = field(default_factory=dict)
    jobs: dict[str, TaskVar] = field(default_factory=dict)


def decide(scenario: Scenario, clock: Clock) -> CoreVerdict:
    """Place the core giving up as few pieces as possible, or prove that it has no place. "unknown" if time runs out.

    Of the ways to place it that give up as few, one that leaves much at its minute in the plan before, and does the
    rest early, as far as a part of the time allows.
    """
    core = build(scenario, must(scenario), spoil_all=False)
    status, solver = _run(core, clock, clock.left())
    if status in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return CoreVerdict("feasible", placement(core, _tidied(core, solver, scenario, clock), scenario))
    if status == cp_model.INFEASIBLE:
        return CoreVerdict("infeasible", reasons=core_reasons(scenario, conflict(scenario, clock)))
    return CoreVerdict("unknown")


def _run(core: CoreModel, clock: Clock, seconds: float) -> tuple[int, cp_model.CpSolver]:
    status, solver = run(core.model, seconds, workers=2, stop=clock.stop, repeatable=clock.repeatable)
    clock.spend(work_of(solver))
    return status, solver


def _tidied(core: CoreModel, solver: cp_model.CpSolver, scenario: Scenario, clock: Clock) -> cp_model.CpSolver:
    """The solution with the core moved little and early; the one that is known where nothing better is found."""
    seconds = min(TIDY_MOST, clock.left() * TIDY_PART)
    if seconds <= 0:
        return solver
    values = list(solver.response_proto.solution)
    m = core.model
    m.clear_objective()
    m.add(_spoiled(core, scenario) <= round(solver.objective_value))
    m.clear_hints()
    m.proto.solution_hint.vars.extend(range(len(values)))
    m.proto.solution_hint.values.extend(values)
    m.minimize(_stirred(core, scenario))
    status, tidier = _run(core, clock, seconds)
    return tidier if status in (cp_model.OPTIMAL, cp_model.FEASIBLE) else solver


def _stirred(core: CoreModel, scenario: Scenario) -> cp_model.LinearExprT:
    """Days after minute 0 summed over the tasks, in minutes; a moved task counts like all days there are."""
    cost: cp_model.LinearExprT = 0
    for task, old in _with_before(core, scenario):
        cost += task.start
        if old is not None and old.start <= scenario.horizon:
            same = core.model.new_bool_var(f"same:{old.id}")
            core.model.add(task.start == old.start).only_enforce_if(same)
            core.model.add_implication(same, task.present)
            cost += scenario.horizon * (1 - same)
    return cost


def _with_before(core: CoreModel, scenario: Scenario) -> Iterator[tuple[TaskVar, Task | None]]:
    """All tasks of the core, each with the same in the plan before, if that is at 0 or later."""
    kept = Before(scenario.previous or NOTHING)
    yield from ((t, kept.unload(kiln)) for kiln, t in core.unloads.items())
    for batch in core.batches.values():
        if batch.release is not None:
            yield batch.release, kept.release(batch.id)
        yield from zip(batch.steps, kept.step_tasks(batch.id, [t.kind for t in batch.steps]), strict=True)
    yield from ((t, kept.pour(cast)) for cast, t in core.pours.items())
    yield from ((t, kept.lift(cast)) for cast, t in core.lifts.items())
    yield from ((t, kept.job(job)) for job, t in core.jobs.items())


def conflict(scenario: Scenario, clock: Clock) -> Must:
    """A part of what must be done that has no place already, as small as the time allows.

    Things are left out one after another; what can be left out with the rest still impossible is no part of it.
    """
    left = must(scenario)
    for name in ("unloads", "releases", "casts", "jobs"):
        for thing in getattr(left, name):
            if clock.left() <= 0:
                return left
            fewer = Must(**{**vars(left), name: tuple(x for x in getattr(left, name) if x is not thing)})
            if _run(build(scenario, fewer, spoil_all=True), clock, clock.left())[0] == cp_model.INFEASIBLE:
                left = fewer
    return left


def build(scenario: Scenario, wanted: Must, *, spoil_all: bool) -> CoreModel:
    """The core of ``wanted``; with ``spoil_all`` only what decides feasibility, else with all that may be kept."""
    m = cp_model.CpModel()
    core = CoreModel(m, Floor(m, scenario))
    _add_unloads(core, wanted)
    _add_batches(core, scenario, wanted, spoil_all)
    _add_casts(core, scenario, wanted, spoil_all)
    _add_jobs(core, wanted)
    core.floor.close()
    if not spoil_all:
        share_racks(m, scenario, list(core.batches.values()))
        core.model.minimize(_spoiled(core, scenario))
    return core


def _add_unloads(core: CoreModel, wanted: Must) -> None:
    for kiln, opens in wanted.unloads:
        window = (opens, core.floor.hi)
        core.unloads[kiln.id] = core.floor.task(f"unload:{kiln.id}", "unload", window, kiln.unload, least=kiln.unload)


def _add_batches(core: CoreModel, scenario: Scenario, wanted: Must, spoil_all: bool) -> None:
    for wip in wanted.releases:
        core.batches[wip.id] = keep_in_mould(core.model, core.floor, wip, spoil_all)
    for released in scenario.wip:
        if isinstance(released, Released) and not spoil_all:
            core.batches[released.id] = keep_released(core.model, core.floor, released)


def _add_casts(core: CoreModel, scenario: Scenario, wanted: Must, spoil_all: bool) -> None:
    """R11: the lift starts inside its window; casts that hold the same model or frame do not overlap."""
    m, floor = core.model, core.floor
    held: dict[str, list[cp_model.IntervalVar]] = {}
    for cast in wanted.casts:
        pour = floor.task(f"pour:{cast.id}", "pour", (0, floor.hi), cast.pour, least=cast.pour)
        lift = floor.task(f"lift:{cast.id}", "lift", (0, floor.hi), cast.lift, least=cast.lift)
        m.add(lift.start >= pour.end + cast.lift_after.lo)
        m.add(lift.start <= pour.end + cast.lift_after.hi)
        core.pours[cast.id], core.lifts[cast.id] = pour, lift
        _hold(m, held, cast, pour.start, lift)
    for cast in scenario.casts:
        if cast.poured is not None and not spoil_all:
            lifted = m.new_bool_var(f"lifted:{cast.id}")
            first, last = cast.poured + cast.lift_after.lo, cast.poured + cast.lift_after.hi
            window = (first, last + cast.lift)
            lift = floor.task(f"lift:{cast.id}", "lift", window, cast.lift, least=cast.lift, present=lifted)
            core.lifts[cast.id] = lift
            _hold(m, held, cast, 0, lift)
    for intervals in held.values():
        m.add_no_overlap(intervals)


def _hold(
    m: cp_model.CpModel,
    held: dict[str, list[cp_model.IntervalVar]],
    cast: Cast,
    begin: cp_model.IntVar | int,
    lift: TaskVar,
) -> None:
    size = m.new_int_var(0, 10**8, f"held:{cast.id}")
    end = m.new_int_var(0, 10**8, f"held-end:{cast.id}")
    m.add(end == lift.end)
    interval = m.new_optional_interval_var(begin, size, end, lift.present, f"hold:{cast.id}")
    for thing in cast.holds:
        held.setdefault(thing, []).append(interval)


def _add_jobs(core: CoreModel, wanted: Must) -> None:
    for job in wanted.jobs:
        core.jobs[job.id] = core.floor.task(
            f"job:{job.id}",
            "job",
            (job.window.lo, job.window.hi),
            job.minutes,
            least=job.minutes,
            person=job.person,
            station=job.station,
        )


def _spoiled(core: CoreModel, scenario: Scenario) -> cp_model.LinearExprT:
    """Pieces given up, and poured casts."""
    pieces = [b.count * (1 - b.kept) for b in core.batches.values()]
    lost = [1 - core.lifts[c.id].present for c in scenario.casts if c.poured is not None]
    return sum(pieces) + sum(lost)


def placement(core: CoreModel, solver: cp_model.CpSolver, scenario: Scenario) -> CorePlacement:
    """Where the solved ``core`` stands; tasks of the plan before keep their ids."""
    tasks: list[Task] = []
    names = _names(core, scenario)

    def place(task: TaskVar) -> str:
        at = solver.value(task.start)
        size = task.size if isinstance(task.size, int) else solver.value(task.size)
        person = next(p for p, chosen in task.people.items() if solver.boolean_value(chosen))
        station = next((s for s, chosen in task.stations.items() if solver.boolean_value(chosen)), None)
        tasks.append(Task(names[task.id], task.kind, at, at + size, person, station))
        return tasks[-1].id

    firings = [Firing(f"now:{k}", k, None, None, None, place(t), ()) for k, t in core.unloads.items()]
    batches, spoiled = [], []
    for batch_id, kept in core.batches.items():
        stays = solver.boolean_value(kept.kept)
        if not stays:
            spoiled.append(batch_id)
        release = None if kept.release is None else place(kept.release)
        steps = tuple(place(t) for t in kept.steps) if stays else ()
        batches.append(_batch(scenario, batch_id, release, steps, stays and solver.boolean_value(kept.covered)))
    casts = []
    for cast_id, lift in core.lifts.items():
        if solver.boolean_value(lift.present):
            pour = place(core.pours[cast_id]) if cast_id in core.pours else None
            casts.append(CastPlan(cast_id, pour, place(lift)))
        else:
            spoiled.append(cast_id)
    jobs = tuple(JobPlan(j, place(t)) for j, t in core.jobs.items())
    return CorePlacement(tuple(tasks), tuple(batches), tuple(firings), tuple(casts), jobs, tuple(spoiled))


def _names(core: CoreModel, scenario: Scenario) -> dict[str, str]:
    """A task id for each task of the core: that of the plan before, or one that it does not use."""
    known = set() if scenario.previous is None else {t.id for t in scenario.previous.tasks}
    fresh = (name for n in count(1) if (name := f"t{n}") not in known)
    given: set[str] = set()
    names = {}
    for task, old in _with_before(core, scenario):
        names[task.id] = old.id if old is not None and old.id not in given else next(fresh)
        given.add(names[task.id])
    return names


def _batch(scenario: Scenario, batch_id: str, release: str | None, steps: tuple[str, ...], covered: bool) -> Batch:
    wip = scenario.ware[batch_id]
    if isinstance(wip, InMould):
        return Batch(batch_id, wip.form, wip.count, wip.moulds, None, release, steps, wip.covered, covered)
    assert isinstance(wip, Released)
    return Batch(batch_id, wip.form, wip.count, (), None, None, steps, False, covered)
