"""What is said of losses on an order's page, on the form for a new one, and on a form's own page."""

from __future__ import annotations

import re

import pytest

from studio.models import FormTimings, Studio
from tests.pages.conftest import Browser
from tests.services.shop import Shop


@pytest.fixture
def losing(shop: Shop) -> Shop:
    FormTimings.objects.filter(studio=shop.studio).update(loss_making_pct=4, loss_bisque_pct=1, loss_glost_pct=4)
    return shop


def surely(shop: Shop) -> None:
    Studio.objects.filter(pk=shop.studio.pk).update(enough="19of20")


def test_an_order_says_how_many_are_started_and_how_surely_that_is_enough(losing: Shop, browser: Browser) -> None:
    losing.order(qty=24)
    page = browser.open(f"orders/{losing.ids['order']}/").text
    assert "Start 27 for 24: enough on average." in page  # 24 ÷ (0.96 × 0.99 × 0.96) = 26.3
    surely(losing)
    assert "Start 31 for 24: enough 19 times in 20." in browser.open(f"orders/{losing.ids['order']}/").text
    losing.do("opening_ware", form=losing.ids["form"], count=40, stage="bisqued", order=None)
    page = browser.open(f"orders/{losing.ids['order']}/").text
    assert "on the way for 24: enough 19 times in 20." in page and "Start" not in page


def test_a_new_order_says_what_would_be_started(losing: Shop, browser: Browser) -> None:
    assert "start 27 for 24 Bowl: enough on average" in browser.open("orders/new/").text
    surely(losing)
    asked = f"orders/new/?form={losing.ids['form']}&glaze={losing.ids['glaze']}&qty=10"
    assert "for 10 Bowl: enough 19 times in 20" in browser.open(asked).text
    assert "for 24 Bowl" in browser.open(f"orders/new/?form={losing.ids['form']}&qty=many").text


def test_a_form_says_what_is_lost_and_what_that_rests_on(losing: Shop, browser: Browser) -> None:
    page = browser.open(f"workshop/forms/{losing.ids['form']}/").text
    assert "making 4.0 %, bisque 1.0 %, glost and sorting 4.0 %" in page and "common practice, no source" in page
    losing.do("opening_ware", form=losing.ids["form"], count=50, stage="fired", order=losing.order(qty=40))
    ware = next(iter(losing.state.ware))
    losing.do("sorted", pieces=[{"batch": ware, "count": 50}], firsts=45, seconds=5,
              order=losing.state.ware[ware].order)  # fmt: skip
    losing.later(days=1)
    losing.do("opening_ware", form=losing.ids["form"], count=1, stage="bisqued", order=None)
    page = browser.open(f"workshop/forms/{losing.ids['form']}/").text
    assert "From pieces of its own since March 2027: 0 in the making, 0 in the bisque, 50 in the glost" in page
    shown = re.search(r"glost and sorting ([0-9.]+) %", page)
    assert shown and 6 < float(shown[1]) < 10  # between 4 stated and 10 counted, nearer to the latter
