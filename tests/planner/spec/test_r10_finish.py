"""R10: sorted and packed once it is out of the glost, pieces of that order from that source."""

from __future__ import annotations

from planner.plan import Plan
from planner.scenario import Scenario
from tests.planner import builders as make
from tests.planner.spec.support import add, at, edit, lines, studio, week


def sorting(source: str = "w-fired", **finish: object) -> Plan:
    given = {"source": source, "task": "t1", **finish}
    return make.plan([make.task("t1", "finish", 100, 101)], finishes=[make.finish(**given)])


def out(*wip: object, **given: object) -> Scenario:
    return make.bisque_and_back(**{"orders": [make.order("o1"), make.order("o2")], "wip": wip, **given})


def test_sorted_once_the_kiln_is_drawn() -> None:
    # drawn 1800-1810
    assert lines(studio(), at(week(), finish=1810)) == []
    people = [make.person(), make.person("bryn")]
    found = lines(studio(people=people), at(edit(week(), "tasks", "finish", person="bryn"), finish=1809))
    assert found == ["R10 finish n1: sorted 1 min before f2 is out"]


def test_fired_ware_is_sorted_from_its_minute() -> None:
    assert lines(out(make.fired(at=100)), sorting()) == []
    found = lines(out(make.fired(at=101)), sorting())
    assert found == ["R10 finish n1: sorted 1 min before w-fired is out"]


def test_the_glost_now_in_a_kiln_is_sorted_once_it_is_drawn() -> None:
    scenario = out(make.in_kiln(order="o1"), kilns=[make.kiln(free_at=None)])
    plan = add(sorting("now:a"), "tasks", make.task("draw", "unload", 90, 100))
    plan = add(plan, "firings", make.firing("now:a", unload="draw"))
    assert lines(scenario, plan) == []
    scenario = out(
        make.in_kiln(order="o1"), kilns=[make.kiln(free_at=None)], people=[make.person(), make.person("bryn")]
    )
    found = lines(scenario, at(edit(plan, "tasks", "draw", person="bryn"), draw=91))
    assert found == ["R10 finish n1: sorted 1 min before now:a is out"]


def test_only_glost_fired_ware_is_sorted() -> None:
    scenario = out(make.drying(), make.bisqued(), make.glazed(), make.in_mould(), moulds=[make.mould(ready=None)])
    plan = add(sorting(), "tasks", make.task("t2", "release", 200, 201))
    plan = add(plan, "batches", make.batch("w-in", release="t2"))
    for source in ("w-dry", "w-bisque", "w-glazed", "w-in", "nothing"):
        found = lines(scenario, edit(plan, "finishes", "n1", source=source))
        assert found == [f"R10 finish n1: {source} is not glost fired"]


def test_a_bisque_firing_is_not_glost_fired() -> None:
    found = lines(studio(), edit(week(), "finishes", "n1", source="f1"))
    assert found == ["R10 finish n1: f1 is not glost fired"]


def test_pieces_of_another_order() -> None:
    found = lines(out(make.fired(order="o2")), sorting())
    assert found == [
        "R10 finish n1: w-fired holds nothing for order o1",
        "R12 order o1: 1 finished from w-fired of 0",
    ]


def test_ware_for_stock_is_not_finished() -> None:
    found = lines(out(make.fired(order=None)), sorting())
    assert found[0] == "R10 finish n1: w-fired holds nothing for order o1"


def test_an_order_that_there_is_not() -> None:
    found = lines(out(make.fired()), sorting(order="o9"))
    assert found[0] == "R10 finish n1: there is no order o9"


def test_more_than_is_owed_may_be_finished() -> None:
    plan = sorting(count=3)
    plan = edit(plan, "tasks", "t1", end=103)
    assert lines(out(make.fired(count=3)), plan) == []
