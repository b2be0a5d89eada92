"""Every cost by name, and the pieces that an order is owed, in the order in which they are counted."""

from __future__ import annotations

from dataclasses import replace
from itertools import permutations

import pytest

from planner.costs import reckon
from planner.plan import CastPlan, OrderDone, Plan
from planner.scenario import Scenario
from tests.planner import builders as make
from tests.planner.spec.support import add, at, drop, edit, lines, studio, week

# builders.to_finish(): minutes after the horizon
NONE, GREEN, BISQUED, GLAZED, FIRED = 500, 400, 300, 200, 100
H = make.HORIZON


def costs(scenario: Scenario, plan: Plan) -> dict[str, int]:
    """The costs that are not nought."""
    return {name: cost for name, cost in reckon(scenario, plan).costs.items() if cost}


def done(scenario: Scenario, plan: Plan) -> list[OrderDone]:
    return list(reckon(scenario, plan).orders)


# --- late and tardy -------------------------------------------------------------------------------------------------


def late(due: int, late_step: int = 1, **given: object) -> Scenario:
    """Two bowls, finished at 1902."""
    order = make.order(**{"qty": 2, "due": due, "weight": 3, **given})
    return studio(orders=[order], weights=make.weights(late=5, late_step=late_step, tardy=100))


@pytest.mark.parametrize("due", [1902, 1903, H])
def test_on_time_costs_nothing(due: int) -> None:
    assert costs(late(due), week()) == {}
    assert done(late(due), week()) == [OrderDone("o1", 1902, 0, False)]


# started steps after due x 2 pieces x weight 3 x 5
@pytest.mark.parametrize(
    ("due", "step", "started"), [(1901, 1, 1), (1901, 100, 1), (1802, 100, 1), (1801, 100, 2), (-98, 1000, 2)]
)
def test_late_counts_each_started_step_for_each_piece(due: int, step: int, started: int) -> None:
    assert costs(late(due, step), week()) == {"late": started * 2 * 3 * 5, "tardy": 3 * 100}
    assert done(late(due, step), week()) == [OrderDone("o1", 1902, 1902 - due, False)]


def two_finishes() -> Plan:
    """One bowl finished at 1901, one at 2501."""
    plan = edit(edit(week(), "finishes", "n1", count=1), "tasks", "finish", end=1901)
    plan = add(plan, "finishes", make.finish("n2", source="f2", count=1, task="later"))
    return add(plan, "tasks", make.task("later", "finish", 2500, 2501))


def test_each_piece_counts_at_the_end_of_its_own_finish() -> None:
    scenario = late(1901)
    assert lines(scenario, two_finishes()) == []
    assert costs(scenario, two_finishes()) == {"late": 600 * 3 * 5, "tardy": 300}


def test_the_first_pieces_finished_are_the_ones_that_are_owed() -> None:
    scenario = late(1901, qty=1)  # the second bowl is surplus
    assert costs(scenario, two_finishes()) == {}
    assert done(scenario, two_finishes()) == [OrderDone("o1", 1901, 0, False)]


# --- pieces that are only reckoned ----------------------------------------------------------------------------------


def owed(*wip: object, **given: object) -> Scenario:
    return make.bisque_and_back(**{"orders": [make.order(qty=1, due=0)], "wip": wip, **given})


@pytest.mark.parametrize(
    ("wip", "after"),
    [
        (make.fired(), FIRED),
        (make.glazed(), GLAZED),
        (make.bisqued(), BISQUED),
        (make.drying(), GREEN),
    ],
)
def test_a_piece_is_reckoned_by_the_stage_it_has_reached(wip: object, after: int) -> None:
    assert done(owed(wip), make.plan()) == [OrderDone("o1", H + after, H + after, True)]


def test_a_piece_of_which_there_is_nothing_yet() -> None:
    assert done(owed(), make.plan()) == [OrderDone("o1", H + NONE, H + NONE, True)]


def test_the_dearest_stage_of_its_pieces_is_the_date_of_an_order() -> None:
    scenario = owed(make.fired(), make.bisqued(), orders=[make.order(qty=2, due=0)])
    assert done(scenario, make.plan()) == [OrderDone("o1", H + BISQUED, H + BISQUED, True)]


def test_each_reckoned_piece_is_late_by_its_own_stage() -> None:
    wip = (make.fired(), make.glazed(), make.bisqued(), make.drying())
    scenario = owed(*wip, orders=[make.order(qty=5, due=H)], weights=make.weights(late=1))
    assert costs(scenario, make.plan()) == {"late": FIRED + GLAZED + BISQUED + GREEN + NONE}


def test_surplus_counts_for_nobody() -> None:
    wip = (make.fired(count=3), make.bisqued(count=3))
    assert done(owed(*wip), make.plan()) == [OrderDone("o1", H + FIRED, H + FIRED, True)]


@pytest.mark.parametrize("wip", [make.fired(order=None), make.glazed(order=None)])
def test_ware_for_stock_counts_for_nobody(wip: object) -> None:
    assert done(owed(wip), make.plan()) == [OrderDone("o1", H + NONE, H + NONE, True)]


@pytest.mark.parametrize("wip", [make.fired(order="o2"), make.glazed(order="o2")])
def test_ware_of_another_order_counts_for_that_one_alone(wip: object) -> None:
    scenario = owed(wip, orders=[make.order("o1", due=0), make.order("o2", due=1)])
    assert done(scenario, make.plan())[0] == OrderDone("o1", H + NONE, H + NONE, True)


def test_bisque_and_greenware_go_to_the_order_that_is_due_first() -> None:
    orders = [make.order("o1", due=9), make.order("o2", due=5), make.order("o3", due=5), make.order("o4", due=7)]
    for places in permutations(range(4)):
        listed = [orders[i] for i in places]
        scenario = owed(make.bisqued(), make.drying(count=2), orders=listed)
        first, second = [o.id for o in listed if o.due == 5]
        after = {o.id: o.done - H for o in done(scenario, make.plan())}
        assert after == {first: BISQUED, second: GREEN, "o4": GREEN, "o1": NONE}


def test_forms_are_counted_apart() -> None:
    orders = [make.order("o1", due=0), make.order("o2", form="plate", due=9)]
    scenario = owed(make.bisqued(form="plate"), orders=orders, forms=[make.form(), make.form("plate")])
    assert [o.done - H for o in done(scenario, make.plan())] == [NONE, BISQUED]


def unfinished(without: str) -> list[int]:
    """When the two bowls of the week are reckoned, after the horizon, if nothing from ``without`` on is done."""
    plan = week()
    for key, thing, task in (("finishes", "n1", "finish"), ("firings", "f2", "load2"), ("lots", "l1", "glaze")):
        plan = drop(drop(plan, key, thing), "tasks", task)
        if thing == without:
            break
    return [o.done - H for o in done(studio(), plan)]


@pytest.mark.parametrize(("without", "after"), [("n1", FIRED), ("f2", GLAZED), ("l1", BISQUED)])
def test_what_the_plan_makes_reaches_its_stage(without: str, after: int) -> None:
    assert unfinished(without) == [after]


def test_what_the_plan_presses_is_green() -> None:
    plan = replace(week(), finishes=(), firings=(), lots=())
    assert [o.done - H for o in done(studio(), plan)] == [GREEN]


@pytest.mark.parametrize(("loaded", "after"), [(2, BISQUED), (1, GREEN)])
def test_what_is_not_loaded_stays_green(loaded: int, after: int) -> None:
    plan = replace(edit(week(), "firings", "f1", pieces=make.parts(b1=loaded)), finishes=(), lots=())
    plan = drop(plan, "firings", "f2")
    assert [o.done - H for o in done(studio(), plan)] == [after]


def in_kiln(stage: str, opens: int) -> Scenario:
    wip = make.in_kiln(fired_stage=stage, opens=opens, order="o1" if stage == "glost" else None)
    return owed(wip, kilns=[make.kiln(free_at=None)])


DRAWN = make.plan([make.task("t", "unload", 500, 510)], firings=[make.firing("now:a", unload="t")])


@pytest.mark.parametrize(("stage", "after"), [("bisque", BISQUED), ("glost", FIRED)])
def test_a_load_that_is_drawn_has_reached_its_stage(stage: str, after: int) -> None:
    assert [o.done - H for o in done(in_kiln(stage, 500), DRAWN)] == [after]


@pytest.mark.parametrize(("stage", "after"), [("bisque", GREEN), ("glost", GLAZED)])
def test_a_load_left_in_the_kiln_counts_at_the_stage_before(stage: str, after: int) -> None:
    scenario = in_kiln(stage, H)
    assert lines(scenario, make.plan()) == []
    assert [o.done - H for o in done(scenario, make.plan())] == [after]


def given_up() -> tuple[Scenario, Plan]:
    scenario = owed(make.in_mould(moulds=("m1", "m2")), moulds=make.moulds(2, ready=None))
    batch = make.batch("w-in", moulds=("m1", "m2"), release="t")
    return scenario, make.plan([make.task("t", "release", 100, 102)], batches=[batch])


def test_what_is_given_up_counts_for_nobody() -> None:
    scenario, plan = given_up()
    assert [o.done - H for o in done(scenario, plan)] == [GREEN]
    assert [o.done - H for o in done(scenario, replace(plan, spoiled=("w-in",)))] == [NONE]


# --- the other costs ------------------------------------------------------------------------------------------------


def test_kwh_of_each_firing_that_the_plan_loads() -> None:
    kiln = make.kiln(programs=[make.program("bisque", kwh=28), make.program("glost", kwh=45)])
    assert costs(studio(kilns=[kiln], weights=make.weights(kwh=2)), week()) == {"kwh": 2 * (28 + 45)}
    scenario = replace(in_kiln("bisque", 500), weights=make.weights(kwh=2))
    assert costs(scenario, DRAWN) == {}  # it is burning already


def presses(*starts: int) -> Plan:
    tasks, batches = [], []
    for i, start in enumerate(starts, 1):
        tasks += [
            make.task(f"p{i}", "press", start, start + 1, station="jolley"),
            make.task(f"r{i}", "release", start + 70, start + 71),
        ]
        batches.append(make.batch(f"b{i}", moulds=(f"m{i}",), press=f"p{i}", release=f"r{i}"))
    return make.plan(tasks, batches=batches)


@pytest.mark.parametrize(("mounted", "full"), [(None, 1), ("t-bowl", 0), ("t-mug", 1)])
def test_full_set_ups_cost_and_rechecks_do_not(mounted: str | None, full: int) -> None:
    # a set-up that takes no minutes is a set-up; the second press is on the same day, the third on the next
    scenario = make.bisque_and_back(
        orders=(), moulds=make.moulds(3), stations=[make.station(mounted=mounted)], weights=make.weights(setup=15)
    )
    assert lines(scenario, presses(0, 100, 1500)) == []
    assert reckon(scenario, presses(0, 100, 1500)).costs["setup"] == 15 * full


@pytest.mark.parametrize(
    ("in_mould", "leather_hard", "times"), [(False, False, 0), (True, False, 1), (False, True, 1), (True, True, 2)]
)
def test_covers_of_what_the_plan_presses_and_takes_out(in_mould: bool, leather_hard: bool, times: int) -> None:
    plan = edit(week(), "batches", "b1", covered_in_mould=in_mould, covered=leather_hard)
    assert reckon(studio(weights=make.weights(cover=2)), plan).costs["cover"] == 2 * times


def test_a_cover_that_is_on_costs_nothing() -> None:
    form = make.form(steps=[make.step()])
    in_mould, out = make.in_mould(covered=True), make.released(covered=True)
    scenario = make.scenario(
        forms=[form], moulds=[make.mould(ready=None)], wip=[in_mould, out], weights=make.weights(cover=2)
    )
    tasks = [
        make.task("r", "release", 600, 601),
        make.task("t1", "trim", 700, 701),
        make.task("t2", "trim", 710, 711),
    ]
    one = make.batch("w-in", release="r", steps=("t1",), covered_in_mould=True)
    two = make.batch("w-out", moulds=(), count=1, steps=("t2",), covered=True)
    plan = make.plan(tasks, batches=[one, two])
    assert lines(scenario, plan) == []
    assert costs(scenario, plan) == {}
    assert costs(scenario, edit(plan, "batches", "w-in", covered=True)) == {"cover": 2}  # the plan takes it out


def test_minutes_in_extra_spans() -> None:
    # the job runs 300-330, turning 100-102
    people = [make.person(hours=[(0, 101), (102, 310), (320, H)], extra=[(101, 102), (310, 320)])]
    scenario = studio(people=people, weights=make.weights(extra=3))
    assert lines(scenario, week()) == []
    assert costs(scenario, week()) == {"extra": 3 * (1 + 10)}


def test_moulds_that_the_plan_pours() -> None:
    assert costs(studio(casts=[make.cast(cost=7)]), week()) == {"cast": 7}
    scenario = studio(casts=[make.cast(cost=7, poured=0)])
    plan = drop(edit(week(), "casts", "c1", pour=None), "tasks", "pour")
    assert lines(scenario, at(plan, lift=110)) == []
    assert costs(scenario, at(plan, lift=110)) == {}


def test_pieces_and_moulds_that_are_given_up() -> None:
    scenario, plan = given_up()
    scenario = replace(scenario, weights=make.weights(spoil=60), casts=(make.cast(poured=-20),))
    plan = add(plan, "casts", CastPlan("c1", None, "lift"))
    assert costs(scenario, plan) == {}
    assert costs(scenario, replace(plan, spoiled=("w-in",))) == {"spoil": 60 * 2}
    assert costs(scenario, replace(plan, spoiled=("w-in", "c1"))) == {"spoil": 60 * 3}


def mended(previous: Plan, *pins: str) -> Scenario:
    return studio(previous=previous, pins=pins, weights=make.weights(move=5, pin=500))


def test_a_task_that_keeps_its_start_is_no_move() -> None:
    assert costs(mended(week(), "trim"), week()) == {}
    other_hands = edit(edit(week(), "tasks", "trim", person="bryn"), "tasks", "job", end=400)
    assert costs(mended(week(), "trim"), other_hands) == {}


def test_a_task_that_starts_at_another_minute_is_moved() -> None:
    assert costs(mended(week()), at(week(), trim=101)) == {"move": 5}
    assert costs(mended(week(), "trim"), at(week(), trim=101, job=299)) == {"move": 5, "pin": 500}


def test_a_task_that_is_not_there_or_of_another_kind_is_moved() -> None:
    assert costs(mended(week(), "job"), drop(week(), "tasks", "job")) == {"pin": 500}
    assert costs(mended(week()), edit(week(), "tasks", "job", kind="trim")) == {"move": 5}
    assert costs(mended(drop(week(), "tasks", "job")), week()) == {}  # what is new has not moved


def test_what_began_before_now_has_not_moved() -> None:
    previous = at(week(), press=-1, release=0)
    assert costs(mended(previous, "press"), week()) == {"move": 5}  # the release, from 0 to 70
