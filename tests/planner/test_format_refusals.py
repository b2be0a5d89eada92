"""Each rule of the format, broken once: the fault points there and says what would be right."""

from __future__ import annotations

from typing import Any

import pytest

from planner.jsonio import Unreadable, plan_from_json, scenario_from_json


def _holder(document: Any, pointer: str) -> tuple[Any, Any]:
    """What holds the value at ``pointer``, and its key or place there."""
    *way, last = pointer.split("/")[1:]
    for part in way:
        document = document[int(part)] if isinstance(document, list) else document[part]
    return document, int(last) if isinstance(document, list) and last != "-" else last


def _set(document: Any, pointer: str, value: Any) -> None:
    holder, key = _holder(document, pointer)
    if key == "-":
        holder.append(value)
    else:
        holder[key] = value


def _refusals(read: Any, document: Any) -> list[str]:
    with pytest.raises(Unreadable) as refused:
        read(document)
    return [str(f) for f in refused.value.faults]


FIRING = {"stage": "firing", "id": "x", "form": "beaker", "count": 2, "kiln": "a", "opens": 500, "order": None}
PIECES = {"id": "x", "form": "beaker", "count": 1}

# (where, what is put there, the fault that must be among those told). The scenario is examples/tiny.json: the forms
# beaker (one step, trim), soup-plate (no step), the kiln a with a bisque firing in it, three soup-plate moulds filled.
SCENARIO = [
    ("/format", 2, "/format: 2 is a format that is not read; 1"),
    ("/format", True, "/format: true is a format that is not read; 1"),
    ("/start", "2026-11-30T07:00", '/start: "2026-11-30T07:00" is no such instant'),
    ("/start", "2026-11-30T07:00:00+00:00", "/start: "),
    ("/start", "2026-02-30T07:00+00:00", '/start: "2026-02-30T07:00+00:00" is no day and time that there is'),
    ("/horizon", 0, "/horizon: 0 is too small; a whole number of minutes from 1 to 5256000"),
    ("/horizon", 5_256_001, "/horizon: 5256001 is too large"),
    ("/people/0/id", "", "/people/0/id: an empty text; 1 to 80 printable characters"),
    ("/people/0/id", "x" * 81, "/people/0/id: a text of 81 characters"),
    ("/people/0/id", "an\u0007sa", '/people/0/id: "an\\x07sa" holds what does not print'),
    ("/people/0/id", "now:a", '/people/0/id: "now:a" begins with now:; only the load now in a kiln has such an id'),
    ("/people/0/name", None, "/people/0/name: null is no text"),
    ("/people/0/hours/1", [300, 400], "/people/0/hours/1: the span [300, 400] begins before [60, 330] has ended"),
    ("/people/0/hours/0", [60, 60], "/people/0/hours/0: the span [60, 60] is empty; a span [a, b) has a < b"),
    ("/people/0/hours/0", [60], "/people/0/hours/0: a list is no pair of minutes"),
    ("/people/0/hours/0/1", 330.5, "/people/0/hours/0/1: 330.5 is not a whole number"),
    ("/people/0/extra/0", [550, 610], "/people/0/extra/0: the span [550, 610] overlaps [360, 600] of the hours"),
    ("/people/0/skills", ["press", "press"], '/people/0/skills/1: "press" stands here twice'),
    ("/stations/0/kinds", ["trim"], "/stations: there are forms but no station serves press"),
    ("/stations/1/id", "jolley", '/stations/1/id: the id "jolley" stands at /stations/0 already'),
    ("/racks/damp", -1, "/racks/damp: -1 is too small; a whole number of boards from 0 to 1000000"),
    ("/forms/0/setup", 25.0, "/forms/0/setup: 25.0 is not a whole number"),
    ("/forms/0/release_after", [720, 300], "/forms/0/release_after: the window [720, 300] never opens"),
    ("/forms/0/release_after", [-1, 300], "/forms/0/release_after/0: -1 is too small"),
    ("/forms/0/release_after", None, "/forms/0/release_after: null is no pair of minutes"),
    ("/forms/0/steps/0/kind", "press", '/forms/0/steps/0/kind: "press" is already the name of another kind of task'),
    ("/forms/0/boards/green", 0, "/forms/0/boards/green: 0 is too small"),
    ("/forms/0/bisque/per_shelf", {"b": 3}, '/forms/0/bisque/per_shelf/b: there is no kiln "b"; use one of "a"'),
    ("/forms/0/glost/clearance_mm", 0, "/forms/0/glost/clearance_mm: 0 is too small"),
    ("/forms/1/tool", "t-beaker", '/forms/1/setup: 30 min, but form "beaker" with the same tool says 25'),
    ("/moulds/0/form", "beacker", '/moulds/0/form: there is no form "beacker"; did you mean "beaker"?'),
    ("/moulds/0/ready", None, "/moulds/0/ready: null, but no batch is in this mould"),
    ("/moulds/9/ready", 0, '/moulds/9/ready: 0, but the batch "w03-in_mould" is in this mould; null while'),
    ("/casts/0/id", "beaker-01", '/casts/0/id: the id "beaker-01" stands at /moulds/0 already'),
    ("/casts/0/pour", 0, "/casts/0/pour: 0 is too small"),
    ("/casts/0/holds", ["a", "a"], '/casts/0/holds/1: "a" stands here twice'),
    ("/casts/0/required", 1, "/casts/0/required: 1 is no yes or no"),
    ("/glazes/0/programs/0", "glost-124", '/glazes/0/programs/0: there is no glost program "glost-124"; did you mean'),
    ("/glazes/0/programs/0", "bisque-1000", '/glazes/0/programs/0: there is no glost program "bisque-1000"'),
    ("/kilns/0/free_at", 0, "/kilns/0/free_at: 0, but ware is in this kiln; null while it holds a firing"),
    ("/kilns/0/programs/1/id", "bisque-1000", '/kilns/0/programs/1/id: the id "bisque-1000" stands at /programs/0'),
    ("/kilns/0/programs/0/stage", "glaze", '/kilns/0/programs/0/stage: unknown word "glaze"'),
    ("/kilns/0/limits/-", {"stage": "glost", "counts": {}}, "/kilns/0/limits/0/counts: an empty limit"),
    (
        "/kilns/0/limits/-",
        {"stage": "glost", "counts": {"cup": 2}},
        '/kilns/0/limits/0/counts/cup: there is no form "cup"',
    ),
    ("/jobs/0/window", [5, 5], "/jobs/0/window: the window [5, 5] never opens"),
    ("/jobs/0/person", "bryn", '/jobs/0/person: there is no person "bryn"'),
    ("/jobs/0/station", "jollay", '/jobs/0/station: there is no station "jollay"; did you mean "jolley"?'),
    ("/orders/0/qty", 0, "/orders/0/qty: 0 is too small; a whole number of pieces from 1 to 1000000"),
    ("/orders/0/weight", 1_000_001, "/orders/0/weight: 1000001 is too large"),
    ("/orders/0/glaze", "frn", '/orders/0/glaze: there is no glaze "frn"; did you mean "fern"?'),
    ("/wip/0/stage", "biscuit", "/wip/0/stage: unknown stage"),
    ("/wip/0/id", "w05-bisqued", '/wip/4/id: the id "w05-bisqued" stands at /wip/0 already'),
    ("/wip/2/count", 2, "/wip/2/moulds: 2 pieces in 3 moulds"),
    ("/wip/2/first", -100, "/wip/2/first: the first piece at -100 lies outside the pressing [-172, -160]"),
    ("/wip/2/moulds/0", "beaker-01", '/wip/2/moulds/0: mould "beaker-01" is of the form "beaker"'),
    ("/wip/2/moulds/0", "cast1", '/wip/2/moulds/0: there is no mould "cast1"'),
    ("/wip/3/steps_done", 1, '/wip/3/steps_done: 1 steps done, but "beaker" has 1; fewer than all'),
    ("/forms/0/steps/0/after_covered", None, '/wip/3/covered: covered, but a step of "beaker" that is left cannot'),
    ("/wip/1/order", "o02", "/wip/1/order: ware in a bisque firing has an order; null"),
    ("/wip/1/kiln", "b", '/wip/1/kiln: there is no kiln "b"'),
    ("/wip/-", {**FIRING, "fired_stage": "glost"}, "/wip/5/fired_stage: glost in the kiln that holds a bisque firing"),
    ("/wip/-", {**PIECES, "stage": "fired", "order": "o01", "at": 0}, '/wip/5/order: order "o01" is for the form'),
    ("/wip/-", {**PIECES, "stage": "fired", "order": "o99", "at": 0}, '/wip/5/order: there is no order "o99"'),
    ("/wip/-", {**PIECES, "stage": "glazed", "order": None, "glaze": "x", "at": 0}, "/wip/5/glaze: there is no glaze"),
    ("/to_finish/green", 99_999, '/to_finish/green: 99999 is more than the 15840 of the earlier stage "none"'),
    ("/weights/late_step", 0, "/weights/late_step: 0 is too small"),
    ("/pins", ["t1"], "/pins/0: a pin, but no previous plan; remove it"),
    ("/previous", [], "/previous: a list is no object; an object in { }"),
    ("/forms/0/mould_rset", 5, '/forms/0: unknown key "mould_rset"'),
    ("/wip/0/at_", 5, '/wip/0: unknown key "at_"'),
]


@pytest.mark.parametrize(("pointer", "value", "fault"), SCENARIO, ids=lambda x: str(x)[:40])
def test_a_scenario_that_breaks_one_rule_is_refused_there(
    tiny: dict[str, Any], pointer: str, value: Any, fault: str
) -> None:
    _set(tiny, pointer, value)
    assert any(line.startswith(fault) for line in _refusals(scenario_from_json, tiny))


def test_a_filled_mould_is_in_one_batch_only(tiny: dict[str, Any]) -> None:
    tiny["wip"].append({**tiny["wip"][2], "id": "again"})
    assert _refusals(scenario_from_json, tiny) == [
        f'/wip/5/moulds/{i}: mould "soup-plate-0{i + 1}" holds the batch "w03-in_mould" already; '
        "a mould holds one piece at a time"
        for i in range(3)
    ]


def test_a_mould_that_is_never_covered_holds_no_covered_batch(tiny: dict[str, Any]) -> None:
    tiny["forms"][1]["release_after_covered"] = None
    tiny["wip"][2]["covered"] = True
    assert _refusals(scenario_from_json, tiny) == [
        '/wip/2/covered: covered, but a filled mould of "soup-plate" is never covered; '
        "false, or give the form release_after_covered"
    ]


def test_a_kiln_is_free_at_some_minute_exactly_when_nothing_is_in_it(tiny: dict[str, Any]) -> None:
    del tiny["wip"][1]
    assert _refusals(scenario_from_json, tiny) == [
        "/kilns/0/free_at: null, but no ware is in this kiln; the minute it is free"
    ]


def test_a_misspelt_key_is_asked_about_and_missed(tiny: dict[str, Any]) -> None:
    tiny["forms"][0]["mould_rset"] = tiny["forms"][0].pop("mould_rest")
    assert _refusals(scenario_from_json, tiny) == [
        '/forms/0: unknown key "mould_rset"; did you mean "mould_rest"?',
        '/forms/0: missing key "mould_rest"; add it; every key but name is required',
    ]


def test_spans_may_touch_and_hours_may_touch_extra(tiny: dict[str, Any]) -> None:
    tiny["people"][0].update(hours=[[60, 330], [330, 600]], extra=[[0, 60], [600, 630]])
    assert len(scenario_from_json(tiny).people[0].hours) == 2


def test_everything_with_an_id_may_have_a_name(tiny: dict[str, Any]) -> None:
    things = [x for v in tiny.values() if isinstance(v, list) for x in v] + tiny["kilns"][0]["programs"]
    for thing in things:
        thing["name"] = "Große Schale"
    s = scenario_from_json(tiny)
    assert {x.name for x in (*s.people, *s.forms, *s.casts, *s.kilns, *s.wip, *s.orders)} == {"Große Schale"}


def test_a_pin_names_a_task_of_the_previous_plan(tiny: dict[str, Any], tiny_plan: dict[str, Any]) -> None:
    tiny.update(previous=tiny_plan, pins=["t1", "t99"])
    assert _refusals(scenario_from_json, tiny)[0].startswith('/pins/1: the previous plan has no task "t99"; did you')


def test_the_previous_plan_is_looked_at_for_form_only(tiny: dict[str, Any], tiny_plan: dict[str, Any]) -> None:
    tiny_plan["batches"][1]["form"] = "a form that is gone"
    tiny_plan["lots"][0]["glaze"] = "a task that is gone"
    tiny.update(previous=tiny_plan, pins=["t1"])
    assert scenario_from_json(tiny).previous == plan_from_json(tiny_plan)
    tiny_plan["batches"][1]["count"] = 0
    assert _refusals(scenario_from_json, tiny)[0].startswith("/previous/batches/1/count: 0 is too small")


def test_at_most_twenty_faults_are_told(tiny: dict[str, Any]) -> None:
    for m in (*tiny["moulds"], *tiny["people"][0]["hours"]):
        m.clear()
    assert len(_refusals(scenario_from_json, tiny)) == 20


def test_beyond_twenty_faults_nothing_is_built_of_what_was_not_looked_at(
    tiny: dict[str, Any], tiny_plan: dict[str, Any]
) -> None:
    for key in ("people", "stations", "forms", "moulds", "casts", "glazes", "kilns", "jobs", "orders", "wip"):
        tiny[key] = [{}] * 5
    assert len(_refusals(scenario_from_json, tiny)) == 20
    assert len(_refusals(scenario_from_json, tiny_plan)) == 20
    assert len(_refusals(plan_from_json, tiny)) == 20


PLAN = [
    ("/status", "best", '/status: unknown word "best"'),
    ("/cost", 1.5, "/cost: 1.5 is not a whole number"),
    ("/costs/late", -1, "/costs/late: -1 is too small"),
    ("/bound", "0", '/bound: the text "0" is not a whole number'),
    ("/tasks/0/person", None, "/tasks/0/person: null is no text"),
    ("/tasks/1/id", "t1", '/tasks/1/id: the id "t1" stands at /tasks/0 already'),
    ("/batches/2/id", "f1", '/firings/1/id: the id "f1" stands at /batches/2 already'),
    ("/batches/2/id", "now:a", '/batches/2/id: "now:a" begins with now:'),
    ("/firings/0/id", "now:b", '/firings/0/id: "now:b" in the kiln "a"; "now:a"'),
    ("/firings/0/pieces", [{"from": "b1", "count": 1}], "/firings/0/pieces: the load now in a kiln lists pieces"),
    ("/firings/1/load", None, "/firings/1/load: no load; only the load now in a kiln"),
    ("/firings/1/pieces/0/count", 0, "/firings/1/pieces/0/count: 0 is too small"),
    ("/lots/0/from/0/frm", "x", '/lots/0/from/0: unknown key "frm"'),
    ("/spoiled", ["x", "x"], '/spoiled/1: "x" stands here twice'),
    ("/status", "unknown", "/tasks: a plan that is unknown has tasks; an empty list"),
    ("/orders/0/late_min", -5, "/orders/0/late_min: -5 is too small"),
    ("/reasons/0/counts/late", "2", '/reasons/0/counts/late: the text "2" is not a whole number'),
]


@pytest.mark.parametrize(("pointer", "value", "fault"), PLAN, ids=lambda x: str(x)[:40])
def test_a_plan_without_the_form_of_one_is_refused_there(
    tiny_plan: dict[str, Any], pointer: str, value: Any, fault: str
) -> None:
    _set(tiny_plan, pointer, value)
    assert any(line.startswith(fault) for line in _refusals(plan_from_json, tiny_plan))


def test_a_plan_names_every_cost_and_no_other(tiny_plan: dict[str, Any]) -> None:
    tiny_plan["costs"]["lateness"] = tiny_plan["costs"].pop("late")
    assert [line.split(";")[0] for line in _refusals(plan_from_json, tiny_plan)] == [
        '/costs: missing key "late"',
        '/costs: unknown key "lateness"',
    ]
