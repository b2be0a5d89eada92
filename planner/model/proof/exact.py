"""A relaxation in whole numbers, solved by CP-SAT without rounding errors.

Every variable of a relaxation stands for something that is whole in a plan: pieces, minutes, or whether a task, a load
or a set-up is there. So a program whose variables are all whole still has every valid plan among its solutions, and
its bounds are higher than in fractions. Rows are scaled to integers: exactly where the factors are fractions with small
denominators, else rounded to the side that forbids less (no variable is negative).
"""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from math import ceil, floor, isfinite, lcm
from typing import Literal

from ortools.sat.python import cp_model

from planner.model.proof.mip import INFINITY, Mip, Program, Row, Var

SMALL = 100_000  # the largest denominator that a factor is taken to have
NEAR = 1e-12  # a float this near to such a fraction is that fraction
SCALE_MOST = 10**7  # by which a row is multiplied at most
ROUGH = 10**6  # the scale of a row that cannot be scaled exactly
Manner = Literal["learning", "rising", "cores"]

POLL = 0.05  # seconds between looks at the wish to stop
GRACE = 0.2  # seconds a solver has to stop after it was asked to


@dataclass(frozen=True)
class Known:
    """What a search need not find out: a plan of cost ``below`` is there, and none is cheaper than ``least``."""

    least: int = 0
    below: int | None = None


@dataclass(frozen=True)
class Solved:
    """How a search ended: whether it went to its end, and the cheapest solution it met."""

    ended: bool
    values: dict[Var, int] | None


def solve_whole(
    mip: Mip,
    seconds: float,
    known: Known,
    stop: threading.Event | None,
    on_bound: Callable[[float], None],
    *,
    manner: Manner = "learning",
) -> Solved:
    """Search ``seconds`` for the least objective of ``mip`` in whole numbers; ``on_bound`` hears of each bound.

    With ``known.below``, only solutions cheaper than that are looked at, and infinity says that there is none.
    ``manner``: learn from whatever solutions are met, try costs from the least upwards, or raise the least by sets of
    variables that cannot all be cheap; now the one, now the other is much the quickest.
    """
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = max(0.05, seconds)
    solver.parameters.num_workers = 1
    solver.parameters.linearization_level = 2
    solver.parameters.cp_model_probing_level = 0
    solver.parameters.use_objective_lb_search = manner == "rising"
    solver.parameters.optimize_with_core = manner == "cores"
    solver.best_bound_callback = on_bound
    program = mip.whole()
    status = _solved(solver, _model(program, known), stop)
    if status == cp_model.INFEASIBLE:
        on_bound(INFINITY)
    elif status != cp_model.MODEL_INVALID:
        on_bound(solver.best_objective_bound)
    values = None
    if status in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        values = dict(zip(program.ranges, map(int, solver.response_proto.solution), strict=True))
    return Solved(status in (cp_model.OPTIMAL, cp_model.INFEASIBLE), values)


def _solved(solver: cp_model.CpSolver, model: cp_model.CpModel, stop: threading.Event | None) -> object:
    """Solve in a thread, so that ``stop`` is heard."""
    found: list[object] = []
    worker = threading.Thread(target=lambda: found.append(solver.solve(model)), daemon=True)
    worker.start()
    while worker.is_alive() and not (stop is not None and stop.is_set()):
        worker.join(POLL)
    if worker.is_alive():
        solver.stop_search()
        worker.join(GRACE)
    return found[0] if found else cp_model.MODEL_INVALID


def _model(program: Program, known: Known) -> cp_model.CpModel:
    model = cp_model.CpModel()
    made = {v: model.new_int_var(ceil(lo), floor(hi), "") for v, (lo, hi) in program.ranges.items()}
    for row in program.rows:
        factors, lo, hi = scaled(row)
        total = cp_model.LinearExpr.weighted_sum([made[v] for v in factors], list(factors.values()))
        if lo is not None and hi is not None:
            model.add_linear_constraint(total, lo, hi)
        elif lo is not None:
            model.add(total >= lo)
        elif hi is not None:
            model.add(total <= hi)
    costs = {v: whole_factor(c) for v, c in program.costs.items() if c}
    objective = cp_model.LinearExpr.weighted_sum([made[v] for v in costs], list(costs.values())) + program.constant
    model.minimize(objective)
    model.add(objective >= known.least)
    if known.below is not None:
        model.add(objective <= known.below - 1)
    return model


def scaled(row: Row) -> tuple[dict[Var, int], int | None, int | None]:
    """``row`` in whole numbers: variables that are whole and not negative keep it if they keep ``row``."""
    near = [Fraction(x).limit_denominator(SMALL) for x in (*row.factors.values(), row.lo, row.hi) if isfinite(x)]
    asked = [x for x in (*row.factors.values(), row.lo, row.hi) if isfinite(x)]
    scale = lcm(*(x.denominator for x in near))
    if scale <= SCALE_MOST and all(
        abs(float(n) - x) <= NEAR * max(1.0, abs(x)) for n, x in zip(near, asked, strict=True)
    ):
        factors = {v: int(n * scale) for v, n in zip(row.factors, near, strict=False)}
        return factors, _times(row.lo, scale, ceil), _times(row.hi, scale, floor)
    if isfinite(row.lo) and isfinite(row.hi):
        raise ValueError("a row with two sides has to have factors with small denominators")
    round_ = floor if isfinite(row.hi) else ceil
    return (
        {v: round_(x * ROUGH) for v, x in row.factors.items()},
        _times(row.lo, ROUGH, floor),
        _times(row.hi, ROUGH, ceil),
    )


def _times(x: float, scale: int, rounded: Callable[[Fraction], int]) -> int | None:
    return rounded(Fraction(x).limit_denominator(SMALL) * scale) if isfinite(x) else None


def whole_factor(cost: float) -> int:
    """``cost``, which is a whole number, as an integer."""
    assert float(cost).is_integer()
    return int(cost)
