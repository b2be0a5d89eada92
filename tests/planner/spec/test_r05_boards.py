"""R05: a rack never holds more ware boards than it has; one that is over-full at 0 only comes down."""

from __future__ import annotations

from dataclasses import replace

import pytest

from planner.plan import Plan
from planner.scenario import Boards, Racks, Scenario
from tests.planner import builders as make
from tests.planner.spec.support import add, at, edit, lines, studio, week

ONE_A_BOARD = {"boards": Boards(1, 1)}


def racks(damp: int = 9, drying: int = 9, glazed: int = 9) -> Racks:
    return Racks(damp, drying, glazed)


def two_bowls(covered: bool = False, **given: object) -> tuple[Scenario, Plan]:
    """Two bowls, a board each: out at 70, turned by 102, packed at 200; glazed by 1002, packed at 1100."""
    return studio(ONE_A_BOARD, **given), edit(week(), "batches", "b1", covered=covered)


def test_open_ware_stands_on_the_drying_rack_from_the_start_of_taking_out() -> None:
    assert lines(*two_bowls(racks=racks(damp=0, drying=2))) == []
    assert lines(*two_bowls(racks=racks(damp=0, drying=1))) == ["R05 rack drying: 2 boards of 1 at 70"]


def test_covered_ware_stands_on_the_damp_rack_until_the_last_step_ends() -> None:
    assert lines(*two_bowls(covered=True, racks=racks(damp=2, drying=2))) == []
    assert lines(*two_bowls(covered=True, racks=racks(damp=1))) == ["R05 rack damp: 2 boards of 1 at 70"]
    assert lines(*two_bowls(covered=True, racks=racks(drying=1))) == ["R05 rack drying: 2 boards of 1 at 102"]


def test_a_lot_stands_on_the_glazed_rack_from_the_end_of_glazing() -> None:
    assert lines(*two_bowls(racks=racks(glazed=2))) == []
    assert lines(*two_bowls(racks=racks(glazed=1))) == ["R05 rack glazed: 2 boards of 1 at 1002"]


@pytest.mark.parametrize(("pieces", "boards"), [(4, 1), (5, 2), (8, 2), (9, 3)])
def test_a_board_that_is_begun_counts(pieces: int, boards: int) -> None:
    wip = [make.released(count=pieces)]
    form = make.form(steps=[make.step()], boards=Boards(4, 4))
    batch = make.batch("w-out", moulds=(), count=pieces, steps=("trim",))
    plan = make.plan([make.task("trim", "trim", 50, 50 + pieces)], batches=[batch])
    more = add(plan, "tasks", make.task("p", "press", 10, 11, station="jolley"), make.task("r", "release", 100, 101))
    more = add(more, "batches", make.batch("b1", press="p", release="r", steps=("t",)))
    more = add(more, "tasks", make.task("t", "trim", 200, 201))
    scenario = make.bisque_and_back(forms=[form], orders=(), wip=wip)
    assert lines(replace(scenario, racks=racks(drying=boards + 1)), more) == []
    found = lines(replace(scenario, racks=racks(drying=boards)), more)
    assert found == [f"R05 rack drying: {boards + 1} boards of {boards} at 100"]


def two_batches(**given: object) -> tuple[Scenario, Plan]:
    """A bowl dries from 70 until it is packed at 300; a second one comes out of its mould at 300."""
    scenario = make.bisque_and_back(forms=[make.form(**ONE_A_BOARD)], orders=(), **given)
    tasks = [
        make.task("press1", "press", 0, 1, station="jolley"),
        make.task("release1", "release", 70, 71),
        make.task("press2", "press", 10, 11, station="jolley"),
        make.task("release2", "release", 300, 301, person="bryn"),
        make.task("load", "load", 300, 310),
        make.task("unload", "unload", 1000, 1010),
    ]
    batches = [
        make.batch("b1", moulds=("m1",), press="press1", release="release1"),
        make.batch("b2", moulds=("m2",), press="press2", release="release2"),
    ]
    f1 = make.firing("f1", program="bisque", load="load", fire=310, unload="unload", pieces=make.parts(b1=1))
    people = (make.person(), make.person("bryn"))
    return replace(scenario, people=people), make.plan(tasks, batches=batches, firings=[f1])


def test_leaving_and_arriving_in_one_minute_are_netted() -> None:
    scenario, plan = two_batches(racks=racks(drying=1))
    assert lines(scenario, plan) == []
    assert lines(scenario, at(plan, release2=299)) == ["R05 rack drying: 2 boards of 1 at 299"]


def test_what_is_not_loaded_yet_stays() -> None:
    # 3 bowls, 2 a board: packing one of them at 200 frees a board
    wip = [make.drying(count=3)]
    scenario = make.bisque_and_back(
        forms=[make.form(boards=Boards(2, 2))],
        orders=(),
        wip=wip,
        racks=racks(drying=2),
        people=[make.person(), make.person("bryn")],
    )
    tasks = [
        make.task("press", "press", 0, 1, station="jolley"),
        make.task("release", "release", 200, 201, person="bryn"),
        make.task("load", "load", 200, 210),
        make.task("unload", "unload", 1000, 1010),
    ]
    f1 = make.firing(program="bisque", load="load", fire=210, unload="unload", pieces=[make.Part("w-dry", 1)])
    plan = make.plan(tasks, batches=[make.batch(press="press", release="release")], firings=[f1])
    assert lines(scenario, plan) == []
    assert lines(scenario, at(plan, release=199)) == ["R05 rack drying: 3 boards of 2 at 199"]
    two = edit(plan, "firings", "f1", pieces=(make.Part("w-dry", 2),))  # the bowl that is left keeps its board
    assert lines(replace(scenario, racks=racks(drying=2)), two) == []


def test_a_lot_that_is_fired_in_two_loads_leaves_in_two() -> None:
    wip = [make.glazed(count=2), make.bisqued(count=1)]
    scenario = make.bisque_and_back(
        forms=[make.form(**ONE_A_BOARD)], orders=[make.order(qty=3)], wip=wip, racks=racks(glazed=2)
    )
    tasks = [
        make.task("glaze", "glaze", 99, 100),
        make.task("load", "load", 100, 110),
        make.task("unload", "unload", 900, 910),
    ]
    f1 = make.firing("f1", program="glost", load="load", fire=110, unload="unload", pieces=(make.Part("w-glazed", 1),))
    lot = make.lot("l1", sources=(make.Part("w-bisque", 1),), glaze="glaze")
    plan = make.plan(tasks, firings=[f1], lots=[lot])
    assert lines(scenario, plan) == []
    found = lines(scenario, at(plan, glaze=97))
    assert found == ["R05 rack glazed: 3 boards of 2 at 98"]


def test_what_is_bisqued_or_fired_takes_no_board() -> None:
    wip = [make.bisqued(count=5), make.fired(count=5)]
    scenario = make.bisque_and_back(forms=[make.form(**ONE_A_BOARD)], wip=wip, racks=racks(0, 0, 0))
    assert lines(scenario, make.plan()) == []


def over_full(standing: int, **given: object) -> tuple[Scenario, Plan]:
    """``standing`` boards on a drying rack for two; two of them are packed at 300."""
    scenario, plan = two_batches(wip=[make.drying(count=standing)], racks=racks(drying=2), **given)
    plan = edit(plan, "firings", "f1", pieces=(make.Part("w-dry", 2),))
    plan = replace(
        plan,
        tasks=tuple(t for t in plan.tasks if t.id not in ("press1", "release1")),
        batches=tuple(b for b in plan.batches if b.id != "b1"),
    )
    return scenario, plan


def test_a_rack_that_is_over_full_at_0_may_stand_so() -> None:
    scenario, plan = over_full(4)
    bare = replace(plan, tasks=(), batches=(), firings=())
    assert lines(scenario, bare) == []


def test_an_over_full_rack_takes_nothing() -> None:
    scenario, plan = over_full(4)
    assert lines(scenario, at(plan, release2=299)) == ["R05 rack drying: 5 boards of 4 at 299"]


def test_an_over_full_rack_takes_less_than_leaves_in_that_minute() -> None:
    # 4 - 2 + 1 = 3: still more than it has room for, but nothing was added
    scenario, plan = over_full(4)
    assert lines(scenario, plan) == []


def test_an_over_full_rack_never_goes_up_again_on_its_way_down() -> None:
    # 5 on a rack for 2: at 300 it comes down to 3, and a board more would be 4
    scenario, plan = over_full(5)
    assert lines(scenario, at(plan, release2=301)) == ["R05 rack drying: 4 boards of 3 at 301"]


def test_a_rack_that_has_come_down_is_held_to_its_size() -> None:
    scenario, plan = over_full(3)
    assert lines(scenario, at(plan, release2=310)) == []
    one_bowl_more = (make.task("press3", "press", 20, 21, station="jolley"), make.task("release3", "release", 320, 321))
    plan = add(at(plan, release2=310), "tasks", *one_bowl_more)
    plan = add(plan, "batches", make.batch("b3", moulds=("m1",), press="press3", release="release3"))
    assert lines(scenario, plan) == ["R05 rack drying: 3 boards of 2 at 320"]


def test_what_is_given_up_takes_no_board_from_0_on() -> None:
    form = make.form(steps=[make.step()], **ONE_A_BOARD)
    scenario = make.scenario(forms=[form], wip=[make.released(count=3), make.released("w-2")], racks=racks(drying=3))
    two = make.batch("w-2", moulds=(), count=1, steps=("trim",))
    gone = make.batch("w-out", moulds=(), count=3)
    plan = make.plan([make.task("trim", "trim", 0, 1)], batches=[gone, two], spoiled=["w-out"])
    assert lines(replace(scenario, racks=racks(drying=1)), plan) == []


def test_covered_ware_of_now_stands_on_the_damp_rack() -> None:
    form = make.form(steps=[make.step()], **ONE_A_BOARD)
    wip = [make.released(count=2, covered=True), make.drying(count=1)]
    scenario = make.scenario(forms=[form], wip=wip, racks=racks(damp=2, drying=3))
    batch = make.batch("w-out", moulds=(), count=2, steps=("trim",), covered=True)
    plan = make.plan([make.task("trim", "trim", 50, 52)], batches=[batch])
    assert lines(scenario, plan) == []
    found = lines(replace(scenario, racks=racks(damp=2, drying=2)), plan)
    assert found == ["R05 rack drying: 3 boards of 2 at 52"]
