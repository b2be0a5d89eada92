"""The clay page, and the word on Today when clay falls short."""

from __future__ import annotations

import datetime as dt

import pytest

from studio.queries.plans import Live
from tests.pages.conftest import Browser
from tests.pages.visitor import Visitor, check_door
from tests.services.shop import Shop

pytestmark = pytest.mark.django_db


def test_the_door(shop: Shop) -> None:
    check_door("clay/", shop)


def test_the_first_clay_is_named_and_told(shop: Shop, visitor: Visitor) -> None:
    assert "Which clay do you use?" in visitor.open("clay/")
    assert "silica" in visitor.text
    visitor.send("clay_in", clay_name="Grey stoneware", kg="40", how="pugged")
    text = visitor.open("clay/")
    assert "Grey stoneware 40 kg ready" in text and "Pugged today" in text and "40 kg of 40 kg left" in text
    assert "in use" in text and 'name="clay_name"' not in visitor.page


def test_what_is_refused_stays_in_the_form(shop: Shop, visitor: Visitor) -> None:
    visitor.open("clay/")
    text = visitor.send("clay_in", clay_name="Grey", kg="heaps", how="pugged")
    assert "What you entered is still here" in text
    assert visitor.form("clay_in")["clay_name"] == "Grey"


def test_the_week_s_balls_against_what_is_there(shop: Shop, browser: Browser, live: Live) -> None:
    """Bowls of 560 g: how many the plan presses is counted from the plan, day by day."""
    shop.do("clay_in", clay_name="Grey", kg="4", how="delivered")
    end = dt.timedelta(days=7)
    starts = [(live.when(live.plan.task[b.press].start), b.count) for b in live.plan.batches if b.press]
    n = sum(count for at, count in starts if at < shop.now + end)
    short = 1.1 * 560 * n - 4000
    text = browser.open("clay/").text
    assert f"Pug {-(-short // 5000) * 5:.0f} kg of Grey" in text
    first = starts[0]
    assert f"{first[1]} × Bowl" in text
    shop.do("clay_in", kg="40", how="pugged")
    text = browser.open("clay/").text
    assert "Pug" not in text.replace("Pugged", "").replace("pugged", "") and "with a tenth to spare" in text


def test_today_says_when_clay_falls_short(shop: Shop, browser: Browser, live: Live) -> None:
    assert "Pug " not in browser.open().text  # nobody tells of clay: nothing is said
    shop.do("clay_in", clay_name="Grey", kg="0.5", how="delivered")
    assert "Pug 10 kg of Grey now" in browser.open().text  # 11 balls and a tenth weigh 6.8 kg, less 0.5: two steps
    shop.do("clay_in", kg="10", how="pugged")
    assert "Pug " not in browser.open().text


def test_batches_are_begun_weighed_and_set_right_by_tap(shop: Shop, visitor: Visitor) -> None:
    first = shop.do("clay_in", clay_name="Grey", kg="30", how="delivered").data["batch"]
    shop.later(days=1)
    second = shop.do("clay_in", kg="20", how="pugged", water_pct=22).data["batch"]
    shop.do("pressed", form=shop.ids["form"], count=2)
    ware = next(iter(shop.state.clay_of))
    visitor.open("clay/")
    assert "22 % water" in visitor.text
    visitor.send("clay_said", {"ware": ware}, batch=second)
    assert shop.state.clay_of[ware] == second
    visitor.send("clay_begun", {"batch": second})
    assert shop.state.clay_begun != {}
    visitor.send("clay_left", batch=first, kg="0")
    assert "used up" in visitor.text
    visitor.send("reclaim_left", kg="12")
    assert "some 12 kg" in visitor.text


def test_forms_of_another_clay(shop: Shop, visitor: Visitor) -> None:
    shop.do("clay_in", clay_name="Grey", kg="30", how="delivered")
    visitor.open("clay/")
    visitor.send("clay_save", name="Black")
    black = next(v for v, name in ((b["clay"], "") for b in [visitor.form("clay_retire")]) if v)
    visitor.send("form_clay", {"form": shop.ids["form"]}, clay=black)
    assert "pressed from Black" in visitor.text
    visitor.send("clay_in", clay=black, kg="10", how="pugged")
    assert "Black 10 kg ready" in visitor.text


def test_in_pounds_where_the_studio_says_so(shop: Shop, visitor: Visitor) -> None:
    shop.do("studio_save", name="A", time_zone="Europe/London", units="us", week="ordinary", version=1)
    visitor.open("clay/")
    visitor.send("clay_in", clay_name="Grey", lb="50", how="delivered")
    assert "Grey 50 lb ready" in visitor.text


def test_a_maker_sees_no_forms_for_owners(shop: Shop) -> None:
    shop.do("clay_in", clay_name="Grey", kg="30", how="delivered")
    maker = Visitor(shop, shop.maker())
    maker.open("clay/")
    assert "Another clay" not in maker.text
    maker.send("clay_in", kg="3", how="pugged")
    assert len(shop.state.clay) == 2


def test_the_week_says_it_days_before(shop: Shop, browser: Browser, live: Live) -> None:
    shop.do("clay_in", clay_name="Grey", kg="5", how="delivered")  # eight balls of the first day, not all ten
    text = browser.open("week/").text
    assert "Pug 5 kg of Grey by" in text
    assert "Pug" not in browser.open("week/?from=2027-03-22").text
