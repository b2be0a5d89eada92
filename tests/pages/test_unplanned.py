"""Work that no plan asked for is put on record, from pressing to packing."""

from __future__ import annotations

import datetime as dt

import pytest

from studio.models import Fact
from studio.record.state import GLAZED, IN_MOULD, LEATHER
from tests.pages.conftest import Browser
from tests.services.shop import Shop


def test_pressed_taken_out_and_turned_without_a_plan(shop: Shop, browser: Browser) -> None:
    browser.open()
    browser.follow("without a plan")
    browser.press("Pressed", count="6")
    assert [(w.stage, w.count) for w in shop.state.ware.values()] == [(IN_MOULD, 6)]
    shop.now += dt.timedelta(hours=8)
    browser.open("unplanned/")
    browser.press("any others are lost", count="5")
    assert [(w.stage, w.count) for w in shop.state.ware.values()] == [(LEATHER, 5)]
    browser.open("unplanned/")
    browser.press("Done; any others still to do", count="3")
    assert sorted((len(w.steps), w.count) for w in shop.state.ware.values()) == [(0, 2), (1, 3)]


def test_glazed_for_an_order_and_for_stock(shop: Shop, browser: Browser) -> None:
    line = shop.order(qty=4)
    shop.do("opening_ware", form=shop.ids["form"], count=9, stage="bisqued")
    browser.open("unplanned/")
    assert "The Ninth Heron" in browser.last.html
    browser.press("Glazed", count="4", order=line)
    browser.open("unplanned/")
    browser.press("Glazed", count="2", order="")
    glazed = {w.order: w.count for w in shop.state.ware.values() if w.stage == GLAZED}
    assert glazed == {line: 4, None: 2}


def test_sorted_into_firsts_seconds_and_lost(shop: Shop, browser: Browser) -> None:
    line = shop.order(qty=4)
    ware = {"form": shop.ids["form"], "glaze": shop.ids["glaze"]}
    shop.do("opening_ware", **ware, count=6, stage="fired", order=line)
    browser.open("unplanned/")
    browser.press("Sorted", firsts="4", seconds="1", lost="1")
    tally = shop.state.lines[line]
    assert (tally.firsts, tally.seconds, tally.lost) == (4, 1, 1)


def test_more_than_there_are_is_answered_plainly(shop: Shop, browser: Browser) -> None:
    shop.do("opening_ware", form=shop.ids["form"], count=3, stage="bisqued")
    browser.open("unplanned/")
    page = browser.press("Glazed", count="4")
    assert "Only 3 bisqued ones are on record" in page.text
    assert 'role="alert"' in page.html


def test_what_is_recorded_at_lunch_happened_in_the_morning(shop: Shop, browser: Browser) -> None:
    shop.now = dt.datetime(2027, 3, 29, 11, 30, tzinfo=dt.UTC)  # the day after the clocks went forward in London
    browser.open("unplanned/")
    browser.press("Pressed", count="3", when="2027-03-29T09:15")
    fact = Fact.objects.get(kind="pressed")
    eight_fifteen = dt.datetime(2027, 3, 29, 8, 15, tzinfo=dt.UTC)  # summer time is an hour ahead
    assert fact.happened_at == eight_fifteen
    assert fact.arrived_at == shop.now
    assert fact.data["ended"] == int(eight_fifteen.timestamp() // 60)


@pytest.mark.parametrize("when", ["2027-03-15T08:01", "2027-02-20T08:00", "soon", "2027-13-40T99:99", "9" * 50])
def test_a_time_that_cannot_be_is_asked_again(shop: Shop, browser: Browser, when: str) -> None:
    shop.now = dt.datetime(2027, 3, 15, 8, 0, tzinfo=dt.UTC)
    browser.open("unplanned/")
    page = browser.press("Pressed", count="3", when=when)
    assert not Fact.objects.exists()
    assert 'role="alert"' in page.html
    form, _button = page.press("Pressed")
    assert form.fields["count"] == ["3"]
    assert form.fields["when"] == [when]
    assert 'id="w-pressed-e"' in page.html
