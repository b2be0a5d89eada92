"""The demo's first plan, made by the real planner and put in use."""

from __future__ import annotations

import datetime as dt

from planner.solve import solve
from studio.fitting import NO_PLAN, fitted
from studio.models import Plan, Studio
from studio.services import plans
from studio.translate import scenario_at

SECONDS = 8


def plan_demo(studio: Studio, now: dt.datetime, seconds: float = SECONDS) -> Plan:
    """Plan the studio's weeks from ``now`` and use the plan; its row. Raises ValueError if there is none."""
    found = fitted(
        studio, lambda: scenario_at(studio, now),
        lambda made, seconds, start: solve(made.scenario, seconds=seconds, start=start), seconds,
    )  # fmt: skip
    plan = found.plan
    if plan.status in NO_PLAN:
        raise ValueError(f"the demo cannot be planned: {plan.status}, {[r.text for r in plan.reasons]}")
    row = plans.save_plan(
        studio=studio, made=found.made, plan=plan, now=now, placing=found.placing, noted=found.noted
    )  # fmt: skip
    plans.accept_plan(studio=studio, plan=row, now=now)
    row.refresh_from_db()
    return row
