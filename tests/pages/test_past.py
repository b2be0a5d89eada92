"""Ware whose time is over is asked about on Today, with two answers."""

from __future__ import annotations

from studio.models import PlanRun
from studio.translate import scenario_at
from tests.pages.conftest import Browser
from tests.services.shop import Shop


def in_moulds(shop: Shop) -> str:
    """Five bowls pressed now, with a plan in use."""
    shop.order(qty=10, days=20)
    shop.plan()
    return shop.do("pressed", form=shop.ids["form"], count=5).data["batch"]


def test_it_is_asked_only_once_its_time_is_over(shop: Shop, browser: Browser) -> None:
    batch = in_moulds(shop)
    assert "Past its time" not in browser.open().text
    shop.later(hours=9)
    assert "Past its time" not in browser.open().text and scenario_at(shop.studio, shop.now).asks == ()
    shop.later(hours=16)
    assert "Past its time: still good?" in browser.open().text
    assert "5 × Bowl" in browser.last.text and "was good until" in browser.last.text
    assert scenario_at(shop.studio, shop.now).asks == (batch,)


def test_still_good_is_believed_for_a_day(shop: Shop, browser: Browser) -> None:
    batch = in_moulds(shop)
    shop.later(hours=25)
    browser.open()
    page = browser.press("Still good")
    assert "Past its time" not in page.text
    assert shop.state.ware[batch].count == 5 and scenario_at(shop.studio, shop.now).asks == ()
    shop.later(hours=25)
    assert "Past its time: still good?" in browser.open().text


def test_not_any_more_writes_it_off_and_has_it_made_again(shop: Shop, browser: Browser) -> None:
    batch = in_moulds(shop)
    shop.later(hours=25)
    browser.open()
    browser.press("Not any more")
    assert batch not in shop.state.ware
    assert PlanRun.objects.get(studio=shop.studio).why == "lost"
    assert "Past its time" not in browser.open().text


def test_leather_hard_ware_is_asked_about_too(shop: Shop, browser: Browser) -> None:
    batch = in_moulds(shop)
    shop.later(hours=9)
    shop.do("taken_out", batch=batch, wrapped=False)
    assert "Past its time" not in browser.open().text
    shop.later(days=4)
    assert "leather-hard" in browser.open().text and "Past its time: still good?" in browser.last.text
    assert scenario_at(shop.studio, shop.now).asks == (batch,)
