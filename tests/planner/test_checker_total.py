"""The checker takes any plan whatsoever: nonsense becomes a violation, never a traceback."""

from __future__ import annotations

import random
from dataclasses import fields, replace
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.checks import check
from planner.checks.shape import RECORDS
from planner.costs import with_costs
from planner.jsonio import read_plan, read_scenario
from planner.plan import STATUSES, Part, Plan
from planner.rules import Rule
from planner.windows import windows
from tests.planner import builders as make
from tests.planner.conftest import EXAMPLES
from tests.planner.spec.support import studio, week

TINY = read_scenario((EXAMPLES / "tiny.json").read_bytes())
WORDS = sorted(
    {x.id for key in ("people", "stations", "forms", "moulds", "casts", "kilns", "jobs", "orders", "wip")
     for x in getattr(TINY, key)}
    | {p.id for k in TINY.kilns for p in k.programs}
    | {"now:a", "now:b", "press", "release", "trim", "load", "unload", "glaze", "finish", "pour", "lift", "job"}
    | {"t1", "t2", "t3", "b1", "f1", "l1", "n1", ""}
)  # fmt: skip
words = st.sampled_from(WORDS)
minutes = st.one_of(st.integers(-5, 20), st.integers(-(10**9), 10**9), st.sampled_from([0, 500, 14400]))
counts = st.integers(-2, 40)
FIELDS: dict[str, Any] = {
    "start": minutes, "end": minutes, "fire": st.none() | minutes, "done": minutes, "late_min": minutes,
    "count": counts, "covered": st.booleans(), "covered_in_mould": st.booleans(), "reckoned": st.booleans(),
    "moulds": st.lists(words, max_size=4).map(tuple), "steps": st.lists(words, max_size=3).map(tuple),
    "pieces": st.lists(st.builds(Part, words, counts), max_size=4).map(tuple),
    "sources": st.lists(st.builds(Part, words, counts), max_size=4).map(tuple),
    "station": st.none() | words, "press": st.none() | words, "release": st.none() | words,
    "program": st.none() | words, "load": st.none() | words, "pour": st.none() | words, "name": st.none(),
}  # fmt: skip


def records(key: str) -> st.SearchStrategy[Any]:
    kind = RECORDS[key][1]
    built = st.builds(kind, **{f.name: FIELDS.get(f.name, words) for f in fields(kind)})
    return st.lists(built, max_size=8).map(tuple)


LISTS = [key for key in RECORDS if key != "reasons"]
plans = st.builds(
    Plan,
    status=st.sampled_from([*STATUSES, "feasible", "optimal", "nonsense"]),
    cost=st.integers(),
    costs=st.dictionaries(st.sampled_from(["late", "kwh", "tea"]), st.integers()),
    bound=st.none() | st.integers(),
    spoiled=st.lists(words, max_size=3).map(tuple),
    **{key: records(key) for key in LISTS},
)


@settings(max_examples=200)
@given(plans)
def test_any_plan_is_checked(plan: Plan) -> None:
    found = check(TINY, plan)
    assert all(str(v).startswith(v.rule.name) for v in found)
    if plan.status not in ("infeasible", "unknown"):
        assert found, "no random plan does what must be done"


@settings(max_examples=100)
@given(plans)
def test_any_plan_is_reckoned_and_has_windows(plan: Plan) -> None:
    again = with_costs(TINY, plan)
    assert again.cost == sum(again.costs.values())
    room = windows(TINY, plan)
    first = {t.id: t for t in reversed(plan.tasks)}  # of two tasks with one id, the first has the window
    assert set(room) == set(first)
    assert all(room[i].earliest <= t.start and room[i].latest >= t.end for i, t in first.items())


JUNK = [None, True, 1.5, "x", b"x", [], {}, (1,), (None,), float("nan"), 10**40, object(), Part("x", 1)]


def junk_for(value: Any) -> list[Any]:
    """What is certainly of another kind than ``value``."""
    return [j for j in JUNK if type(j) is not type(value) and j is not None]


@pytest.mark.parametrize("key", list(RECORDS))
def test_records_and_fields_of_the_wrong_kind_are_named(key: str) -> None:
    plan = with_costs(studio(), week())
    rule = RECORDS[key][0]
    for junk in ([], None, "abc", 3, (None,), (object(),)):
        found = check(studio(), replace(plan, **{key: junk}))
        assert {v.rule for v in found} == {rule}
        assert found[0].text.startswith(key)
    for field in RECORDS[key][2]:
        for junk in junk_for(getattr(getattr(plan, key)[0], field)):
            first = replace(getattr(plan, key)[0], **{field: junk})
            found = check(studio(), replace(plan, **{key: (first, *getattr(plan, key)[1:])}))
            assert found, f"{key}/{field} = {junk!r}"


@pytest.mark.parametrize("field", ["status", "cost", "costs", "bound", "spoiled"])
def test_values_of_the_wrong_kind_are_named(field: str) -> None:
    plan = with_costs(studio(), week())
    for junk in junk_for(getattr(plan, field)):
        assert check(studio(), replace(plan, **{field: junk})) or junk == (), f"{field} = {junk!r}"


def test_references_in_a_circle_are_told() -> None:
    """A firing of the lot that is glazed from that firing, and a batch that is its own mould and step."""
    plan = with_costs(studio(), week())
    firings = tuple(replace(f, pieces=make.parts(l1=2, f1=2, f2=2, b1=2)) for f in plan.firings)
    lots = (replace(plan.lots[0], sources=make.parts(f2=1, l1=1)),)
    batches = (replace(plan.batches[0], moulds=("b1", "press"), steps=("press", "trim"), release="trim"),)
    found = check(studio(), replace(plan, firings=firings, lots=lots, batches=batches))
    assert {Rule.R01, Rule.R02, Rule.R07, Rule.R09, Rule.R12, Rule.R13} <= {v.rule for v in found}


def test_everything_is_the_same_task() -> None:
    plan = with_costs(studio(), week())
    one = replace(
        plan,
        batches=tuple(replace(b, press="press", release="press", steps=("press",)) for b in plan.batches),
        firings=tuple(replace(f, load="press", unload="press") for f in plan.firings),
        lots=tuple(replace(x, glaze="press") for x in plan.lots),
        finishes=tuple(replace(n, task="press") for n in plan.finishes),
        casts=tuple(replace(c, pour="press", lift="press") for c in plan.casts),
        jobs=tuple(replace(j, task="press") for j in plan.jobs),
    )
    assert Rule.R01 in {v.rule for v in check(studio(), one)}


def test_shuffled_tasks_are_checked() -> None:
    scenario, plan = TINY, read_plan((EXAMPLES / "tiny.plan.json").read_bytes())
    r = random.Random(3)
    for _ in range(200):
        starts = [t.start for t in plan.tasks]
        r.shuffle(starts)
        tasks = tuple(replace(t, start=s, end=s + t.end - t.start) for t, s in zip(plan.tasks, starts, strict=True))
        assert check(scenario, replace(plan, tasks=tasks))
