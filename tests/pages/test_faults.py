"""Faults: told with the pots that are lost, counted on a page, repeat offenders named."""

from __future__ import annotations

from typing import Any

from studio.models import Fact
from tests.pages.conftest import Browser
from tests.services.shop import Shop


def fired(shop: Shop, count: int, glaze: str, good: int, why: str = "crawling") -> None:
    """Sort ``count`` fired bowls for stock, ``good`` of them firsts."""
    more: dict[str, Any] = {"glaze": glaze}
    line = shop.do("order_new", customer_name="Fern", due="2027-04-01",
                   lines=[{"form": shop.ids["form"], "glaze": glaze, "qty": count}]).data["lines"][0]  # fmt: skip
    ware = shop.do("opening_ware", form=shop.ids["form"], count=count, stage="fired", order=line, **more)
    ids = [w.id for w in shop.state.ware.values() if w.order == line]
    assert ids, ware
    shop.do("sorted", order=line, pieces=[{"batch": ids[0], "count": count}], firsts=good, seconds=count - good,
            why=why)  # fmt: skip


def test_without_any_the_page_says_how_they_come_there(shop: Shop, browser: Browser) -> None:
    browser.open("wrong/")
    browser.follow("Faults")
    assert "No fault was named yet" in browser.last.text


def test_a_glaze_that_crawls_more_than_the_other_is_named_with_what_to_look_at(shop: Shop, browser: Browser) -> None:
    """12 of 40 against 1 of 60: by the hypergeometric chance some 2 in 100 000 (checked in tests/craft)."""
    other = shop.do("glaze_save", name="Moss", programs=[shop.ids["glost"]]).data["glaze"]
    fired(shop, 60, shop.ids["glaze"], 59)
    fired(shop, 40, other, 28)
    page = browser.open("faults/").text
    assert "Glaze Moss: crawling on 12 of 40, elsewhere on 1 of 60." in page
    assert "weigh a litre of this glaze" in page and "less than 1 time in 1000" in page
    assert "13 pieces with a fault that was named" in page and "100 %" in page
    assert "and its profile tool" not in page  # all are of one form: it cannot be told from others


def test_alike_losses_blame_nobody(shop: Shop, browser: Browser) -> None:
    other = shop.do("glaze_save", name="Moss", programs=[shop.ids["glost"]]).data["glaze"]
    fired(shop, 50, shop.ids["glaze"], 46)
    fired(shop, 50, other, 45)
    page = browser.open("faults/").text
    assert "Nothing stands out" in page and "crawling" in page


def test_two_taps_record_it_and_undo_takes_it_away(shop: Shop, browser: Browser) -> None:
    shop.do("pressed", form=shop.ids["form"], count=4)
    browser.open("wrong/lost/")
    browser.press("These are lost", count="2", why="stuck")
    assert "stuck, torn coming out: 2" in browser.open("faults/").text
    shop.do("undo", fact=Fact.objects.get(studio=shop.studio, kind="lost").public_id)
    assert "No fault was named yet" in browser.open("faults/").text


def test_what_nobody_named_is_counted_apart(shop: Shop, browser: Browser) -> None:
    shop.do("pressed", form=shop.ids["form"], count=4)
    shop.do("pots_lost", ware=next(iter(shop.state.ware)), count=3, where="in_mould", why="")
    assert "Of 3 more nobody said what was seen." in browser.open("faults/").text
