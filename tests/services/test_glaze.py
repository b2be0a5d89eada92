"""Batches of glaze, test tiles, weighings of glazed ware and laboratory results, by their commands."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest

from studio.models import Fact
from studio.record.glazes import Food, batch_in_use, food_of
from studio.services.commands import run_command
from tests.services.shop import Shop


def facts(shop: Shop, kind: str) -> list[dict[str, Any]]:
    return list(Fact.objects.filter(studio=shop.studio, kind=kind).order_by("seq").values_list("data", flat=True))


def mix(shop: Shop, **more: Any) -> str:
    said = {"glaze": shop.ids["glaze"], "bucket_l": "8", "hundred": "150", "recipe": "p. 12", **more}
    return shop.do("glaze_mixed", **said).data["glaze_batch"]


def in_use(shop: Shop) -> str | None:
    there = batch_in_use(shop.state, shop.ids["glaze"])
    return there.id if there else None


def test_a_batch_is_mixed_and_its_dry_glaze_reckoned(shop: Shop) -> None:
    said = {"glaze": shop.ids["glaze"], "bucket_l": "8", "hundred": "150", "recipe": "p. 12"}
    answer = shop.do("glaze_mixed", **said)
    # A handbook's table after Brongniart: 812 g of dry glaze in a litre that weighs 1500 g; 8 × 812.5 = 6.50 kg.
    assert answer.message == "8 l of Chalk mixed, and in use from now on. 6.50 kg of dry glaze are in it."
    (data,) = facts(shop, "glaze_mixed")
    assert (data["ml"], data["g_l"], data["recipe"]) == (8000, 1500, "p. 12")
    assert in_use(shop) == data["glaze_batch"]
    assert shop.do("undo", command=answer.undo) and in_use(shop) is None


def test_quarts_are_kept_as_millilitres(shop: Shop) -> None:
    mix(shop, bucket_l="", bucket_l_qt="10", hundred="")
    (data,) = facts(shop, "glaze_mixed")
    assert (data["ml"], data["g_l"]) == (9464, None)  # 57.75 cubic inches a quart


@pytest.mark.parametrize(
    ("said", "field"),
    [
        ({"hundred": "1.45"}, "hundred"),  # density, not the weight of 100 ml
        ({"hundred": "100"}, "hundred"),  # water
        ({"bucket_l": "0"}, "bucket_l"),
        ({"bucket_l": "nan"}, "bucket_l"),
        ({"bucket_l": ""}, "bucket_l"),
        ({"glaze": "nosuch"}, "glaze"),
    ],
)
def test_what_cannot_be_mixed_is_refused_by_field(shop: Shop, said: dict[str, Any], field: str) -> None:
    usual = {"glaze": shop.ids["glaze"], "bucket_l": "8", "hundred": "150"}
    assert field in shop.refused(404 if field == "glaze" else 422, "glaze_mixed", **usual | said).errors


def test_weighed_thinned_taken_up_again_and_used_up(shop: Shop) -> None:
    first, second = mix(shop), mix(shop, hundred="140")
    assert in_use(shop) == second
    shop.do("glaze_in_use", glaze_batch=first)
    assert in_use(shop) == first
    shop.refused(422, "glaze_in_use", glaze_batch=first)
    shop.do("glaze_weighed", glaze_batch=first, bucket_l="9.5", hundred="142.5")
    batch = shop.state.glaze_batches[first]
    assert (batch.ml, batch.g_l) == (9500, 1425)
    assert "no other batch" not in shop.do("glaze_used_up", glaze_batch=first).message
    assert "no other batch" in shop.do("glaze_used_up", glaze_batch=second).message
    assert in_use(shop) is None
    shop.refused(422, "glaze_used_up", glaze_batch=second)
    shop.refused(404, "glaze_used_up", glaze_batch="nosuch")


def test_glazed_ware_names_the_batch_in_use_or_the_one_said(shop: Shop) -> None:
    shop.do("opening_ware", form=shop.ids["form"], count=9, stage="bisqued")
    glazed = {"form": shop.ids["form"], "glaze": shop.ids["glaze"], "count": 3}
    shop.do("glazed", **glazed)
    first = mix(shop)
    shop.later(minutes=5)
    second = mix(shop)
    shop.do("glazed", **glazed)
    shop.do("glazed", **glazed, glaze_batch=first)
    assert [d["glaze_batch"] for d in facts(shop, "glazed")] == [None, second, first]
    assert shop.state.glaze_batches[first].glazed == {shop.ids["form"]: 3}


def test_a_planned_task_names_it_too_and_another_glaze_s_batch_is_refused(shop: Shop) -> None:
    soot = shop.do("glaze_save", name="Soot", programs=[shop.ids["glost"]]).data["glaze"]
    other, batch = mix(shop, glaze=soot), mix(shop)
    shop.do("opening_ware", form=shop.ids["form"], count=12, stage="bisqued")
    shop.order(qty=8)
    live = shop.plan()
    task = min((t for t in live.plan.tasks if t.kind == "glaze"), key=lambda t: t.start)
    shop.now = live.when(task.end)
    refused = shop.refused(422, "task_done", task=task.id, glaze_batch=other)
    assert "glaze_batch" in refused.errors
    shop.do("task_done", task=task.id)
    assert facts(shop, "glazed")[0]["glaze_batch"] == batch


def test_told_later_it_is_the_batch_that_was_in_use_then(shop: Shop) -> None:
    shop.do("opening_ware", form=shop.ids["form"], count=3, stage="bisqued")
    old = mix(shop)
    shop.later(hours=3)
    mix(shop)
    payload = {"form": shop.ids["form"], "glaze": shop.ids["glaze"], "count": 3}
    answer = run_command(
        studio=shop.studio, user=shop.owner, client_id="late", kind="glazed", payload=payload, now=shop.now,
        recorded_at=shop.now - dt.timedelta(hours=1), sent_at=shop.now,
    )  # fmt: skip
    assert answer.ok
    assert facts(shop, "glazed")[0]["glaze_batch"] == old


def test_a_few_pieces_weighed_before_and_after(shop: Shop) -> None:
    said = {"glaze": shop.ids["glaze"], "form": shop.ids["form"], "count": 3, "bisqued_g": 930, "glazed_g": 1059}
    assert "43 g of dry glaze on each Bowl" in shop.do("glaze_on_ware", **said).message  # (1059 − 930) / 3
    for wrong in (930, 900, 1500):  # as much, less, more than half as much again
        assert "glazed_g" in shop.refused(422, "glaze_on_ware", **said | {"glazed_g": wrong}).errors


def test_a_tile_is_of_the_batch_in_use_and_says_what_is_wrong(shop: Shop) -> None:
    batch = mix(shop)
    tile = {"glaze": shop.ids["glaze"], "fired": shop.ids["glost"]}
    shop.do("test_tile", **tile, verdict="good")
    shop.do("test_tile", **tile, verdict="bad", seen=["crazing", "pinholes"], note="over the handle")
    good, bad = facts(shop, "test_tile")
    assert (good["glaze_batch"], good["program"], good["firing"], good["seen"]) == (batch, shop.ids["glost"], None, [])
    assert (bad["verdict"], bad["seen"], bad["note"]) == ("bad", ["crazing", "pinholes"], "over the handle")
    assert "seen" in shop.refused(422, "test_tile", **tile, verdict="bad").errors
    assert "seen" in shop.refused(422, "test_tile", **tile, verdict="bad", seen=["ugly"]).errors


LAB = {"on": "2027-03-10", "laboratory": "Assay House", "tested": "3 mugs, glost 1240 °C", "result": "within",
       "reference": "AH 4471"}  # fmt: skip


def test_a_laboratory_s_result_holds_for_the_recipe_of_the_batch(shop: Shop) -> None:
    mix(shop)
    assert food_of(shop.state, shop.ids["glaze"]).word is Food.NOT_TESTED
    shop.do("food_result", glaze=shop.ids["glaze"], **LAB)
    assert food_of(shop.state, shop.ids["glaze"]).word is Food.WITHIN
    shop.later(minutes=1)
    mix(shop)
    assert food_of(shop.state, shop.ids["glaze"]).word is Food.WITHIN
    shop.later(minutes=1)
    mix(shop, recipe="p. 12 and 2 % tin")
    assert food_of(shop.state, shop.ids["glaze"]).word is Food.OTHER_RECIPE
    undo = shop.do("food_result", glaze=shop.ids["glaze"], **LAB | {"result": "over"}).undo
    assert food_of(shop.state, shop.ids["glaze"]).word is Food.OVER
    shop.do("undo", command=undo)
    assert food_of(shop.state, shop.ids["glaze"]).word is Food.OTHER_RECIPE


def test_a_result_needs_its_particulars_and_an_owner(shop: Shop) -> None:
    for field in ("laboratory", "tested", "reference", "on"):
        assert field in shop.refused(422, "food_result", glaze=shop.ids["glaze"], **LAB | {field: ""}).errors
    assert "on" in shop.refused(422, "food_result", glaze=shop.ids["glaze"], **LAB | {"on": "2027-03-16"}).errors
    shop.refused(403, "food_result", glaze=shop.ids["glaze"], by=shop.maker(), **LAB)


def test_another_studio_s_glaze_and_batches_are_out_of_reach(shop: Shop) -> None:
    batch = mix(shop)
    other = Shop(name="Next Door", now=shop.now).furnish()
    other.refused(404, "glaze_mixed", glaze=shop.ids["glaze"], bucket_l="8")
    other.refused(404, "glaze_weighed", glaze_batch=batch, bucket_l="8", hundred="150")


def test_sent_twice_it_counts_once(shop: Shop) -> None:
    for _twice in range(2):
        shop.send("glaze_mixed", client_id="one-tap", glaze=shop.ids["glaze"], bucket_l="8")
    assert len(facts(shop, "glaze_mixed")) == 1
