"""A program that is built by rows: in fractions solved here, soon but loosely; in whole numbers by :mod:`.exact`."""

from __future__ import annotations

import threading
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import timedelta
from typing import TypeAlias

from ortools.math_opt.python import mathopt

INFINITY = float("inf")
SAFE = 1e-6  # of what is reckoned in floating point is not trusted
POLL = 0.05  # seconds between looks at the wish to stop

Var: TypeAlias = mathopt.Variable
Term: TypeAlias = tuple[float, Var]


@dataclass(frozen=True)
class Row:
    """``lo`` ≤ sum of factor × variable ≤ ``hi``."""

    factors: dict[Var, float]
    lo: float
    hi: float


@dataclass(frozen=True)
class Program:
    """All of a program: what each variable may be, the rows, and the costs."""

    ranges: dict[Var, tuple[float, float]]
    rows: list[Row]
    costs: dict[Var, float]
    constant: int


class Mip:
    """Minimise the sum of the variables' costs plus ``constant`` under rows."""

    def __init__(self) -> None:
        self._model = mathopt.Model()
        self._costs: list[Term] = []
        self._ranges: dict[Var, tuple[float, float]] = {}
        self._rows: list[Row] = []
        self.constant = 0.0

    def var(self, hi: float, *, cost: float = 0.0, lo: float = 0.0) -> Var:
        """A variable between ``lo`` and ``hi``, which are not negative; it stands for something that is whole."""
        made = self._model.add_variable(lb=lo, ub=hi)
        self._ranges[made] = (lo, hi)
        self.price(made, cost)
        return made

    def price(self, var: Var, cost: float) -> None:
        """Add ``cost`` for each unit of ``var``."""
        if cost:
            self._costs.append((cost, var))

    def row(self, terms: Iterable[Term], *, lo: float = -INFINITY, hi: float = INFINITY) -> None:
        """``lo`` ≤ sum of terms ≤ ``hi``."""
        row = self._model.add_linear_constraint(lb=lo, ub=hi)
        summed = {var: factor for var, factor in _summed(terms).items() if factor}
        for var, factor in summed.items():
            row.set_coefficient(var, factor)
        self._rows.append(Row(summed, lo, hi))

    def fractional(self, seconds: float, stop: threading.Event | None) -> float | None:
        """The least objective in fractions (infinity: no solution); None if it is not found in ``seconds``."""
        for var, cost in _summed(self._costs).items():
            self._model.objective.set_linear_coefficient(var, cost)
        self._model.objective.offset = self.constant
        result = self._solved(timedelta(seconds=max(0.05, seconds)), stop)
        ended = None if result is None else result.termination.reason
        if ended == mathopt.TerminationReason.INFEASIBLE:
            return INFINITY
        if result is None or ended != mathopt.TerminationReason.OPTIMAL:
            return None
        least = result.termination.objective_bounds.dual_bound
        return least - abs(least) * SAFE

    def whole(self) -> Program:
        """The same program with every variable whole, for :mod:`.exact`."""
        assert float(self.constant).is_integer()
        return Program(self._ranges, self._rows, _summed(self._costs), int(self.constant))

    def _solved(self, limit: timedelta, stop: threading.Event | None) -> mathopt.SolveResult | None:
        """Solve in a thread, so that ``stop`` is heard: None then, and the thread is left to its time limit."""
        found: list[mathopt.SolveResult] = []
        parameters = mathopt.SolveParameters(time_limit=limit)

        def work() -> None:
            found.append(mathopt.solve(self._model, mathopt.SolverType.GLOP, params=parameters))

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
