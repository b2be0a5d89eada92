"""What the parts below the pages cost: reading the record, the bridge, windows, the checker, a first plan."""

from __future__ import annotations

import statistics
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from django.contrib.auth.models import User
from django.utils import timezone

from planner.checks import check
from planner.solve import solve
from planner.windows import windows
from studio.measuring.year import year
from studio.models import Studio
from studio.queries.plans import current_plan
from studio.queries.record import facts_of, minute_of
from studio.queries.state import state_of
from studio.record.fold import fold
from studio.services.founding import open_studio
from studio.services.record import append_facts
from studio.translate import scenario_at

TIMES = 5
AT_ONCE = 1500


@dataclass(frozen=True)
class UnitCost:
    """The median of :data:`TIMES` runs in milliseconds."""

    name: str
    median: float


def unit_costs(studio: Studio, user: User) -> Iterator[UnitCost]:
    """Each part, on the demo with its plan in use and on a studio with a year's record."""
    live = current_plan(studio)
    assert live is not None
    now = timezone.now()
    scenario, plan = live.scenario, live.plan
    size = f"{len(plan.tasks)} tasks"
    yield _cost("state of the demo", lambda: state_of(studio))
    yield _cost("the demo as a scenario", lambda: scenario_at(studio, now))
    yield _cost(f"windows of a plan, {size}", lambda: windows(scenario, plan))
    yield _cost(f"check of a plan, {size}", lambda: check(scenario, plan))
    yield _cost("first plan of the demo, without a search", lambda: solve(scenario, seconds=0))
    old = _with_a_year(user)
    facts = len(facts_of(old))
    yield _cost(f"state after a year, {facts} facts, from nothing", lambda: fold(facts_of(old)))
    yield _cost("state after a year, through its last snapshot", lambda: state_of(old))


def _with_a_year(user: User) -> Studio:
    studio = open_studio(name="A year", time_zone="Europe/London", owner=user)
    now = timezone.now()
    facts = year(minute_of(now))
    for i in range(0, len(facts), AT_ONCE):
        append_facts(studio=studio, facts=facts[i : i + AT_ONCE], command=None, now=now)
    return studio


def _cost(name: str, run: Callable[[], object]) -> UnitCost:
    times = []
    for _i in range(TIMES):
        begun = time.perf_counter()
        run()
        times.append((time.perf_counter() - begun) * 1000)
    return UnitCost(name, statistics.median(times))
