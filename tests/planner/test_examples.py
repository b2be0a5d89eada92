"""The worked plans: valid ones break no rule, broken ones break the rule that is named, all cost what is written."""

from __future__ import annotations

import json
from functools import cache
from typing import Any

import pytest

from planner.checks import check
from planner.costs import reckon, with_costs
from planner.jsonio import read_plan, read_scenario
from planner.plan import Plan
from planner.rules import Rule
from planner.scenario import Scenario
from tests.planner.conftest import EXAMPLES

INDEX: list[dict[str, Any]] = json.loads((EXAMPLES / "index.json").read_bytes())
VALID = [entry for entry in INDEX if entry["valid"]]
BROKEN = [entry for entry in INDEX if not entry["valid"]]


@cache
def scenario_of(name: str) -> Scenario:
    return read_scenario((EXAMPLES / name).read_bytes())


def load(entry: dict[str, Any]) -> tuple[Scenario, Plan]:
    return scenario_of(entry["scenario"]), read_plan((EXAMPLES / entry["plan"]).read_bytes())


def name_of(entry: dict[str, Any]) -> str:
    return str(entry["plan"])


def test_the_examples_are_all_there() -> None:
    assert len(INDEX) == 74
    assert len(VALID) == 6
    assert {entry["rule"] for entry in BROKEN} == {rule.name for rule in Rule}


@pytest.mark.parametrize("entry", VALID, ids=name_of)
def test_a_valid_plan_breaks_no_rule(entry: dict[str, Any]) -> None:
    assert check(*load(entry)) == []


@pytest.mark.parametrize("entry", BROKEN, ids=name_of)
def test_a_broken_plan_breaks_the_rule_that_is_named(entry: dict[str, Any]) -> None:
    found = check(*load(entry))
    assert found[0].rule.name == entry["rule"]  # first of all that is wrong


@pytest.mark.parametrize("entry", [e for e in INDEX if e["costs"] is not None], ids=name_of)
def test_a_plan_costs_what_is_written(entry: dict[str, Any]) -> None:
    scenario, plan = load(entry)
    right = reckon(scenario, plan)
    assert right.costs == entry["costs"]
    assert right.cost == sum(entry["costs"].values())


@pytest.mark.parametrize("entry", VALID, ids=name_of)
def test_reckoning_a_valid_plan_changes_nothing(entry: dict[str, Any]) -> None:
    scenario, plan = load(entry)
    assert with_costs(scenario, plan) == plan
