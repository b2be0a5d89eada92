"""One way to run CP-SAT: bounded in time or in work, stoppable from outside, sparing with presolve."""

from __future__ import annotations

import threading

from ortools.sat.python import cp_model

POLL = 0.05  # seconds between looks at the wish to stop
SOLVER_UNIT = 2.5  # seconds that one unit of the solver's deterministic time takes on an ordinary machine, about
FAR = 600.0  # seconds that end a run bounded in work on a machine that hardly moves


def run(
    model: cp_model.CpModel,
    seconds: float,
    *,
    workers: int = 1,
    seed: int = 0,
    stop: threading.Event | None = None,
    quick: bool = False,
    fix_hints: bool = False,
    repeatable: bool = False,
) -> tuple[int, cp_model.CpSolver]:
    """Solve ``model`` within ``seconds``; the status and the solver that holds the values.

    ``quick`` is for many small models one after another: it leaves out the slow parts of presolve.
    ``fix_hints`` asks for the one solution that the hints describe. ``repeatable`` takes ``seconds`` for the solver's
    own units of work and one worker, so that the same model gives the same answer whatever else the machine does.
    """
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = FAR if repeatable else max(0.05, seconds)
    if repeatable:
        solver.parameters.max_deterministic_time = max(0.05, seconds) / SOLVER_UNIT
    solver.parameters.num_workers = 1 if repeatable else workers
    solver.parameters.random_seed = seed
    if quick:
        solver.parameters.cp_model_probing_level = 0
        solver.parameters.symmetry_level = 0
        solver.parameters.max_presolve_iterations = 1
    solver.parameters.fix_variables_to_their_hinted_value = fix_hints
    if stop is None:
        return solver.solve(model), solver
    return _stoppable(model, solver, stop), solver


def work_of(solver: cp_model.CpSolver) -> float:
    """What a run counts on a clock of work: about its seconds on an ordinary machine."""
    return float(solver.response_proto.deterministic_time) * SOLVER_UNIT


def _stoppable(model: cp_model.CpModel, solver: cp_model.CpSolver, stop: threading.Event) -> int:
    """Solve while a thread waits for ``stop``: a signal handler would run only after the solver returns."""
    over = threading.Event()

    def watch() -> None:
        while not over.is_set():
            if stop.wait(POLL):
                solver.stop_search()
                return

    watcher = threading.Thread(target=watch, daemon=True)
    watcher.start()
    try:
        return solver.solve(model)
    finally:
        over.set()
        watcher.join()
