"""Scenarios and plans as JSON, both ways. ``FORMAT.md`` says what the documents hold."""

from __future__ import annotations

import json
from typing import Any

from planner.faults import Fault, Refused, Unreadable
from planner.jsonio.codec import plain, read_record
from planner.jsonio.text import parse
from planner.plan import Plan
from planner.scenario import Scenario

__all__ = [
    "Fault",
    "Refused",
    "Unreadable",
    "plan_from_json",
    "plan_to_json",
    "read_plan",
    "read_scenario",
    "scenario_from_json",
    "scenario_to_json",
    "write_plan",
    "write_scenario",
]


def scenario_from_json(value: Any) -> Scenario:
    """The scenario in ``value`` (what ``json.loads`` gives); raises :class:`Unreadable`."""
    made: Scenario = _from_json(Scenario, value)
    return made


def plan_from_json(value: Any) -> Plan:
    """The plan in ``value``; raises :class:`Unreadable`. Its form is checked, not whether it is valid."""
    made: Plan = _from_json(Plan, value)
    return made


def _from_json(cls: type, value: Any) -> Any:
    built, faults = read_record(cls, value)
    if faults:
        raise Unreadable(faults)
    return built


def read_scenario(data: bytes) -> Scenario:
    """The scenario in the UTF-8 JSON ``data``; raises :class:`Unreadable`."""
    return scenario_from_json(parse(data))


def read_plan(data: bytes) -> Plan:
    """The plan in the UTF-8 JSON ``data``; raises :class:`Unreadable`."""
    return plan_from_json(parse(data))


def scenario_to_json(scenario: Scenario) -> dict[str, Any]:
    made: dict[str, Any] = plain(scenario)
    return made


def plan_to_json(plan: Plan) -> dict[str, Any]:
    made: dict[str, Any] = plain(plan)
    return made


def write_scenario(scenario: Scenario) -> bytes:
    """``scenario`` as UTF-8 JSON, one key a line."""
    return _written(scenario_to_json(scenario))


def write_plan(plan: Plan) -> bytes:
    return _written(plan_to_json(plan))


def _written(value: dict[str, Any]) -> bytes:
    return (json.dumps(value, ensure_ascii=False, indent=1, allow_nan=False) + "\n").encode()
