"""R08: the load fits the kiln's shelves and props, and reaches no limit that is known not to fit."""

from __future__ import annotations

import pytest

from planner.checks.kilns import stack_needed
from planner.plan import Plan
from planner.scenario import Form, Scenario
from tests.planner import builders as make
from tests.planner.spec.support import edit, lines, studio, week

# The worked example of the format (R08): 12 bowls (20 a shelf, 100 mm), 8 beakers (16 a shelf, 75 mm) and 30 saucers
# (20 a shelf, 40 mm) on 20 mm shelves: P = 0.6, 1.1, 2.6; S = 1, 2, 3; 120 + 95 + 60 = 275 mm.
WARES = {"bowl": (100, 20), "beaker": (75, 16), "saucer": (40, 20)}
LOAD = {"bowl": 12, "beaker": 8, "saucer": 30}


def forms() -> list[Form]:
    return [
        make.form(f, bisque=make.shelving(mm, a=n), glost=make.shelving(mm + 5, a=n)) for f, (mm, n) in WARES.items()
    ]


def packed(**kiln: object) -> tuple[Scenario, Plan]:
    wip = [make.drying(f"dry-{f}", form=f, count=100) for f in WARES]
    scenario = make.scenario(forms=forms(), kilns=[make.kiln(**kiln)], wip=wip)
    tasks = [make.task("load", "load", 100, 110), make.task("unload", "unload", 900, 910)]
    pieces = [make.Part(f"dry-{f}", n) for f, n in LOAD.items()]
    return scenario, make.plan(
        tasks, firings=[make.firing(program="bisque", load="load", fire=110, unload="unload", pieces=pieces)]
    )


def test_the_worked_example_fills_its_stack() -> None:
    assert lines(*packed(stack_mm=275, shelves=3)) == []


@pytest.mark.parametrize(("stack_mm", "shelves"), [(274, 3), (275, 2)])
def test_a_millimetre_or_a_shelf_less(stack_mm: int, shelves: int) -> None:
    found = lines(*packed(stack_mm=stack_mm, shelves=shelves))
    assert found == [f"R08 f1: needs 275 mm of {stack_mm} and 3 shelves of {shelves}"]


def test_one_piece_more_opens_a_shelf() -> None:
    # 0.6 + 0.5 + 38/20 = 3.0 shelves just fill three; one saucer more needs a fourth of 60 mm
    scenario, plan = packed(stack_mm=275, shelves=3)
    full = [make.Part("dry-bowl", 12), make.Part("dry-beaker", 8), make.Part("dry-saucer", 38)]
    assert lines(scenario, edit(plan, "firings", "f1", pieces=tuple(full))) == []
    over = (*full[:2], make.Part("dry-saucer", 39))
    found = lines(scenario, edit(plan, "firings", "f1", pieces=over))
    assert found == ["R08 f1: needs 335 mm of 275 and 4 shelves of 3"]


def test_parts_of_one_form_are_added_up() -> None:
    scenario, plan = packed(stack_mm=120, shelves=1)
    parts = (make.Part("dry-bowl", 10), make.Part("dry-bowl", 10))
    assert lines(scenario, edit(plan, "firings", "f1", pieces=parts)) == []
    parts = (make.Part("dry-bowl", 10), make.Part("dry-bowl", 11))
    assert lines(scenario, edit(plan, "firings", "f1", pieces=parts)) == [
        "R08 f1: needs 240 mm of 120 and 2 shelves of 1"
    ]


def test_thirds_of_a_shelf_are_exact() -> None:
    # 1/3 + 1/3 + 1/3 of a shelf is one shelf, though 0.1 + 0.2 style decimals could say 1.0000000000000002
    wares = [make.form(f"f{i}", bisque=make.shelving(50, a=n)) for i, n in enumerate((3, 6, 49, 98))]
    kiln = make.kiln(shelf_mm=10)
    counts = {"f0": 1, "f1": 1, "f2": 21, "f3": 7}  # 14/42 + 7/42 + 18/42 + 3/42
    assert stack_needed(kiln, "bisque", counts, {f.id: f for f in wares}) == (60, 1)
    assert stack_needed(kiln, "bisque", counts | {"f3": 8}, {f.id: f for f in wares}) == (120, 2)


def test_forms_of_one_clearance_share_their_shelves() -> None:
    wares = {f: make.form(f, bisque=make.shelving(80, a=10)) for f in ("cup", "bowl")}
    assert stack_needed(make.kiln(), "bisque", {"cup": 5, "bowl": 5}, wares) == (100, 1)
    assert stack_needed(make.kiln(), "bisque", {"cup": 5, "bowl": 6}, wares) == (200, 2)


def test_each_stage_has_its_own_shelving() -> None:
    scenario, _ = packed()
    assert stack_needed(scenario.kilns[0], "glost", LOAD, scenario.form) == (125 + 100 + 65, 3)


def test_a_kiln_that_a_form_is_not_known_for() -> None:
    form = {"bisque": make.shelving(100, b=10)}
    found = lines(studio(form, kilns=[make.kiln(), make.kiln("b")]), week())
    assert found == ["R08 f1: kiln a cannot take bowl"]


@pytest.mark.parametrize(
    ("counts", "reached"),
    [
        ({"bowl": 12, "saucer": 30}, True),
        ({"bowl": 13, "saucer": 30}, False),
        ({"bowl": 12, "saucer": 31}, False),
        ({"saucer": 30}, True),
    ],
)
def test_a_load_that_is_known_not_to_fit(counts: dict[str, int], reached: bool) -> None:
    known = ", ".join(f"{n} {f}" for f, n in counts.items())
    broken = [f"R08 f1: {known} are known not to fit kiln a"] if reached else []
    assert lines(*packed(limits=[make.limit("bisque", **counts)])) == broken
    assert lines(*packed(limits=[make.limit("glost", **counts)])) == []


def test_glazed_ware_is_packed_by_its_form() -> None:
    form = {"glost": make.shelving(100, a=1)}
    assert lines(studio(form, kilns=[make.kiln(stack_mm=240, shelves=2)]), week()) == []
    found = lines(studio(form, kilns=[make.kiln(stack_mm=239, shelves=2)]), week())
    assert found == ["R08 f2: needs 240 mm of 239 and 2 shelves of 2"]
