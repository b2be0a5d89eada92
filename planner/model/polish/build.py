"""The table of contents of a sub-model: one line per rule."""

from __future__ import annotations

from dataclasses import dataclass

from planner.model.polish.batches import BatchVar, add_batches
from planner.model.polish.casting import CastVar, add_casts, add_jobs
from planner.model.polish.context import Sub
from planner.model.polish.firings import FiringVar, add_firings, add_fits
from planner.model.polish.flows import Flows
from planner.model.polish.freed import Freed
from planner.model.polish.money import add_lateness, add_moves
from planner.model.polish.moulds import Stock, add_moulds
from planner.model.polish.pressing import add_setups
from planner.plan import Plan
from planner.scenario import Scenario


@dataclass
class SubModel:
    """A finished sub-model and its things, for reading the plan back."""

    sub: Sub
    batches: dict[str, BatchVar]
    casts: dict[str, CastVar]
    firings: dict[str, FiringVar]
    flows: Flows
    stocks: dict[str, Stock]


def build(scenario: Scenario, plan: Plan, freed: Freed) -> SubModel:
    """The sub-model of ``plan`` with ``freed`` free. Raises :class:`TooHard` where it cannot describe the plan."""
    sub = Sub(scenario, plan, freed)
    batches = add_batches(sub)  # R03, R04, R13, durations of R01
    casts = add_casts(sub)  # R11
    add_jobs(sub)  # R13
    add_setups(sub, batches.values())  # R02
    stocks = add_moulds(sub, batches.values(), casts)  # R02, R03
    firings = add_firings(sub)  # R07
    flows = Flows(sub, batches, firings)
    flows.add_green()  # R05, R06, R12
    flows.add_lots()  # R09, R12; wants the bisque firings filled
    flows.add_coated()  # R05, R09, R12; wants the lots
    flows.add_finishes()  # R10, R12; wants the glost firings filled
    flows.close()  # R05
    add_fits(sub, firings.values())  # R08; wants all firings filled
    sub.floor.close()  # R01
    add_lateness(sub, flows, batches, firings)  # R14
    add_moves(sub)  # R14
    sub.m.minimize(sum(sub.costs))
    return SubModel(sub, batches, casts, firings, flows, stocks)
