"""A casting session ticked step by step, without JavaScript."""

from __future__ import annotations

import pytest

from studio.models import Fact
from tests.pages.visitor import Visitor, check_door
from tests.services.shop import Shop

pytestmark = pytest.mark.django_db


def cast(shop: Shop, **more: object) -> str:
    return str(shop.do("cast_save", form=shop.ids["form"], **more).data["casts"][0])


def test_the_door(shop: Shop) -> None:
    check_door(f"moulds/cast/{cast(shop)}/", shop)
    Visitor(shop).open("moulds/cast/nosuch/", status=404)


def test_a_session_from_the_soap_to_the_lift(shop: Shop, visitor: Visitor) -> None:
    """The shop's Monday is before summer time, so its clock is UTC: 08:00."""
    shop.do("mould_mix", form=shop.ids["form"], ml=4229)
    shop.do("plaster_in", kg="25")
    one = cast(shop)
    text = visitor.open(f"moulds/cast/{one}/")
    assert "never a hand or any part of the body" in text.lower() and "Never down the sink" in text
    assert "4.25 kg" in text and "2.98 kg" in text  # as worked out by hand in test_plaster.py
    for step in ("soaped", "weighed"):
        visitor.send("cast_step", {"step": step})
    shop.later(minutes=10)
    visitor.send("cast_step", {"step": "sifted"})
    assert "Soaked by 08:12, stirred by 08:15" in visitor.text
    shop.later(minutes=6)
    visitor.send("poured")
    assert "Look from 08:31 to 08:41" in visitor.text  # 15 to 25 min after 08:16
    assert "Look now" not in visitor.text and "20.7 kg" not in visitor.text
    shop.later(minutes=30)
    assert "Look now" in visitor.open(f"moulds/cast/{one}/")
    visitor.send("cast_step", {"step": "frame_off"})
    assert "Look from 09:01 to 12:16" in visitor.text  # 45 to 240 min after the pour
    shop.later(minutes=30)
    visitor.send("lifted")
    assert "It is number 9: cut it in" in visitor.text and "Usually dry by" in visitor.text
    visitor.send("weighed", grams="6500")
    assert "Weighed 1 time" in visitor.text
    assert [f.kind for f in Fact.objects.filter(studio=shop.studio).order_by("seq")][1:] == [
        "cast_step", "cast_step", "cast_step", "poured", "cast_step", "lifted", "weighed",
    ]  # fmt: skip


def test_a_pour_told_elsewhere_is_not_told_again(shop: Shop, visitor: Visitor) -> None:
    one = cast(shop)
    shop.do("poured", cast=one)
    visitor.open(f"moulds/cast/{one}/")
    with pytest.raises(AssertionError, match="no form for poured"):
        visitor.form("poured")
    assert visitor.form("cast_step")["step"] == "frame_off"


def test_a_tick_can_be_taken_back(shop: Shop, visitor: Visitor) -> None:
    one = cast(shop)
    visitor.open(f"moulds/cast/{one}/")
    visitor.send("cast_step", {"step": "soaped"})
    assert visitor.at.endswith("#next")
    visitor.open(f"moulds/cast/{one}/")  # the note with its undo is gone, the step's own stays
    visitor.send("undo")
    assert shop.state.casting == {} and visitor.form("cast_step", step="soaped")
    shop.do("poured", cast=one)
    visitor.open(f"moulds/cast/{one}/")
    visitor.send("undo")
    assert shop.state.casts == {} and visitor.form("poured")


def test_what_failed_begins_again(shop: Shop, visitor: Visitor) -> None:
    one = cast(shop)
    visitor.open(f"moulds/cast/{one}/")
    visitor.send("cast_step", {"step": "soaped"})
    visitor.send("poured")
    visitor.send("cast_lost")
    assert visitor.form("cast_step", step="soaped")


def test_another_amount_of_plaster_is_taken_off_the_bags(shop: Shop, visitor: Visitor) -> None:
    shop.do("plaster_in", kg="25")
    one = cast(shop)
    for step in ("soaped", "weighed", "sifted"):
        shop.do("cast_step", cast=one, step=step)
    visitor.open(f"moulds/cast/{one}/")
    assert "not kept yet" in visitor.text or "another amount" in visitor.text
    visitor.send("poured", {"kg": ""}, kg="4.3")
    assert [b.left for b in shop.state.plaster.values()] == [20_700]


def test_one_is_picked_by_hand_and_begun(shop: Shop, visitor: Visitor) -> None:
    visitor.open(f"moulds/{shop.ids['form']}/")
    visitor.send("cast_save", {"begin": "true"})
    assert "/moulds/cast/" in visitor.at and "Soap the model" in visitor.text


def test_a_mix_is_kept_from_its_page(shop: Shop, visitor: Visitor) -> None:
    visitor.open(f"moulds/plaster/?form={shop.ids['form']}&way=round&frame_mm=260&model_mm=180&height_mm=80"
                 "&shape=straight")  # fmt: skip
    visitor.send("mould_mix")
    assert "Kept: a mould of Bowl takes 4.2 l" in visitor.text
    visitor.open(f"moulds/cast/{cast(shop)}/")
    href = next(line for line in visitor.page.split('"') if "frame_mm=260" in line).replace("&amp;", "&")
    assert "In one mix of 4.6 l" in visitor.open(href)
