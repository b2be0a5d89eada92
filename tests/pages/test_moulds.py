"""Moulds by form, and everything that can be done with one."""

from __future__ import annotations

import datetime as dt

import pytest
from django.utils import timezone

from studio.models import Cast, Mould
from studio.queries.moulds import moulds_of
from tests.pages.visitor import Visitor, check_door
from tests.services.shop import Shop

pytestmark = pytest.mark.django_db


def of_form(shop: Shop) -> str:
    return f"moulds/{shop.ids['form']}/"


def test_the_door_of_each_page(shop: Shop) -> None:
    check_door("moulds/", shop)
    check_door(of_form(shop), shop)
    Visitor(shop).open("moulds/nosuch/", status=404)


def test_a_studio_without_forms_is_told_where_to_begin(empty: Shop) -> None:
    assert "No forms yet" in Visitor(empty).open("moulds/")


def test_ready_filled_and_resting_are_counted(shop: Shop, visitor: Visitor) -> None:
    batch = shop.do("pressed", form=shop.ids["form"], count=3).data["batch"]
    text = visitor.open("moulds/")
    assert "5 dry enough" in text
    assert "3 filled" in text
    shop.do("taken_out", batch=batch)
    assert "resting" in visitor.open("moulds/")
    view = moulds_of(shop.studio, now=timezone.now())[0]
    # A bowl's mould rests 14 h in an ordinary week: the table of usual figures.
    [(n, when)] = view.resting
    emptied = shop.state.moulds[view.of("resting")[0].id].emptied
    assert (n, int(when.timestamp()) // 60) == (3, emptied + 14 * 60)


def test_cracked_in_three_taps_from_today(shop: Shop, visitor: Visitor) -> None:
    visitor.open("")
    assert f'href="{visitor.path("moulds/")}"' in visitor.page  # 1: Moulds (2 where they stand behind “More”)
    visitor.open("moulds/")
    text = visitor.send("mould_cracked", {"form": shop.ids["form"]})  # the last one: One cracked
    assert "cracked: 7 left" in text
    assert "7 moulds" in visitor.open("moulds/")
    assert "cracked" in visitor.open(of_form(shop))


def test_a_filled_one_whose_piece_is_good_stays_on_the_book_as_ware(shop: Shop, visitor: Visitor) -> None:
    batch = shop.do("pressed", form=shop.ids["form"], count=3).data["batch"]
    visitor.open(of_form(shop))
    filled = moulds_of(shop.studio, now=timezone.now())[0].of("filled")
    visitor.send("mould_cracked", {"mould": filled[0].id}, piece_lost="true")
    assert shop.state.ware[batch].count == 2


def test_a_worn_one_is_shown_and_put_away(shop: Shop, visitor: Visitor) -> None:
    shop.do("mould_add", form=shop.ids["form"], count=1, uses_before=90, life=90)
    assert "1 worn" in visitor.open("moulds/")
    visitor.open(of_form(shop))
    worn = visitor.form("mould_retired")["mould"]
    assert Mould.objects.get(public_id=worn).uses_before == 90  # offered first
    visitor.send("mould_retired")
    assert "worn" not in visitor.open("moulds/")


def test_more_moulds_are_added_and_a_slip_is_told_at_its_field(shop: Shop, visitor: Visitor) -> None:
    visitor.open(of_form(shop))
    text = visitor.send("mould_add", count="2", uses_before="10")
    assert "2 more moulds of Bowl: 9 to 10." in text
    text = visitor.send("mould_add", count="0", life="77")
    assert "Enter a number from 1 to 200." in text
    assert visitor.form("mould_add")["life"] == "77"
    assert Mould.objects.count() == 10


def test_a_new_mould_is_poured_lifted_and_dries(shop: Shop, visitor: Visitor) -> None:
    visitor.open(of_form(shop))
    visitor.send("cast_save", count="1", required="on")
    cast = Cast.objects.get()
    assert cast.required
    text = visitor.text
    assert "To be poured" in text
    assert "Never a hand or any part of the body in setting plaster" in text
    visitor.send("poured")
    assert "Hot and heavy" in visitor.text
    assert "Lift from" in visitor.text
    visitor.send("lifted")
    mould = Mould.objects.get(public_id=cast.public_id)
    assert mould.ready_from > timezone.now() + dt.timedelta(days=7)
    assert "resting" in visitor.open("moulds/")


def test_a_pour_that_failed_can_be_poured_again(shop: Shop, visitor: Visitor) -> None:
    visitor.open(of_form(shop))
    visitor.send("cast_save")
    visitor.send("poured")
    visitor.send("cast_lost")
    assert "It is poured" in visitor.text
    visitor.send("poured")
    assert "Lift from" in visitor.text


def test_a_mould_is_weighed_and_its_last_weight_stands_beside_it(shop: Shop, visitor: Visitor) -> None:
    visitor.open(f"moulds/{shop.ids['form']}/")
    assert "It weighs" in visitor.text
    mould = visitor.form("weighed")["mould"]
    shop.later(hours=1)
    assert "640 g" in visitor.send("weighed", grams="640")
    visitor.open(f"moulds/{shop.ids['form']}/")
    shop.later(hours=1)
    visitor.send("weighed", grams="615")
    assert shop.state.moulds[mould].grams[-1][1] == 615
    assert "615 g, 0 uses" in visitor.open(f"moulds/{shop.ids['form']}/")
    assert "from the usual rest" in visitor.text  # no dry weight yet, so the scale says nothing
    text = visitor.send("weighed", grams="2")
    assert "What you entered is still here" in text
    assert 'value="2"' in visitor.page


def test_each_mould_says_how_damp_it_is_from_when_it_can_be_pressed_and_how_that_is_known(
    shop: Shop, visitor: Visitor
) -> None:
    view = moulds_of(shop.studio, now=timezone.now())[0].moulds[0]
    batch = shop.do("pressed", form=shop.ids["form"], count=1, moulds=[view.id]).data["batch"]
    shop.do("taken_out", batch=batch)
    resting = moulds_of(shop.studio, now=timezone.now())[0].of("resting")[0]
    assert (resting.id, resting.damp, resting.source) == (view.id, "damp", "from the usual rest")
    text = visitor.open(of_form(shop))
    assert "1 damp from " in text
    assert 'href="#m-drop"' in visitor.page  # a mark, never colour alone
    visitor.send("weighed", mould=view.id, grams="1700", dry="on")
    assert shop.state.moulds[view.id].dry is not None
    assert "from 1 weighing" in visitor.open(of_form(shop))
    visitor.send("weighed", mould=view.id, grams="9100")
    text = visitor.open(of_form(shop))
    assert "9100 g" in text
    assert "does not fit what else is known. Was it empty?" in text
