"""The plan in use, read once a row and given a calendar."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from functools import lru_cache
from zoneinfo import ZoneInfo

from planner.jsonio import plan_from_json, scenario_from_json
from planner.plan import Plan
from planner.scenario import Scenario
from studio import models
from studio.models import Studio


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
    """A kept plan, whether in use or not."""
    plan, scenario = _read(row.pk)
    return Live(row, plan, scenario, ZoneInfo(studio.time_zone))


@lru_cache(maxsize=16)
def _read(pk: int) -> tuple[Plan, Scenario]:
    """A row never changes what it says, so it is parsed once."""
    row = models.Plan.objects.only("plan", "scenario").get(pk=pk)
    return plan_from_json(row.plan), scenario_from_json(row.scenario)
