"""A count or a time on record is corrected by the person who reads it; what was written first stays."""

from __future__ import annotations

import datetime as dt

import pytest

from studio.models import Fact
from tests.pages.conftest import Browser
from tests.pages.visitor import check_door
from tests.services.shop import Shop


def pressed(shop: Shop, count: int = 6) -> str:
    shop.do("pressed", form=shop.ids["form"], count=count)
    return Fact.objects.get(kind="pressed").public_id


def the_ware(shop: Shop) -> tuple[int, int]:
    """How many stand there, and in how many moulds."""
    ware = next(iter(shop.state.ware.values()))
    return ware.count, len(ware.moulds)


def test_the_door(shop: Shop) -> None:
    check_door(f"record/{pressed(shop)}/", shop)


def test_fewer_were_pressed_and_earlier(shop: Shop, browser: Browser) -> None:
    fact = pressed(shop)
    was = Fact.objects.get(public_id=fact).data
    browser.open("record/")
    page = browser.follow("correct")
    assert "6 × Bowl pressed" in page.text
    earlier = (shop.now - dt.timedelta(minutes=45)).strftime("%Y-%m-%dT%H:%M")  # London has GMT in March
    page = browser.press("Correct it", count="4", ended_at=earlier)
    assert "Corrected." in page.text
    assert the_ware(shop) == (4, 4)
    assert next(iter(shop.state.ware.values())).first == was["first"] - 45
    assert "4 × Bowl pressed" in page.text
    assert Fact.objects.get(public_id=fact).data == was
    assert sum(m.filled_by is not None for m in shop.state.moulds.values()) == 4
    browser.press("Undo")
    assert the_ware(shop) == (6, 6)
    assert "6 × Bowl pressed" in browser.open("record/").text


def test_unchanged_times_are_sent_back_to_the_minute(shop: Shop, browser: Browser) -> None:
    pressed(shop)
    browser.open("record/")
    browser.follow("correct")
    page = browser.press("Correct it")
    assert "Nothing of it is changed" in page.text
    assert not Fact.objects.filter(kind="correction").exists()


@pytest.mark.parametrize(("entries", "told"), [
    ({"count": "7"}, "From 1 to 6"), ({"count": "0"}, "From 1 to 6"), ({"count": "x"}, "Enter a whole number"),
    ({"ended_at": "2099-01-01T08:00"}, "Enter a time that is past"), ({"ended_at": "soon"}, "Enter a day and time"),
])  # fmt: skip
def test_what_cannot_have_been_is_asked_again(
    shop: Shop, browser: Browser, entries: dict[str, str], told: str
) -> None:
    fact = pressed(shop)
    browser.open(f"record/{fact}/")
    page = browser.press("Correct it", **entries)
    assert told in page.text
    assert "What you entered is still here" in page.text
    form, _button = page.press("Correct it")
    assert all(form.fields[k] == [v] for k, v in entries.items())
    assert not Fact.objects.filter(kind="correction").exists()


def test_sorted_stays_as_many_as_there_were(shop: Shop, browser: Browser) -> None:
    shop.do("opening_ware", form=shop.ids["form"], count=9, stage="fired", glaze=shop.ids["glaze"])
    shop.do("sorted", form=shop.ids["form"], glaze=shop.ids["glaze"], firsts=9)
    fact = Fact.objects.get(kind="sorted").public_id
    browser.open(f"record/{fact}/")
    assert "are 9 together" in browser.press("Correct it", firsts="8").text
    browser.press("Correct it", firsts="7", seconds="1", lost="1")
    tally = shop.state.stock[f"{shop.ids['form']}/{shop.ids['glaze']}"]
    assert (tally.firsts, tally.seconds, tally.lost) == (7, 1, 1)
    again = browser.open(f"record/{fact}/")
    form, _button = again.press("Correct it")
    assert (form.fields["firsts"], form.fields["seconds"]) == (["7"], ["1"])


def test_what_has_no_count_or_was_taken_back_cannot_be_corrected(shop: Shop, browser: Browser) -> None:
    fact = pressed(shop)
    shop.do("undo", fact=fact)
    undo = Fact.objects.get(kind="undo").public_id
    for one in (fact, undo, "nosuch"):
        assert browser.client.get(f"/s/{shop.studio.public_id}/record/{one}/").status_code == 404
        shop.refused(404, "recount", fact=one, count=3)
    shop.do("kiln_out", kiln=shop.ids["kiln"], replan=False)
    shop.refused(422, "recount", fact=Fact.objects.get(kind="kiln_out").public_id, count=3)
    Shop("Next Door").refused(404, "recount", fact=fact, count=3)
