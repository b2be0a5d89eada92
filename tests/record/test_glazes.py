"""Batches of glaze in the record: which is in use, what was glazed from it, what is on file of it for food."""

from __future__ import annotations

from typing import Any

import pytest

from studio.record.facts import Fact
from studio.record.fold import fold
from studio.record.glazes import Food, batch_in_use, food_of, food_of_recipe
from studio.record.state import State
from studio.record.store import state_from_json, state_to_json
from tests.record.making import T0, drawn, fact, packed, pressed, taken_out

pytestmark = pytest.mark.one_lane


def mixed(at: int, batch: str = "g1", recipe: str = "p. 12", glaze: str = "chalk", **more: Any) -> Fact:
    return fact("glaze_mixed", at, glaze_batch=batch, glaze=glaze, ml=8000, g_l=1450, recipe=recipe, **more)


def dipped(at: int, batch: str | None, lot: str = "l", glaze: str = "chalk") -> list[Fact]:
    """Three bowls from their pressing to their glazing at ``at``; without ``batch`` as records were before."""
    before = [pressed(0), taken_out(600), packed(700, b=3), fact("lit", 710, firing="f"), drawn(900)]
    said = {} if batch is None else {"glaze_batch": batch}
    pieces = [{"batch": "b", "count": 3}]
    return [*before, fact("glazed", at, lot=lot, form="bowl", glaze=glaze, order=None, pieces=pieces,
                          started=T0 + at - 20, ended=T0 + at, **said)]  # fmt: skip


def result(at: int, within: bool, on: str, recipe: str = "p. 12") -> Fact:
    return fact("food_result", at, glaze="chalk", recipe=recipe, on=on, laboratory="Assay House", tested="3 mugs",
                within=within, reference="R 7")  # fmt: skip


def in_use(state: State, **more: Any) -> str | None:
    there = batch_in_use(state, "chalk", **more)
    return there.id if there else None


def test_the_batch_mixed_last_is_in_use_until_it_is_used_up() -> None:
    facts = [mixed(0, "g1"), mixed(100, "g2"), mixed(150, "g3", glaze="soot")]
    assert in_use(fold(facts)) == "g2"
    facts.append(fact("glaze_used_up", 200, glaze_batch="g2"))
    assert in_use(fold(facts)) == "g1"
    assert in_use(fold(facts), at=T0 + 150) == "g2"  # told later of what was done before it was used up
    assert in_use(fold(facts), at=T0 + 50) == "g1"
    facts.append(fact("glaze_used_up", 300, glaze_batch="g1"))
    assert in_use(fold(facts)) is None


def test_an_older_batch_is_taken_up_again() -> None:
    facts = [mixed(0, "g1"), mixed(100, "g2"), fact("glaze_in_use", 200, glaze_batch="g1")]
    assert in_use(fold(facts)) == "g1"
    emptied = fact("glaze_used_up", 300, glaze_batch="g1")
    assert in_use(fold([*facts, emptied])) == "g2"
    weighed = fact("glaze_weighed", 400, glaze_batch="g1", ml=900, g_l=1440)
    assert fold([*facts, emptied, weighed]).glaze_batches["g1"].used_up is None  # something was there to weigh


def test_a_batch_knows_what_was_glazed_from_it_since_it_was_weighed() -> None:
    facts = [mixed(950), *dipped(1000, "g1")]
    batch = fold(facts).glaze_batches["g1"]
    assert (batch.ml, batch.g_l, batch.glazed) == (8000, 1450, {"bowl": 3})
    batch = fold([*facts, fact("glaze_weighed", 1100, glaze_batch="g1", ml=7000, g_l=1480)]).glaze_batches["g1"]
    assert (batch.ml, batch.g_l, batch.glazed, batch.weighed) == (7000, 1480, {}, T0 + 1100)


@pytest.mark.parametrize("batch", [None, "g1", "elsewhere"])
def test_ware_counts_as_glazed_whatever_batch_is_named(batch: str | None) -> None:
    """Of another glaze, never mixed by the record, or told before batches were kept."""
    state = fold([mixed(950, glaze="soot"), *dipped(1000, batch)])
    assert state.ware["l"].count == 3 and state.ware["l"].stage == "glazed"
    assert state.troubles == [] and state.glaze_batches["g1"].glazed == {}


@pytest.mark.parametrize("kind", ["glaze_weighed", "glaze_in_use", "glaze_used_up"])
def test_what_is_told_of_no_batch_does_not_add_up(kind: str) -> None:
    more = {"ml": 900, "g_l": 1440} if kind == "glaze_weighed" else {}
    (trouble,) = fold([fact(kind, 0, glaze_batch="g9", **more)]).troubles
    assert (trouble.code, trouble.things) == ("no_such_glaze_batch", {"glaze_batch": "g9"})


def test_without_a_result_it_is_not_tested_for_food() -> None:
    assert food_of(fold([mixed(0)]), "chalk").word is Food.NOT_TESTED


def test_the_last_report_of_the_recipe_holds() -> None:
    state = fold([mixed(0), result(10, True, "2027-03-01"), result(20, False, "2027-02-01")])
    assert food_of(state, "chalk").word is Food.WITHIN  # recorded later, but reported before
    state = fold([mixed(0), result(10, True, "2027-03-01"), result(20, False, "2027-03-09")])
    assert food_of(state, "chalk").word is Food.OVER


def test_another_recipe_does_not_inherit_and_the_same_words_do() -> None:
    facts = [mixed(0), result(10, True, "2027-03-01")]
    assert food_of(fold([*facts, mixed(20, "g2", recipe="p. 13")]), "chalk").word is Food.OTHER_RECIPE
    assert food_of(fold([*facts, mixed(20, "g2", recipe=" P. 12")]), "chalk").word is Food.WITHIN
    state = fold([*facts, mixed(20, "g2", recipe="p. 12, with 2 % tin")])
    assert food_of(state, "chalk").word is Food.OTHER_RECIPE
    assert food_of_recipe(state, "chalk", "p. 12").word is Food.WITHIN
    assert food_of(fold([*facts, mixed(20, "g2", recipe="new"), result(30, False, "2027-03-02", recipe="new")]),
                   "chalk").word is Food.OVER  # fmt: skip


def test_without_batches_on_record_the_last_result_holds() -> None:
    assert food_of(fold([result(10, True, "2027-03-01")]), "chalk").word is Food.WITHIN


def test_it_survives_a_snapshot_and_a_clone_is_its_own() -> None:
    state = fold([mixed(950), *dipped(1000, "g1"), result(1010, True, "2027-03-01")])
    assert state_from_json(state_to_json(state)) == state
    clone = state.clone()
    clone.glaze_batches["g1"].glazed["bowl"] = 99
    clone.food["chalk"].clear()
    assert state.glaze_batches["g1"].glazed == {"bowl": 3} and len(state.food["chalk"]) == 1
