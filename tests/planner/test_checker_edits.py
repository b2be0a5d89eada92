"""Systematic small edits of valid plans: the checker never raises, and what an edit must break is seen."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import fields, replace
from functools import cache
from typing import Any

import pytest

from planner.checks import check
from planner.costs import reckon, with_costs
from planner.jsonio import read_plan, read_scenario
from planner.plan import Part, Plan
from planner.scenario import Scenario
from tests.planner.conftest import EXAMPLES

LISTS = ("tasks", "batches", "firings", "lots", "finishes", "casts", "jobs", "orders")
NAMES = ("tiny", "spoiled", "small-repair", "busy")


@cache
def example(name: str) -> tuple[Scenario, Plan]:
    scenario = read_scenario((EXAMPLES / f"{name}.json").read_bytes())
    return scenario, read_plan((EXAMPLES / f"{name}.plan.json").read_bytes())


def with_record(plan: Plan, key: str, i: int, record: Any) -> Plan:
    records = getattr(plan, key)
    return replace(plan, **{key: (*records[:i], *(() if record is None else (record,)), *records[i + 1 :])})


def other_values(value: Any, others: list[str]) -> Iterator[Any]:
    """Values near ``value`` and far from it, of the kinds that its field may hold."""
    if isinstance(value, bool):
        yield not value
    elif isinstance(value, int):
        yield from (value - 1, value + 1, -value - 1, 0, 10**9)
    elif isinstance(value, str) or value is None:
        yield from (None, "nothing", *others)
    elif isinstance(value, tuple):
        yield from ((), value[1:], value + value[:1])
        if value and isinstance(value[0], Part):
            yield tuple(replace(p, count=p.count + 1) for p in value)
            yield tuple(replace(p, source="nothing") for p in value)
            yield from (tuple(replace(p, source=other) for p in value) for other in others)
        else:
            yield ("nothing", *value[1:])


def edits(plan: Plan) -> Iterator[tuple[str, Plan]]:
    """One change to one field of one record, or a record left out or doubled."""
    ids = {key: [x.id for x in getattr(plan, key)] for key in LISTS}
    others = [found[len(found) // 2] for found in ids.values() if found]
    for key in LISTS:
        for i, record in enumerate(getattr(plan, key)):
            yield f"{key}/{i} left out", with_record(plan, key, i, None)
            yield f"{key}/{i} doubled", replace(plan, **{key: (*getattr(plan, key), record)})
            for f in fields(record):
                for value in other_values(getattr(record, f.name), others) if f.name != "name" else ():
                    if value != getattr(record, f.name):
                        text = f"{key}/{i}/{f.name} = {value!r}"
                        yield text, with_record(plan, key, i, replace(record, **{f.name: value}))
    for thing in (*others, "nothing", *plan.spoiled):
        yield f"{thing} given up", replace(plan, spoiled=(*plan.spoiled, thing))


def some_edits(name: str, plan: Plan) -> list[tuple[str, Plan]]:
    """Every second edit of a small plan and every eleventh of a large one, so that each field of each list is met."""
    return list(edits(plan))[:: 11 if name == "busy" else 2]


@pytest.mark.parametrize("name", NAMES)
def test_no_edit_makes_the_checker_raise(name: str) -> None:
    scenario, plan = example(name)
    count = 0
    for text, edited in some_edits(name, plan):
        count += 1
        try:
            found = check(scenario, edited)
            for violation in found:
                assert str(violation).startswith(violation.rule.name)
        except Exception as e:
            raise AssertionError(text) from e
    assert count > 500


# Fields that a rule ties to one value, or to ids of the plan or the scenario: any other value breaks a rule.
TIED = (
    *("kind", "station", "form", "press", "release", "steps"),
    *(
        "kiln",
        "program",
        "load",
        "unload",
        "order",
        "glaze",
        "source",
        "task",
        "pour",
        "lift",
        "done",
        "late_min",
        "reckoned",
    ),
)


@pytest.mark.parametrize("name", NAMES)
def test_an_edit_that_no_rule_allows_is_refused(name: str) -> None:
    scenario, plan = example(name)
    refused = 0
    for text, edited in some_edits(name, plan):
        where = text.split(" = ")[0]
        if not where.endswith((*TIED, "left out", "doubled", "given up")):
            continue
        found = check(scenario, edited)
        if not where.startswith("orders") and not any("wrong kind" in v.text for v in found):
            found = check(scenario, with_costs(scenario, edited))  # it is not the costs alone that see the edit
        assert found, text
        refused += 1
    assert refused > 200


@pytest.mark.parametrize("name", NAMES)
def test_a_task_a_minute_longer_or_shorter_is_refused(name: str) -> None:
    scenario, plan = example(name)
    for i, task in enumerate(plan.tasks):
        for end in (task.end - 1, task.end + 1):
            edited = with_costs(scenario, with_record(plan, "tasks", i, replace(task, end=end)))
            rules = {v.rule.name for v in check(scenario, edited)}
            duration = {"press": "R02", "glaze": "R09"}.get(task.kind, "R01")
            assert duration in rules, f"{task} to {end}"


@pytest.mark.parametrize("name", NAMES)
def test_one_mould_more_or_fewer_is_refused(name: str) -> None:
    scenario, plan = example(name)
    for i, batch in enumerate(plan.batches):
        if batch.press is not None:
            for moulds in (batch.moulds[1:], (*batch.moulds, "nothing"), (*batch.moulds, batch.moulds[0])):
                edited = with_record(plan, "batches", i, replace(batch, moulds=moulds))
                assert "R02" in {v.rule.name for v in check(scenario, edited)}


@pytest.mark.parametrize("name", NAMES)
def test_more_than_a_source_holds_is_refused(name: str) -> None:
    scenario, plan = example(name)
    for key, field in (("firings", "pieces"), ("lots", "sources")):
        for i, record in enumerate(getattr(plan, key)):
            for j, part in enumerate(getattr(record, field)):
                parts = list(getattr(record, field))
                parts[j] = replace(part, count=part.count + 1000)
                edited = with_record(plan, key, i, replace(record, **{field: tuple(parts)}))
                assert "R12" in {v.rule.name for v in check(scenario, edited)}
    for i, finish in enumerate(plan.finishes):
        edited = with_record(plan, "finishes", i, replace(finish, count=finish.count + 1000))
        assert "R12" in {v.rule.name for v in check(scenario, edited)}


@pytest.mark.parametrize("name", NAMES)
def test_the_order_of_the_lists_changes_nothing(name: str) -> None:
    scenario, plan = example(name)
    backwards = replace(plan, **{key: getattr(plan, key)[::-1] for key in LISTS})
    assert check(scenario, backwards) == []


def test_a_plan_for_another_scenario_is_refused() -> None:
    for one in NAMES:
        for other in {"tiny", "small-repair", "busy"} - {one, "tiny" if one == "spoiled" else one}:
            assert check(example(other)[0], example(one)[1])


@pytest.mark.parametrize("name", NAMES)
def test_reckoning_never_changes_what_else_is_wrong(name: str) -> None:
    """Costs are a matter of R14 alone."""
    scenario, plan = example(name)
    for _, edited in list(edits(plan))[::37]:
        before = [str(v) for v in check(scenario, edited) if v.rule.name != "R14"]
        if edited.status == plan.status and not any("wrong kind" in line for line in before):
            right = reckon(scenario, edited)
            after = check(scenario, replace(edited, cost=right.cost, costs=right.costs, orders=right.orders))
            assert [str(v) for v in after] == before
