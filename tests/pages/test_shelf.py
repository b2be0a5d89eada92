"""What stands on the shelf for nobody, and the seconds that an order's page offers."""

from __future__ import annotations

import pytest

from studio.models import Fact
from tests.pages.conftest import Browser
from tests.services.shop import Shop

pytestmark = pytest.mark.django_db


@pytest.fixture
def stocked(shop: Shop) -> Shop:
    own = {"form": shop.ids["form"], "glaze": shop.ids["glaze"]}
    shop.do("opening_ware", **own, count=7, stage="fired")
    shop.do("sorted", **own, firsts=2, seconds=5)
    return shop


def test_an_empty_shelf_says_so_in_one_line(shop: Shop, browser: Browser) -> None:
    shop.order()
    browser.open("orders/")
    text = browser.follow("On the shelf, nobody’s").text
    assert "Nothing: every finished pot is for an order, or sent." in text


def test_firsts_and_seconds_are_seen_until_they_leave(stocked: Shop, browser: Browser) -> None:
    text = browser.open("shelf/").text
    assert "Bowl, Chalk" in text and "2 firsts" in text and "5 seconds" in text
    text = browser.press("Broken", firsts="1", seconds="2").text
    assert "3 pots are off the shelf." in text and "1 first" in text and "3 seconds" in text
    assert "Bowl off the shelf, broken: 1 firsts, 2 seconds" in browser.open("record/").text
    browser.open("shelf/")
    text = browser.press("Sold", seconds="9").text
    assert "So many are not there" in text and 'value="9"' in browser.last.html


def test_an_order_that_lacks_pieces_is_offered_the_seconds(stocked: Shop, browser: Browser) -> None:
    stocked.order(qty=10)
    text = browser.open("shelf/").text
    assert "firsts" not in text.split("leave the shelf")[0] and "The Ninth Heron lacks 8" in text
    text = browser.follow("The Ninth Heron lacks 8").text
    assert "5 seconds could go with it" in text
    text = browser.press("The customer takes them", count="4").text
    assert "4 seconds go with the order" in text and "4 of them are seconds that the customer takes." in text
    assert "6 ready to send" in text and "1 second could go with it" in text
    assert "Bowl: the customer takes 4 seconds" in browser.open("record/").text
    fact = Fact.objects.get(studio=stocked.studio, kind="seconds_taken").public_id
    browser.open(f"record/{fact}/")
    browser.press("Correct it", count="3")
    assert "3 of them are seconds" in browser.open(f"orders/{stocked.ids['order']}/").text


def test_too_many_are_refused_with_what_was_entered(stocked: Shop, browser: Browser) -> None:
    stocked.order(qty=10)
    browser.open(f"orders/{stocked.ids['order']}/")
    text = browser.press("The customer takes them", count="7").text
    assert "So many cannot go with it: the line lacks 8, and 5 seconds are on the shelf." in text
    assert 'value="7"' in browser.last.html


def test_the_ready_ones_are_sent_in_one_tap(stocked: Shop, browser: Browser) -> None:
    stocked.order(qty=6)
    order = f"orders/{stocked.ids['order']}/"
    browser.open(order)
    browser.press("The customer takes them", count="4")
    assert "ready to send" in browser.last.text
    browser.press("6 pieces are sent off")
    text = browser.open(order).text
    assert "All sent" in text and "4 of them are seconds that the customer takes." in text
    assert stocked.state.troubles == []
    assert "1 second" in browser.open("shelf/").text


def test_no_offer_without_seconds_or_where_nothing_lacks(shop: Shop, browser: Browser) -> None:
    shop.order(qty=2)
    assert "could go with it" not in browser.open(f"orders/{shop.ids['order']}/").text
