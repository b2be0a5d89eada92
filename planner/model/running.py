"""One way to run CP-SAT: bounded in time, stoppable from outside, sparing with presolve."""

from __future__ import annotations

import threading

from ortools.sat.python import cp_model

POLL = 0.05  # seconds between looks at the wish to stop


def run(
    model: cp_model.CpModel,
    seconds: float,
    *,
    workers: int = 1,
    seed: int = 0,
    stop: threading.Event | None = None,
    quick: bool = False,
    fix_hints: bool = False,
) -> tuple[int, cp_model.CpSolver]:
    """Solve ``model`` within ``seconds``; the status and the solver that holds the values.

    ``quick`` is for many small models one after another: it leaves out the slow parts of presolve.
    ``fix_hints`` asks for the one solution that the hints describe.
    """
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = max(0.05, seconds)
    solver.parameters.num_workers = workers
    solver.parameters.random_seed = seed
    if quick:
        solver.parameters.cp_model_probing_level = 0
        solver.parameters.symmetry_level = 0
        solver.parameters.max_presolve_iterations = 1
    solver.parameters.fix_variables_to_their_hinted_value = fix_hints
    if stop is None:
        return solver.solve(model), solver
    return _stoppable(model, solver, stop), solver


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
