"""Why orders are late, why ware is given up, why nothing can be planned: codes with things, minutes and counts.

Codes: ``too_soon`` (no plan could make it), ``moulds``, ``hands``, ``kiln``, ``boards`` (what its pieces wait for
longest), ``not_finished`` (still under way at the end); ``spoiled_in_mould``, ``spoiled_leather_hard``,
``spoiled_cast``; and for a scenario without any plan those of :mod:`planner.reasons.impossible`.
"""

from __future__ import annotations

from dataclasses import replace

from planner.facts import Facts
from planner.plan import Plan
from planner.reasons.impossible import infeasible_reasons
from planner.reasons.late import late_reasons
from planner.reasons.spoiled import spoiled_reasons
from planner.scenario import Scenario

__all__ = ["infeasible_reasons", "with_reasons"]


def with_reasons(scenario: Scenario, plan: Plan) -> Plan:
    """The same plan with a reason for every late order and everything spoiled.

    A plan without tasks ("infeasible", "unknown") keeps the reasons it has.
    """
    if plan.status in ("infeasible", "unknown"):
        return plan
    facts = Facts(scenario, plan)
    return replace(plan, reasons=(*late_reasons(facts), *spoiled_reasons(facts)))
