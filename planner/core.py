"""What must be done anyway, and why nothing else can make a scenario infeasible.

The must-do core is: drawing the loads now in the kilns (where that can end inside the horizon), taking out every batch
in a mould, finishing its leather-hard work and that of released batches (or giving the batch up), required casts,
poured casts (or giving them up), and the jobs.

Lemma. A scenario has a valid plan exactly if R01, R07, R11 and R13 can be met for the core in which everything that
may be spoiled is spoiled: the unloads of present firings, the releases of batches in moulds (from ``lo`` on, without a
latest), pour and lift of the required casts, and the jobs.

* *Only if.* Take these tasks out of any valid plan. Each keeps its person, station and minutes, so R01 holds, and so
  do the kilns' ``opens`` (R07), the casts' waits (R11) and the jobs' windows (R13). Spoiling afterwards asks for less:
  a spoiled batch loses its steps and the latest minute of its release, and a spoiled cast frees what it holds (R11).
* *If.* Add nothing to those tasks and look at each rule. R02, R08, R09, R10: nothing is pressed, loaded, glazed or
  finished. R03: a spoiled batch only has the earliest minute. R04: there are no steps. R05: could boards bind, since
  released ware must stand somewhere? No: a spoiled batch takes no boards from minute 0 on, nothing else arrives on a
  rack, and a rack that is over-full at 0 is allowed to be so as long as nothing is added. R06, R12: nothing is taken
  from any source. R14 is arithmetic. So the plan is valid; what is left undone only costs.

A core that keeps its batches is worth more than one that spoils them, so the exact model
(:mod:`planner.model.core_model`) has both ways and gives up as few pieces as it can; by the lemma it finds none only
if there is none. In it boards do bind the batches that are kept: ware that nobody loads stays on its rack.
"""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import Any

from planner import jsonio
from planner.core_placement import CorePlacement
from planner.plan import COST_NAMES, Plan, Reason
from planner.scenario import Cast, InKiln, InMould, Job, Kiln, Scenario

VERDICTS = ("feasible", "infeasible", "unknown")


@dataclass(frozen=True)
class Must:
    """The parts of the core that cannot be given up: what decides feasibility."""

    unloads: tuple[tuple[Kiln, int], ...]  # kiln, and the minute from which it may be opened
    releases: tuple[InMould, ...]
    casts: tuple[Cast, ...]  # required and not poured before
    jobs: tuple[Job, ...]


def must(scenario: Scenario) -> Must:
    """What the plan has to contain whatever it costs. An unload that cannot end inside the horizon is left out."""
    opens: dict[str, int] = {}
    for w in scenario.wip:
        if isinstance(w, InKiln):
            opens[w.kiln] = max(opens.get(w.kiln, 0), w.opens)
    return Must(
        unloads=tuple(
            (k, opens[k.id]) for k in scenario.kilns if k.id in opens and opens[k.id] + k.unload <= scenario.horizon
        ),
        releases=tuple(w for w in scenario.wip if isinstance(w, InMould)),
        casts=tuple(c for c in scenario.casts if c.required and c.poured is None),
        jobs=scenario.jobs,
    )


@dataclass(frozen=True)
class CoreVerdict:
    """Whether the core can be placed: where, or what stands in each other's way."""

    verdict: str
    placement: CorePlacement | None = None
    reasons: tuple[Reason, ...] = ()

    def as_json(self) -> dict[str, Any]:
        plan = None if self.placement is None else jsonio.plan_to_json(bare_plan(self.placement))
        return {"verdict": self.verdict, "plan": plan, "reasons": [asdict(r) for r in self.reasons]}

    @classmethod
    def from_json(cls, said: dict[str, Any]) -> CoreVerdict:
        plan = None if said["plan"] is None else jsonio.plan_from_json(said["plan"])
        placement = None if plan is None else placement_of(plan)
        return cls(said["verdict"], placement, tuple(Reason(**r) for r in said["reasons"]))


def bare_plan(core: CorePlacement) -> Plan:
    """The core as a plan of its own, not yet reckoned. By the lemma it is valid."""
    return Plan(
        status="feasible",
        cost=0,
        costs=dict.fromkeys(COST_NAMES, 0),
        bound=None,
        tasks=core.tasks,
        batches=core.batches,
        firings=core.firings,
        casts=core.casts,
        jobs=core.jobs,
        spoiled=core.spoiled,
    )


def placement_of(plan: Plan) -> CorePlacement:
    """The core in a plan that holds nothing else."""
    return CorePlacement(plan.tasks, plan.batches, plan.firings, plan.casts, plan.jobs, plan.spoiled)
