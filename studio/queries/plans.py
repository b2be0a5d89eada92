"""The plan in use, read once a row and given a calendar."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from zoneinfo import ZoneInfo

from planner.jsonio import plan_from_json, scenario_from_json
from planner.plan import Plan, Task
from planner.scenario import Order, Scenario
from planner.windows import TaskWindow, windows
from studio import models
from studio.models import Studio
from studio.record.state import State


@dataclass(frozen=True)
class Live:
    """A kept plan with the scenario that it answers; minutes count from ``start``."""

    row: models.Plan  # without its JSON, which is read through ``plan`` and ``scenario``
    plan: Plan
    scenario: Scenario
    zone: ZoneInfo

    @property
    def start(self) -> dt.datetime:
        return self.row.start

    def when(self, minute: int) -> dt.datetime:
        """The local instant of a minute of the plan."""
        return (self.row.start + dt.timedelta(minutes=minute)).astimezone(self.zone)

    def minute(self, at: dt.datetime) -> int:
        """The minute of the plan in which an instant lies; negative before its start."""
        return int((at - self.row.start).total_seconds() // 60)


def current_plan(studio: Studio) -> Live | None:
    """The studio's plan in use, or None before the first one."""
    row = models.Plan.objects.filter(studio=studio, is_current=True).defer("plan", "scenario").first()
    return None if row is None else live(row, studio)


def live(row: models.Plan, studio: Studio) -> Live:
    """A kept plan, whether in use or not, its orders due on the days that were promised."""
    plan, scenario = read_by_id(row.public_id)
    if row.margins:
        plan, scenario = _as_promised(row.public_id, tuple(row.margins.items()))
    return Live(row, plan, scenario, ZoneInfo(studio.time_zone))


def read_plan(pk: int) -> tuple[Plan, Scenario]:
    """The plan and scenario of a row."""
    return read_by_id(models.Plan.objects.values_list("public_id", flat=True).get(pk=pk))


@lru_cache(maxsize=16)
def read_by_id(public_id: str) -> tuple[Plan, Scenario]:
    """A row never changes what it says, so it is parsed once. (Its number may come again, its public id never.)"""
    row = models.Plan.objects.only("plan", "scenario").get(public_id=public_id)
    return plan_from_json(row.plan), scenario_from_json(row.scenario)


@lru_cache(maxsize=8)
def _as_promised(public_id: str, margins: tuple[tuple[str, int], ...]) -> tuple[Plan, Scenario]:
    """Some orders were planned before their day, to be surer of it: they are late only once that is past."""
    plan, scenario = read_by_id(public_id)
    spare = dict(margins)
    ends = tuple(replace(o, late_min=max(0, o.late_min - spare.get(o.id, 0))) for o in plan.orders)
    return replace(plan, orders=ends), replace(scenario, orders=promised(scenario.orders, spare))


def promised(orders: Iterable[Order], margins: Mapping[str, int]) -> tuple[Order, ...]:
    """``orders`` due on the days that were promised."""
    return tuple(replace(o, due=o.due + margins[o.id]) if o.id in margins else o for o in orders)


def left_of(live: Live, state: State) -> list[Task]:
    """The tasks of a plan that nobody has recorded as done, in order of time."""
    left = [t for t in live.plan.tasks if t.id not in state.done_tasks]
    return sorted(left, key=lambda t: (t.start, t.end, t.id))


@lru_cache(maxsize=8)
def _windows(public_id: str) -> dict[str, TaskWindow]:
    plan, scenario = read_by_id(public_id)
    return windows(scenario, plan)


def windows_of(live: Live) -> dict[str, TaskWindow]:
    """How far each task may be moved with all others fixed, by task id, in minutes of the plan."""
    return _windows(live.row.public_id)
