"""Saved studios searched with proof: how many are proven optimal in time, and how far off the others are."""

from __future__ import annotations

import os
import time
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import median

from planner.bench.saved import Saved
from planner.bench.tables import Cell, table
from planner.checks import check
from planner.solve import solve

SECONDS = 10.0


@dataclass(frozen=True)
class Proof:
    """One studio searched: ``took`` seconds on the wall and ``cpu`` seconds of all processes, until the end of it."""

    name: str
    cost: int
    bound: int
    proven: bool
    took: float
    cpu: float
    faults: tuple[str, ...]

    @property
    def gap(self) -> float:
        return 1 - self.bound / self.cost if self.cost else 0.0


def proof(of: Saved, seconds: float, workers: int) -> Proof:
    """Search a saved studio for ``seconds``."""
    scenario = of.scenario()
    begun, before = time.perf_counter(), _cpu()
    plan = solve(scenario, seconds=seconds, workers=workers)
    took, cpu = time.perf_counter() - begun, _cpu() - before
    faults = [str(v) for v in check(scenario, plan)]
    if "refused_bound" in plan.diagnostics:
        faults.append("a bound above the plan's cost")
    said = tuple(f"{of.name}: {fault}" for fault in faults)
    return Proof(of.name, plan.cost, plan.bound or 0, plan.status == "optimal", took, cpu, said)


def _cpu() -> float:
    """Seconds of work of this process and of the children that have ended."""
    used = os.times()
    return used.user + used.system + used.children_user + used.children_system


def report(proofs: Sequence[Proof], seconds: float) -> list[str]:
    """The table and what it comes to."""
    rows: list[list[Cell]] = [
        [p.name, p.cost, p.bound, p.gap, "yes" if p.proven else "", p.took, p.cpu] for p in proofs
    ]
    proven = sum(p.proven for p in proofs)
    gap = median(p.gap for p in proofs) if proofs else 0.0
    return [
        *table(["studio", "cost", "bound", "gap", "optimal", "in s", "CPU s"], rows),
        f"Proven optimal within {seconds:g} s: {proven} of {len(proofs)}; median gap {gap:.2f}.",
    ]
