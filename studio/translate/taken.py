"""Orders taken for a day that the planner told, and the plan that the day stands on."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

from planner.jsonio import plan_from_json
from planner.plan import Plan
from planner.scenario import Scenario
from studio.models import PlanRun, Studio
from studio.queries.state import state_of
from studio.translate.clock import MINUTE
from studio.translate.made import Made
from studio.translate.plans import moved

NEWEST = 20  # answers that are looked at


@dataclass(frozen=True)
class Taken:
    """A line that was put in the book for ``day``, as the answer ``run`` told it; ``at`` is when."""

    run: PlanRun
    line: str
    day: dt.date
    at: dt.datetime


def taken_days(studio: Studio) -> Iterator[Taken]:
    """The orders that were taken for a day told, the newest first."""
    runs = PlanRun.objects.filter(studio=studio, kind=PlanRun.Kind.WHEN, about__has_key="line").order_by("-pk")
    for run in runs[:NEWEST]:
        about: dict[str, Any] = run.about
        yield Taken(run, about["line"], dt.date.fromisoformat(about["day"]), dt.datetime.fromisoformat(about["at"]))


def plan_to_begin_from(studio: Studio, made: Made) -> Plan | None:
    """The plan that the newest taken day stands on, in the minutes of ``made``, with its order under the line's id.

    None where there is none, or the plan in use knows the line by now: then that plan is what counts.
    """
    before = made.scenario.previous
    known = {o.id for o in before.orders} if before is not None else set()
    for taken in taken_days(studio):
        if taken.line in made.scenario.order and taken.line not in known:
            return _witness(studio, made, taken)
    return None


def as_before(scenario: Scenario, start: Plan | None) -> Scenario:
    """``scenario`` as if ``start`` were the plan in use, so that the next question leaves its days alone."""
    if start is None:
        return scenario
    return replace(scenario, previous=start, pins=tuple(p for p in scenario.pins if p in start.task))


def _witness(studio: Studio, made: Made, taken: Taken) -> Plan:
    said = taken.run.result
    plan = _for_line(plan_from_json(said["plans"][taken.run.about["plan"]]), said["order"], taken.line)
    by = (dt.datetime.fromisoformat(said["start"]) - made.start) // MINUTE
    return moved(plan, by, state_of(studio).done_tasks)


def _for_line(plan: Plan, asked: str, line: str) -> Plan:
    """``plan`` with the order that was ``asked`` about under the id of its ``line``."""
    return replace(
        plan,
        lots=tuple(replace(x, order=line) if x.order == asked else x for x in plan.lots),
        finishes=tuple(replace(n, order=line) if n.order == asked else n for n in plan.finishes),
        orders=tuple(replace(o, id=line) if o.id == asked else o for o in plan.orders),
    )
