"""The form's page on how its ware firms up and dries: figures, where they come from, and the curve with its table."""

from __future__ import annotations

import re

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from studio.models import Fact
from tests.services.shop import Shop
from tests.services.test_tasks import do_all, to

pytestmark = pytest.mark.django_db


def page(shop: Shop) -> str:
    client = Client()
    client.force_login(shop.owner)
    with CaptureQueriesContext(connection) as queries:
        answer = client.get(f"/s/{shop.studio.public_id}/workshop/forms/{shop.ids['form']}/")
    assert answer.status_code == 200
    assert len(queries) <= 20
    return answer.content.decode()


def test_the_page_tells_the_hours_their_source_and_what_a_damp_week_does(shop: Shop) -> None:
    text = page(shop)
    assert "Now: 6 to 12 h" in text
    assert "Ordinary week: 6 to 12 h (common practice). Damp week: 9 to 17.7 h." in text  # 12 h / 0.675
    assert "Nothing was learned yet" in text


def test_what_was_said_shows_with_how_sure_it_is(shop: Shop) -> None:
    for _ in range(6):
        batch = shop.do("pressed", form=shop.ids["form"], count=1).data["batch"]
        shop.later(hours=9)
        shop.do("too_soft", batch=batch, minutes=60)
        shop.later(hours=15)
        shop.do("taken_out", batch=batch)
    text = page(shop)
    assert "Learned from 6 remarks" in text
    assert "19 times in 20" in text
    assert "Now: 6 to 12 h" not in text


def test_the_curve_has_an_equal_table_that_never_rises(shop: Shop) -> None:
    text = page(shop)
    assert '<svg viewBox="0 0 360 200" aria-hidden="true"' in text
    rows = re.findall(r'<th scope="row">(\d+)</th><td>(\d+) %</td><td>(\d+) %</td>', text)
    hours, now, damp = ([int(r[i]) for r in rows] for i in range(3))
    assert (hours[0], now[0], damp[0]) == (0, 28, 28)
    assert now == sorted(now, reverse=True)
    assert damp == sorted(damp, reverse=True)
    assert all(a <= b for a, b in zip(now, damp, strict=True))


def test_the_words_stand_on_the_cards_and_one_tap_is_done(shop: Shop) -> None:
    shop.order(qty=4)
    live = shop.plan()
    release = do_all(shop, live, "release")
    to(shop, live, release)
    client = Client()
    client.force_login(shop.owner)
    text = client.get(f"/s/{shop.studio.public_id}/").content.decode()
    assert "Done, they came clean" in text
    assert "Done, but they stuck" in text


def test_what_was_said_of_the_air_is_kept_and_listed_the_last_first(shop: Shop) -> None:
    assert "Nobody has said anything of the air yet" in page(shop)
    shop.do("week_set", week="damp")
    shop.later(days=2)
    shop.do("week_set", week="damp")  # nothing new
    shop.do("air_set", temperature_c=18, humidity_pct=65)
    text = page(shop)
    listed = re.findall(r"<time[^>]*>([^<]+)</time>: ([^<]+)</span>", text)
    assert listed == [("17 March, 08:00", "18 °C, humidity 65\u00a0%"), ("15 March, 08:00", "a damp week")]


def test_a_word_on_the_air_that_is_taken_back_holds_no_more(shop: Shop) -> None:
    shop.do("week_set", week="damp")
    shop.later(days=1)
    shop.do("week_set", week="dry")
    fact = Fact.objects.filter(studio=shop.studio, kind="air").latest("seq")
    undo = shop.do("undo", fact=fact.public_id)
    shop.studio.refresh_from_db()
    assert shop.studio.week == "damp" and ": a dry week" not in page(shop)
    shop.do("undo", fact=Fact.objects.filter(studio=shop.studio, kind="undo").latest("seq").public_id)
    shop.studio.refresh_from_db()
    assert shop.studio.week == "dry" and undo.ok
    shop.do("correct", fact=fact.public_id, data={"week": "ordinary"})
    shop.studio.refresh_from_db()
    assert shop.studio.week == "ordinary"


def test_a_change_on_the_studio_s_page_is_kept_too(shop: Shop) -> None:
    shop.studio.refresh_from_db()
    shop.do("studio_save", name="North Yard", time_zone="Europe/London", units="metric", week="dry",
            version=shop.studio.version)  # fmt: skip
    assert [f.data["week"] for f in Fact.objects.filter(studio=shop.studio, kind="air")] == ["dry"]
    shop.studio.refresh_from_db()
    shop.do("studio_save", name="South Yard", time_zone="Europe/London", units="metric", week="dry",
            version=shop.studio.version)  # fmt: skip
    assert Fact.objects.filter(studio=shop.studio, kind="air").count() == 1
