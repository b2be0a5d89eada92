"""R07: one load at a time, lit when it may be, the right ware, opened when it is cool."""

from __future__ import annotations

from dataclasses import replace

import pytest

from planner.plan import Plan
from planner.scenario import Kiln, Scenario
from tests.planner import builders as make
from tests.planner.spec.support import add, at, drop, edit, lines, studio, week

DRY = make.Part("w-dry", 1)


def dry_bowls(kiln: Kiln | None = None, **given: object) -> Scenario:
    wip = [make.drying(count=20, dry_at=-100)]
    return make.bisque_and_back(**{"orders": (), "wip": wip, "kilns": [kiln or make.kiln()], **given})


def fired(*loads: tuple[str, int], kiln: str = "a") -> Plan:
    """Bisque firings packed at given minutes, lit at once, cool 600 min later and drawn by then + 10."""
    tasks, firings = [], []
    for name, start in loads:
        load, unload = f"{name}-load", f"{name}-unload"
        tasks += [make.task(load, "load", start, start + 10), make.task(unload, "unload", start + 610, start + 620)]
        firings.append(
            make.firing(name, kiln=kiln, program="bisque", load=load, fire=start + 10, unload=unload, pieces=[DRY])
        )
    return make.plan(tasks, firings=firings)


ONE = fired(("f1", 100))


def test_lit_once_it_is_loaded() -> None:
    assert lines(dry_bowls(), ONE) == []
    assert lines(dry_bowls(), edit(ONE, "firings", "f1", fire=109)) == ["R07 f1: lit 1 min before it is loaded"]


def test_opened_once_it_is_cool() -> None:
    assert lines(dry_bowls(), at(ONE, **{"f1-unload": 710})) == []
    assert lines(dry_bowls(), at(ONE, **{"f1-unload": 709})) == ["R07 f1: opened 1 min too early"]


@pytest.mark.parametrize("span", [(110, 111), (50, 111), (110, 200)])
def test_lit_inside_its_spans(span: tuple[int, int]) -> None:
    assert lines(dry_bowls(make.kiln(start_spans=[(0, 5), span])), ONE) == []


@pytest.mark.parametrize("span", [(111, 200), (50, 110)])
def test_not_lit_a_minute_outside(span: tuple[int, int]) -> None:
    assert lines(dry_bowls(make.kiln(start_spans=[span])), ONE) == ["R07 f1: may not be lit at 110"]


def test_a_kiln_that_may_never_be_lit() -> None:
    assert lines(dry_bowls(make.kiln(start_spans=[])), ONE) == ["R07 f1: may not be lit at 110"]


def test_one_load_after_the_other() -> None:
    # the first is drawn 710-720
    assert lines(dry_bowls(), fired(("f1", 100), ("f2", 720))) == []
    people = [make.person(), make.person("bryn")]
    plan = edit(fired(("f1", 100), ("f2", 719)), "tasks", "f2-load", person="bryn")
    assert lines(dry_bowls(people=people), plan) == ["R07 f2: loaded while f1 is in kiln a"]


def test_a_short_load_inside_a_long_one_is_found_past_its_neighbour() -> None:
    people = [make.person(x) for x in ("ansa", "bryn", "cato")]
    plan = fired(("f1", 0), ("f2", 100), ("f3", 900))
    plan = at(plan, **{"f1-unload": 3000})
    found = lines(dry_bowls(people=people), plan)
    assert found == ["R07 f2: loaded while f1 is in kiln a", "R07 f3: loaded while f1 is in kiln a"]


def test_two_kilns_fire_at_once() -> None:
    kilns = [make.kiln(), make.kiln("b")]
    form = make.form(bisque=make.shelving(a=10, b=10))
    one, two = ONE, fired(("f2", 110), kiln="b")
    plan = make.plan([*one.tasks, *two.tasks], firings=[*one.firings, *two.firings])
    plan = at(plan, **{"f2-unload": 720})
    assert lines(dry_bowls(kilns=kilns, forms=[form]), plan) == []


def test_loaded_once_the_kiln_is_free() -> None:
    assert lines(dry_bowls(make.kiln(free_at=100)), ONE) == []
    assert lines(dry_bowls(make.kiln(free_at=101)), ONE) == ["R07 f1: loaded 1 min before kiln a is free"]


@pytest.mark.parametrize("closed", [(0, 100), (720, 800)])
def test_packed_and_drawn_outside_the_closed_spans(closed: tuple[int, int]) -> None:
    assert lines(dry_bowls(make.kiln(closed=[closed])), ONE) == []


@pytest.mark.parametrize("closed", [(0, 101), (719, 800), (300, 400)])
def test_nothing_of_ours_in_a_closed_kiln(closed: tuple[int, int]) -> None:
    found = lines(dry_bowls(make.kiln(closed=[closed])), ONE)
    assert found == [f"R07 f1: stands in kiln a while it is closed {closed[0]}-{closed[1]}"]


def test_bisque_programs_take_green_ware() -> None:
    wip = [make.glazed(), make.bisqued(), make.fired()]
    for source in ("w-glazed", "w-bisque", "w-fired", "nothing"):
        plan = edit(ONE, "firings", "f1", pieces=(make.Part(source, 1),))
        found = lines(make.bisque_and_back(wip=wip), plan)
        assert found == [f"R07 f1: {source} is no green ware"]


def test_glost_programs_take_glazed_ware() -> None:
    wip = [make.drying(dry_at=-100), make.bisqued(), make.glazed()]
    plan = edit(ONE, "firings", "f1", program="glost", pieces=(make.Part("w-glazed", 1),))
    assert lines(make.bisque_and_back(wip=wip), plan) == []
    for source in ("w-dry", "w-bisque", "nothing"):
        plan = edit(plan, "firings", "f1", pieces=(make.Part(source, 1),))
        assert lines(make.bisque_and_back(wip=wip), plan) == [f"R07 f1: {source} is no glazed ware"]


def test_a_glaze_allows_the_program() -> None:
    kilns = [make.kiln(programs=[make.program(x, stage="glost") for x in ("glost", "low")])]
    plan = edit(ONE, "firings", "f1", program="glost", pieces=(make.Part("w-glazed", 1),))
    for wip in (make.glazed(), make.glazed(order=None)):
        scenario = make.bisque_and_back(kilns=kilns, wip=[wip], glazes=[make.glaze(programs=["low"])])
        assert lines(scenario, plan) == ["R07 f1: chalk may not be fired with glost"]
        assert lines(scenario, edit(plan, "firings", "f1", program="low")) == []


def test_the_glaze_of_a_lot_is_its_orders() -> None:
    kilns = [make.kiln(programs=[make.program("bisque"), make.program("glost"), make.program("low", stage="glost")])]
    found = lines(studio(kilns=kilns, glazes=[make.glaze(programs=["low"])]), week())
    assert found == ["R07 f2: chalk may not be fired with glost"]


def test_names_that_lead_nowhere() -> None:
    assert "R07 f1: there is no kiln z" in lines(dry_bowls(), edit(ONE, "firings", "f1", kiln="z"))
    found = lines(dry_bowls(), edit(ONE, "firings", "f1", program="raku"))
    assert found == ["R07 f1: kiln a has no program raku"]
    assert "R07 f1: has no load task" in lines(dry_bowls(), edit(ONE, "firings", "f1", load=None))
    assert lines(dry_bowls(), edit(ONE, "firings", "f1", fire=None)) == ["R07 f1: has no minute to be lit"]


def in_kiln(opens: tuple[int, ...] = (500,), **kiln: object) -> tuple[Scenario, Plan]:
    """Ware stands in kiln a now; it is drawn 500-510."""
    wip = [make.in_kiln(f"w{i}", fired_stage="bisque", opens=at_) for i, at_ in enumerate(opens)]
    scenario = dry_bowls(make.kiln(**{"free_at": None, **kiln}), wip=[*wip, make.drying(count=20, dry_at=-100)])
    return scenario, make.plan([make.task("draw", "unload", 500, 510)], firings=[make.firing("now:a", unload="draw")])


def test_the_load_of_now_is_drawn_once_all_of_it_may_be() -> None:
    assert lines(*in_kiln((400, 500))) == []
    assert lines(*in_kiln((400, 501))) == ["R07 now:a: opened 1 min too early"]


def test_a_closed_span_does_not_bind_the_load_of_now() -> None:
    assert lines(*in_kiln(closed=[(300, 505)])) == []


def test_the_load_of_now_must_be_drawn() -> None:
    scenario, plan = in_kiln()
    plan = drop(drop(plan, "firings", "now:a"), "tasks", "draw")
    assert lines(scenario, plan) == ["R07 now:a: the load now in kiln a is drawn 0 times"]


def test_the_load_of_now_is_in_the_way_until_it_is_drawn() -> None:
    scenario, plan = in_kiln()
    for start, broken in ((510, []), (509, ["R07 f1: loaded while now:a is in kiln a"])):
        then = fired(("f1", start))
        both = add(add(plan, "tasks", *then.tasks), "firings", *then.firings)
        both = edit(both, "tasks", "f1-load", person="bryn")
        assert lines(replace(scenario, people=(make.person(), make.person("bryn"))), both) == broken


def test_a_load_that_opens_too_late_is_left_out_and_fills_its_kiln() -> None:
    scenario, plan = in_kiln((make.HORIZON - 10,))
    late = at(plan, draw=make.HORIZON - 10)
    assert lines(scenario, late) == []
    scenario, plan = in_kiln((make.HORIZON - 9,))
    bare = drop(drop(plan, "firings", "now:a"), "tasks", "draw")
    assert lines(scenario, bare) == []
    then = fired(("f1", 100))
    assert lines(scenario, add(add(bare, "tasks", *then.tasks), "firings", *then.firings)) == [
        "R07 f1: loaded while now:a is in kiln a"
    ]
    assert "R07 now:a: opens too late to be drawn within the plan's time" in lines(scenario, plan)


def test_the_load_of_now_has_nothing_but_its_unload() -> None:
    scenario, plan = in_kiln()
    for field, value in (("program", "bisque"), ("fire", 3), ("pieces", (DRY,))):
        found = lines(scenario, edit(plan, "firings", "now:a", **{field: value}))
        assert found == ["R07 now:a: is in the kiln already; it takes no program, load, fire or pieces"]


def test_only_a_load_of_now_is_called_so() -> None:
    assert lines(dry_bowls(), edit(ONE, "firings", "f1", id="now:a")) == ["R07 now:a: is no load now in a kiln"]
