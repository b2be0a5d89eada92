"""The commands about clay, and how a pressing is tied to the batch in use."""

from __future__ import annotations

import pytest

from studio.models import ClayBody, Fact, Form
from tests.services.shop import Shop

pytestmark = pytest.mark.django_db


def batch(shop: Shop, kg: float = 40, **more: object) -> str:
    said = {"clay_name": "Grey stoneware", "kg": str(kg), "how": "pugged", **more}
    return str(shop.do("clay_in", **said).data["batch"])


def test_the_first_batch_names_the_usual_body(shop: Shop) -> None:
    batch(shop)
    body = ClayBody.objects.get(studio=shop.studio)
    assert (body.name, body.usual) == ("Grey stoneware", True)
    batch(shop, clay_name="", clay=body.public_id)
    batch(shop, clay_name="")  # the usual one
    assert {c.body for c in shop.state.clay.values()} == {body.public_id} and len(shop.state.clay) == 3


def test_a_pressing_is_tied_to_the_batch_in_use_without_a_word(shop: Shop) -> None:
    first = batch(shop)
    ware = shop.do("pressed", form=shop.ids["form"], count=3).data["batch"]
    assert shop.state.clay_of == {ware: first}
    # Three balls of 560 g; a tenth of each is cut off where no trial was measured: 3 × 56 × 0.8 come back.
    assert shop.state.clay[first].left == 40_000 - 3 * 560 and sum(shop.state.reclaim.values()) == 134


def test_a_planned_pressing_too(shop: Shop) -> None:
    first = batch(shop)
    shop.order()
    press = next(b.press for b in shop.plan().plan.batches)
    shop.do("task_done", task=press)
    assert set(shop.state.clay_of.values()) == {first}


def test_the_spare_is_that_of_the_setting_that_was_kept(shop: Shop) -> None:
    batch(shop)
    shop.do("trial_pressed", form=shop.ids["form"], ball_g=560, spare_g=28, filled=True, verdict="good")
    shop.do("pressed", form=shop.ids["form"], count=2)
    data = Fact.objects.get(studio=shop.studio, kind="pressed").data
    assert (data["ball_g"], data["spare_g"]) == (560, 28)


def test_a_form_may_have_a_body_of_its_own(shop: Shop) -> None:
    batch(shop)
    black = shop.do("clay_save", name="Black").data["clay"]
    shop.do("form_clay", form=shop.ids["form"], version=1, clay=black)
    shop.do("pressed", form=shop.ids["form"], count=1)
    assert Fact.objects.get(studio=shop.studio, kind="pressed").data["body"] == black
    assert ClayBody.objects.get(studio=shop.studio, usual=True).name == "Grey stoneware"
    shop.do("form_clay", form=shop.ids["form"], version=2)
    assert Form.objects.get(studio=shop.studio).clay is None


def test_a_person_may_say_another_batch(shop: Shop) -> None:
    batch(shop)
    second = batch(shop)
    ware = shop.do("pressed", form=shop.ids["form"], count=3).data["batch"]
    shop.later(minutes=5)
    said = shop.do("clay_said", ware=ware, batch=second)
    assert shop.state.clay_of[ware] == second
    shop.refused(422, "clay_said", ware=ware, batch=second)
    shop.do("undo", command=said.undo)
    assert shop.state.clay_of[ware] != second
    other = shop.do("pressed", form=shop.ids["form"], count=1, clay=second).data["batch"]
    assert shop.state.clay_of[other] == second


def test_pounds_and_commas_are_read(shop: Shop) -> None:
    assert shop.state.clay == {}
    shop.do("clay_in", clay_name="Grey", lb="50", how="delivered")
    shop.do("clay_in", kg="12,5", how="pugged", water_pct=22, reclaim_kg="5")
    assert [c.grams for c in shop.state.clay.values()] == [22_680, 12_500]  # 50 × 453.59237 g
    assert [c.water_pct for c in shop.state.clay.values()] == [None, 22]


def test_what_is_left_and_begun_is_told(shop: Shop) -> None:
    first, second = batch(shop), batch(shop)
    shop.do("clay_begun", batch=second)
    ware = shop.do("pressed", form=shop.ids["form"], count=1).data["batch"]
    assert shop.state.clay_of[ware] == second
    shop.do("clay_left", batch=second, kg="0")
    shop.refused(422, "clay_begun", batch=second)
    shop.do("clay_left", batch=first, kg="7.5")
    shop.do("reclaim_left", kg="11")
    assert shop.state.clay[first].left == 7500 and sum(shop.state.reclaim.values()) == 11_000


@pytest.mark.parametrize(
    ("said", "field"),
    [
        ({"kg": "", "lb": ""}, "kg"),
        ({"kg": "0"}, "kg"),
        ({"kg": "-3"}, "kg"),
        ({"kg": "much"}, "kg"),
        ({"kg": "inf"}, "kg"),
        ({"kg": "90000"}, "kg"),
        ({"how": "found"}, "how"),
        ({"clay_name": ""}, "clay_name"),
        ({"water_pct": "90"}, "water_pct"),
        ({"reclaim_kg": "60"}, "reclaim_kg"),
    ],
)
def test_what_cannot_be_is_refused_by_field(shop: Shop, said: dict[str, str], field: str) -> None:
    answer = shop.refused(422, "clay_in", **{"clay_name": "Grey", "kg": "40", "how": "pugged", **said})
    assert field in answer.errors


def test_other_studios_clay_is_not_found(shop: Shop) -> None:
    mine = batch(shop)
    other = Shop(name="Next Door", now=shop.now).furnish()
    other.refused(404, "clay_left", batch=mine, kg="1")
    other.refused(404, "clay_in", clay=ClayBody.objects.get(studio=shop.studio).public_id, kg="1", how="pugged")
    other.refused(404, "clay_said", ware="nosuch", batch=batch(other))


def test_a_maker_tells_batches_and_an_owner_names_bodies(shop: Shop) -> None:
    maker = shop.maker()
    shop.do("clay_in", by=maker, clay_name="Grey", kg="3", how="pugged")
    shop.refused(403, "clay_save", by=maker, name="Black")
    body = ClayBody.objects.get(studio=shop.studio)
    shop.do("clay_retire", clay=body.public_id, version=body.version)
    shop.do("pressed", form=shop.ids["form"], count=1)
    assert "body" not in Fact.objects.get(studio=shop.studio, kind="pressed").data
