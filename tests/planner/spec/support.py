"""One batch of two bowls on its whole way, and small edits to it."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from planner.checks import check
from planner.costs import with_costs
from planner.plan import CastPlan, JobPlan, Plan
from planner.scenario import Scenario
from tests.planner import builders as make

# What each task of the studio's plan lasts: two pieces at a minute each, 10 min for packing and drawing the kiln.
TASKS = {
    "press": ("press", 0, 2, "jolley"),
    "release": ("release", 70, 72, None),  # from 2 + 60 = 62
    "trim": ("trim", 100, 102, None),
    "load": ("load", 200, 210, None),  # bone-dry at 102 + 60 = 162
    "unload": ("unload", 900, 910, None),  # lit at 250, may be opened at 250 + 300 + 300 = 850
    "glaze": ("glaze", 1000, 1002, None),
    "load2": ("load", 1100, 1110, None),  # glaze dry at 1002 + 60 = 1062
    "unload2": ("unload", 1800, 1810, None),  # lit at 1150, may be opened at 1750
    "finish": ("finish", 1900, 1902, None),
    "pour": ("pour", 2000, 2030, None),
    "lift": ("lift", 2080, 2090, None),  # 2030 + 45 = 2075 to 2030 + 240 = 2270
    "job": ("job", 300, 330, None),
}


def studio(form: dict[str, Any] | None = None, **given: Any) -> Scenario:
    """A bowl with one step (turning), two moulds and one that may be poured, one order for two, one job."""
    shape = make.form(**{"steps": [make.step()], **(form or {})})
    defaults = {"forms": [shape], "orders": [make.order(qty=2)], "casts": [make.cast()], "jobs": [make.job()]}
    return make.bisque_and_back(**{**defaults, **given})


def week() -> Plan:
    """The valid plan for ``studio()``."""
    return make.plan(
        [make.task(name, kind, start, end, station=at) for name, (kind, start, end, at) in TASKS.items()],
        batches=[make.batch("b1", moulds=("m1", "m2"), press="press", release="release", steps=("trim",))],
        firings=[
            make.firing("f1", program="bisque", load="load", fire=250, unload="unload", pieces=make.parts(b1=2)),
            make.firing("f2", program="glost", load="load2", fire=1150, unload="unload2", pieces=make.parts(l1=2)),
        ],
        lots=[make.lot("l1", count=2, sources=make.parts(f1=2), glaze="glaze")],
        finishes=[make.finish("n1", source="f2", count=2, task="finish")],
        casts=[CastPlan("c1", "pour", "lift")],
        jobs=[JobPlan("j1", "job")],
    )


def lines(scenario: Scenario, plan: Plan) -> list[str]:
    """What the checker says of ``plan`` with its costs reckoned."""
    return [str(v) for v in check(scenario, with_costs(scenario, plan))]


def at(plan: Plan, **starts: int) -> Plan:
    """The plan with tasks moved to other starts, as long as before."""
    return replace(
        plan,
        tasks=tuple(
            replace(t, start=starts[t.id], end=starts[t.id] + t.end - t.start) if t.id in starts else t
            for t in plan.tasks
        ),
    )


def lasting(plan: Plan, **minutes: int) -> Plan:
    """The plan with tasks that last longer or shorter."""
    return replace(
        plan, tasks=tuple(replace(t, end=t.start + minutes[t.id]) if t.id in minutes else t for t in plan.tasks)
    )


def edit(plan: Plan, key: str, thing: str, **fields: Any) -> Plan:
    """The plan with fields of one record of the list ``key`` changed."""
    assert any(x.id == thing for x in getattr(plan, key)), f"no {thing} in {key}"
    return replace(plan, **{key: tuple(replace(x, **fields) if x.id == thing else x for x in getattr(plan, key))})


def drop(plan: Plan, key: str, thing: str) -> Plan:
    """The plan without one record of the list ``key``."""
    assert any(x.id == thing for x in getattr(plan, key)), f"no {thing} in {key}"
    return replace(plan, **{key: tuple(x for x in getattr(plan, key) if x.id != thing)})


def add(plan: Plan, key: str, *things: Any) -> Plan:
    """The plan with more records in the list ``key``."""
    return replace(plan, **{key: (*getattr(plan, key), *things)})
