"""A mixed integer program that is built by rows and asked for the best bound on its least objective."""

from __future__ import annotations

import threading
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import timedelta
from typing import TypeAlias

from ortools.math_opt.python import mathopt

INFINITY = float("inf")
POLL = 0.05  # seconds between looks at the wish to stop

ENGINES = {"scip": mathopt.SolverType.GSCIP, "highs": mathopt.SolverType.HIGHS}

Var: TypeAlias = mathopt.Variable
Term: TypeAlias = tuple[float, Var]


@dataclass(frozen=True)
class Outcome:
    """``bound``: no solution has a smaller objective (None: nothing known); ``closed``: the search went to its end."""

    bound: float | None
    closed: bool


class Mip:
    """Minimise the sum of the variables' costs plus ``constant`` under rows."""

    def __init__(self, *, relaxed: bool) -> None:
        """``relaxed``: every variable may take fractions, so that it is solved soon."""
        self._model = mathopt.Model()
        self._relaxed = relaxed
        self._costs: list[Term] = []
        self._first: dict[Var, int] = {}
        self.constant = 0.0
        self.size = 0  # variables so far

    def var(self, hi: float, *, whole: bool = False, cost: float = 0.0, lo: float = 0.0, first: bool = False) -> Var:
        """A variable between ``lo`` and ``hi``; ``first``: a search should decide it before others."""
        self.size += 1
        made = self._model.add_variable(lb=lo, ub=hi, is_integer=whole and not self._relaxed)
        if first:
            self._first[made] = 1
        self.price(made, cost)
        return made

    def price(self, var: Var, cost: float) -> None:
        """Add ``cost`` for each unit of ``var``."""
        if cost:
            self._costs.append((cost, var))

    def row(self, terms: Iterable[Term], *, lo: float = -INFINITY, hi: float = INFINITY) -> None:
        """``lo`` ≤ sum of terms ≤ ``hi``."""
        row = self._model.add_linear_constraint(lb=lo, ub=hi)
        for var, factor in _summed(terms).items():
            if factor:
                row.set_coefficient(var, factor)

    def solve(
        self, seconds: float, *, below: float | None, stop: threading.Event | None, engine: str = "scip"
    ) -> Outcome:
        """Search for ``seconds``. With ``below``, only for solutions that cost at most that.

        ``engine``: "scip" or "highs"; now the one, now the other is much the quicker.
        """
        for var, cost in _summed(self._costs).items():
            self._model.objective.set_linear_coefficient(var, cost)
        self._model.objective.offset = self.constant
        if below is not None:
            self.row(self._costs, hi=below - self.constant)
        limit = timedelta(seconds=max(0.05, seconds))
        kind = mathopt.SolverType.GLOP if self._relaxed else ENGINES[engine]
        if kind == mathopt.SolverType.GSCIP:  # its solutions are of no use, its bound is all
            parameters = mathopt.SolveParameters(time_limit=limit, threads=1, heuristics=mathopt.Emphasis.OFF)
        else:
            parameters = mathopt.SolveParameters(time_limit=limit)
        result = self._solved(kind, parameters, stop)
        if result is None:
            return Outcome(None, False)
        ended = result.termination.reason
        if ended == mathopt.TerminationReason.INFEASIBLE:
            return Outcome(INFINITY if below is None else below, True)
        reached = result.termination.objective_bounds.dual_bound
        return Outcome(reached if abs(reached) < 1e15 else None, ended == mathopt.TerminationReason.OPTIMAL)

    def _solved(
        self, kind: mathopt.SolverType, parameters: mathopt.SolveParameters, stop: threading.Event | None
    ) -> mathopt.SolveResult | None:
        """Solve in a thread, so that ``stop`` is heard: None then, and the thread is left to its time limit."""
        found: list[mathopt.SolveResult] = []
        order = mathopt.ModelSolveParameters(
            branching_priorities=self._first if kind == mathopt.SolverType.GSCIP else {}
        )

        def work() -> None:
            found.append(mathopt.solve(self._model, kind, params=parameters, model_params=order))

        worker = threading.Thread(target=work, daemon=True)
        worker.start()
        while worker.is_alive() and not (stop is not None and stop.is_set()):
            worker.join(POLL)
        return found[0] if found else None


def _summed(terms: Iterable[Term]) -> dict[Var, float]:
    out: dict[Var, float] = defaultdict(float)
    for factor, var in terms:
        out[var] += factor
    return out
