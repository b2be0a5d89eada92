"""R12: nobody takes more pieces from anywhere than are there."""

from __future__ import annotations

import pytest

from planner.plan import Plan
from planner.scenario import Scenario
from tests.planner import builders as make
from tests.planner.spec.support import add, edit, lines, studio, week


def load(program: str, *pieces: object) -> Plan:
    tasks = [make.task("load", "load", 500, 510), make.task("unload", "unload", 1500, 1510)]
    return make.plan(
        tasks, firings=[make.firing("f1", program=program, load="load", fire=510, unload="unload", pieces=pieces)]
    )


@pytest.mark.parametrize(
    ("program", "wip"), [("bisque", make.drying("w", count=3)), ("glost", make.glazed("w", count=3))]
)
def test_loaded_from_work_in_progress(program: str, wip: object) -> None:
    scenario = make.bisque_and_back(wip=[wip])
    assert lines(scenario, load(program, make.Part("w", 3))) == []
    assert lines(scenario, load(program, make.Part("w", 1), make.Part("w", 2))) == []
    assert lines(scenario, load(program, make.Part("w", 4))) == ["R12 w: 4 loaded of 3"]
    assert lines(scenario, load(program, make.Part("w", 2), make.Part("w", 2))) == ["R12 w: 4 loaded of 3"]


def test_loaded_from_a_batch_and_a_lot() -> None:
    assert lines(studio(), edit(week(), "firings", "f1", pieces=make.parts(b1=3))) == ["R12 b1: 3 loaded of 2"]
    assert lines(studio(), edit(week(), "firings", "f2", pieces=make.parts(l1=3))) == ["R12 l1: 3 loaded of 2"]


def test_loaded_in_two_firings() -> None:
    scenario = make.bisque_and_back(wip=[make.drying("w", count=3)])
    second = make.firing("f2", program="bisque", load="load2", fire=2010, unload="unload2", pieces=[make.Part("w", 1)])
    tasks = make.task("load2", "load", 2000, 2010), make.task("unload2", "unload", 3000, 3010)
    for first, broken in ((2, []), (3, ["R12 w: 4 loaded of 3"])):
        plan = add(add(load("bisque", make.Part("w", first)), "tasks", *tasks), "firings", second)
        assert lines(scenario, plan) == broken


def glazing(*lots: tuple[str, str, int]) -> Plan:
    """Lots of (order, source, pieces), one after the other."""
    tasks, made = [], []
    for i, (order, source, count) in enumerate(lots, 1):
        tasks.append(make.task(f"t{i}", "glaze", 100 * i, 100 * i + count))
        made.append(make.lot(f"l{i}", order=order, count=count, sources=[make.Part(source, count)], glaze=f"t{i}"))
    return make.plan(tasks, lots=made)


def two_orders(**given: object) -> Scenario:
    return make.bisque_and_back(**{"orders": [make.order("o1", qty=9), make.order("o2", qty=9)], **given})


def test_glazed_from_bisqued_ware() -> None:
    scenario = two_orders(wip=[make.bisqued("w", count=3)])
    assert lines(scenario, glazing(("o1", "w", 2), ("o2", "w", 1))) == []
    found = lines(scenario, glazing(("o1", "w", 2), ("o2", "w", 2)))
    assert found == ["R12 w: 4 bowl glazed of 3"]


def test_glazed_from_a_firing_form_by_form() -> None:
    forms = [make.form(), make.form("plate")]
    wip = [make.in_kiln("w1", fired_stage="bisque", count=3), make.in_kiln("w2", form="plate", fired_stage="bisque")]
    orders = [make.order("o1", qty=9), make.order("o2", form="plate", qty=9)]
    scenario = two_orders(forms=forms, wip=wip, orders=orders, kilns=[make.kiln(free_at=None)])

    def plan(*lots: tuple[str, str, int]) -> Plan:
        drawn = add(glazing(*lots), "tasks", make.task("draw", "unload", 60, 70))
        return add(drawn, "firings", make.firing("now:a", unload="draw"))

    assert lines(scenario, plan(("o1", "now:a", 3), ("o2", "now:a", 1))) == []
    assert lines(scenario, plan(("o1", "now:a", 4))) == ["R12 now:a: 4 bowl glazed of 3"]
    assert lines(scenario, plan(("o2", "now:a", 2))) == ["R12 now:a: 2 plate glazed of 1"]


def sorting(*finishes: tuple[str, str, int]) -> Plan:
    tasks, made = [], []
    for i, (order, source, count) in enumerate(finishes, 1):
        tasks.append(make.task(f"t{i}", "finish", 100 * i, 100 * i + count))
        made.append(make.finish(f"n{i}", order=order, source=source, count=count, task=f"t{i}"))
    return make.plan(tasks, finishes=made)


def test_finished_from_fired_ware() -> None:
    scenario = two_orders(wip=[make.fired("w", count=3)])
    assert lines(scenario, sorting(("o1", "w", 2), ("o1", "w", 1))) == []
    found = lines(scenario, sorting(("o1", "w", 2), ("o1", "w", 2)))
    assert found == ["R12 order o1: 4 finished from w of 3"]


def test_finished_from_a_firing_order_by_order() -> None:
    wip = [make.in_kiln("w1", order="o1", count=3), make.in_kiln("w2", order="o2")]
    scenario = two_orders(wip=wip, kilns=[make.kiln(free_at=None)])

    def plan(*finishes: tuple[str, str, int]) -> Plan:
        drawn = add(sorting(*finishes), "tasks", make.task("draw", "unload", 60, 70))
        return add(drawn, "firings", make.firing("now:a", unload="draw"))

    assert lines(scenario, plan(("o1", "now:a", 3), ("o2", "now:a", 1))) == []
    assert lines(scenario, plan(("o2", "now:a", 2))) == ["R12 order o2: 2 finished from now:a of 1"]


def test_a_lot_holds_what_it_takes() -> None:
    scenario = two_orders(wip=[make.bisqued("w", count=9)])
    for taken in (2, 4):
        plan = edit(glazing(("o1", "w", 3)), "lots", "l1", sources=(make.Part("w", taken),))
        assert lines(scenario, plan) == [f"R12 lot l1: 3 pieces of {taken} taken"]


@pytest.mark.parametrize("count", [0, -1])
def test_at_least_one_piece(count: int) -> None:
    found = lines(make.bisque_and_back(wip=[make.drying("w")]), load("bisque", make.Part("w", count)))
    assert found == [f"R12 f1: {count} pieces from w"]
    plan = edit(glazing(("o1", "w", 3)), "lots", "l1", sources=(make.Part("w", 3 - count), make.Part("w", count)))
    assert f"R12 lot l1: {count} pieces from w" in lines(two_orders(wip=[make.bisqued("w", count=9)]), plan)
    found = lines(two_orders(wip=[make.fired("w")]), edit(sorting(("o1", "w", 1)), "finishes", "n1", count=count))
    assert found == [f"R12 finish n1: {count} pieces"]


def test_a_name_means_one_thing() -> None:
    drying = make.drying("l1", dry_at=9000)
    assert "R12 l1: 2 things have this id" in lines(studio(wip=[drying]), week())
    assert "R12 f1: 2 things have this id" in lines(studio(), edit(week(), "batches", "b1", id="f1"))
    assert "R12 f1: 2 things have this id" in lines(studio(), edit(week(), "firings", "f2", id="f1"))
    twice = add(week(), "finishes", make.finish("n1", source="f2", task="other"))
    assert "R12 finish n1: 2 finishes have this id" in lines(studio(), twice)
