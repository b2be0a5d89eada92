"""R09: bisque of the order's form, glazed once it is out and as long as it takes, packed once the glaze is dry."""

from __future__ import annotations

import pytest

from planner.plan import Plan
from planner.scenario import Scenario, Work
from tests.planner import builders as make
from tests.planner.spec.support import add, at, edit, lasting, lines, studio, week


def test_glazed_once_the_kiln_is_drawn() -> None:
    # drawn 900-910
    assert lines(studio(), at(week(), glaze=910)) == []
    found = lines(studio(people=[make.person(), make.person("bryn")]), at(bryn_glazes(), glaze=909))
    assert found == ["R09 lot l1: glazed 1 min before f1 is out"]


def bryn_glazes() -> Plan:
    return edit(week(), "tasks", "glaze", person="bryn")


def glazing(source: str, **lot: object) -> Plan:
    count = lot.get("count", 1)
    lots = [make.lot(**{"sources": [make.Part(source, count)], "glaze": "t1", **lot})]
    return make.plan([make.task("t1", "glaze", 100, 100 + int(count))], lots=lots)


def bisque(**given: object) -> Scenario:
    return make.bisque_and_back(**{"wip": [make.bisqued(count=5, at=100)], "orders": [make.order(qty=5)], **given})


def test_bisqued_ware_is_glazed_from_its_minute() -> None:
    assert lines(bisque(), glazing("w-bisque")) == []
    found = lines(bisque(), at(glazing("w-bisque"), t1=99))
    assert found == ["R09 lot l1: glazed 1 min before w-bisque is out"]


def test_the_bisque_now_in_a_kiln_is_glazed_once_it_is_drawn() -> None:
    wip = [make.in_kiln(fired_stage="bisque", opens=50)]
    scenario = bisque(wip=wip, kilns=[make.kiln(free_at=None)])
    plan = add(glazing("now:a"), "tasks", make.task("draw", "unload", 90, 100))
    plan = add(plan, "firings", make.firing("now:a", unload="draw"))
    assert lines(scenario, plan) == []
    bryn = edit(plan, "tasks", "draw", person="bryn", start=91, end=101)
    found = lines(bisque(wip=wip, kilns=scenario.kilns, people=[make.person(), make.person("bryn")]), bryn)
    assert found == ["R09 lot l1: glazed 1 min before now:a is out"]


# minutes = the glaze's fixed + (the form's fixed + ceil(5 pieces x 30 s / 60)), the second at least 1
@pytest.mark.parametrize(
    ("fixed", "work", "minutes"),
    [(0, Work(0, 30), 3), (25, Work(0, 30), 28), (25, Work(4, 30), 32), (7, Work(0, 0), 8)],
)
def test_glazing_takes_the_bucket_and_the_pieces(fixed: int, work: Work, minutes: int) -> None:
    scenario = bisque(forms=[make.form(glaze=work)], glazes=[make.glaze(fixed=fixed)])
    plan = glazing("w-bisque", count=5)
    assert lines(scenario, lasting(plan, t1=minutes)) == []
    for wrong in (minutes - 1, minutes + 1):
        found = lines(scenario, lasting(plan, t1=wrong))
        assert found == [f"R09 lot l1: glaze lasts {wrong} min, its work says {minutes}"]


def test_only_bisque_is_glazed() -> None:
    wip = [make.bisqued(), make.drying(), make.glazed(), make.fired(), make.in_kiln(fired_stage="bisque")]
    scenario = bisque(wip=wip, kilns=[make.kiln(free_at=None)])
    for source in ("w-dry", "w-glazed", "w-fired", "w-kiln", "nothing"):
        plan = add(glazing(source), "tasks", make.task("draw", "unload", 200, 210))
        plan = add(plan, "firings", make.firing("now:a", unload="draw"))
        assert lines(scenario, plan) == [f"R09 lot l1: {source} is no bisque"]


def test_a_glost_firing_is_no_bisque() -> None:
    found = lines(studio(), edit(week(), "lots", "l1", sources=make.parts(f2=2)))
    assert "R09 lot l1: f2 is no bisque" in found


def test_bisque_of_another_form() -> None:
    scenario = bisque(forms=[make.form(), make.form("plate")], wip=[make.bisqued(form="plate")])
    found = lines(scenario, glazing("w-bisque"))
    assert found == ["R09 lot l1: w-bisque is no bowl", "R12 w-bisque: 1 bowl glazed of 0"]


def test_an_order_that_there_is_not() -> None:
    assert lines(bisque(), glazing("w-bisque", order="o9")) == ["R09 lot l1: there is no order o9"]


def test_packed_once_the_glaze_is_dry() -> None:
    # glazed by 1002, dry 60 min later
    assert lines(studio(), at(week(), load2=1062)) == []
    assert lines(studio(), at(week(), load2=1061)) == ["R09 f2: l1 loaded 1 min before its glaze is dry"]


def test_glazed_ware_is_packed_from_its_minute() -> None:
    def scenario(at_: int) -> Scenario:
        return make.bisque_and_back(wip=[make.glazed(at=at_)])

    tasks = [make.task("load", "load", 100, 110), make.task("unload", "unload", 900, 910)]
    f1 = make.firing(program="glost", load="load", fire=110, unload="unload", pieces=[make.Part("w-glazed", 1)])
    plan = make.plan(tasks, firings=[f1])
    assert lines(scenario(100), plan) == []
    assert lines(scenario(101), plan) == ["R09 f1: w-glazed loaded 1 min before its glaze is dry"]
