"""What holds for each daily page: it works, needs a login, stays in its studio, keeps its size and its policy."""

from __future__ import annotations

import gzip
import re

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from studio.queries.plans import Live
from tests.pages.conftest import Browser
from tests.services.shop import Shop

PAGES = (
    "", "?who=all", "week/", "week/?by=kind", "plan/", "record/", "wrong/", "wrong/mould/", "wrong/lost/",
    "wrong/stuck/", "wrong/late/", "wrong/kiln/", "wrong/me/", "unplanned/", "shopping/", "shopping/?for=all", "shelf/",
)  # fmt: skip
LARGEST = 60_000  # bytes of a page's own HTML as sent; style, script and htmx take about 30 kB more of the 100
MOST_QUERIES = 45  # on the demo, whatever it holds


@pytest.mark.parametrize("page", PAGES)
def test_it_works_with_and_without_a_plan(shop: Shop, browser: Browser, page: str) -> None:
    browser.open(page)
    shop.order()
    shop.plan()
    browser.open(page)


@pytest.mark.parametrize("page", PAGES)
def test_it_needs_a_login_and_its_own_studio(shop: Shop, page: str) -> None:
    path = f"/s/{shop.studio.public_id}/{page}"
    client = Client()
    assert client.get(path).status_code == 302
    client.force_login(Shop("Next Door").owner)
    assert client.get(path).status_code == 404


@pytest.mark.parametrize("page", PAGES)
def test_a_page_is_not_posted_to(shop: Shop, browser: Browser, page: str) -> None:
    answer = browser.client.post(f"/s/{shop.studio.public_id}/{page}")
    assert answer.status_code == 405
    assert "works only from its button" in answer.content.decode()


def test_a_member_who_left_finds_nothing(shop: Shop) -> None:
    maker = shop.maker()
    browser = Browser(shop, maker)
    browser.open()
    shop.do("member_leave", member=shop.member(maker).public_id)
    assert browser.client.get(f"/s/{shop.studio.public_id}/").status_code == 404


@pytest.mark.parametrize("page", PAGES)
def test_no_style_and_no_script_stand_in_the_page(browser: Browser, live: Live, page: str) -> None:
    html = browser.open(page).html
    assert not re.search(r"<[^>]+\s(style|on\w+)=", html)
    assert not re.search(r"<script(?![^>]*\ssrc=)|<style", html)


@pytest.mark.parametrize("page", PAGES)
def test_links_and_forms_lead_somewhere(shop: Shop, browser: Browser, live: Live, page: str) -> None:
    opened = browser.open(page)
    assert "" not in opened.links.values()
    assert all(form.action for form in opened.forms)
    inside = {href for href in opened.links.values() if href.startswith("/s/")}
    assert {browser.client.get(href).status_code for href in inside} == {200}


@pytest.mark.parametrize("page", PAGES)
def test_every_input_has_a_name_for_ears(browser: Browser, live: Live, page: str) -> None:
    html = browser.open(page).html
    labelled = set(re.findall(r'<label[^>]*\sfor="([^"]+)"', html))
    for tag in re.findall(r"<(?:input|select|textarea)[^>]*>", html):
        if 'type="hidden"' in tag or 'type="checkbox"' in tag:
            continue
        found = re.search(r'\sid="([^"]+)"', tag)
        assert found is not None and found.group(1) in labelled, tag
    for inner in re.findall(r"<button[^>]*>(.*?)</button>", html, re.S):
        assert re.sub(r"<[^>]+>|\s", "", inner) or "aria-label" in html


def test_the_demo_s_pages_are_small_and_ask_little(db: None) -> None:
    """Figures of the demo: each page small when sent, with few queries; ``measure`` tells the times."""
    from django.contrib.auth.models import User
    from django.utils import timezone

    from studio.demo import load_demo, plan_demo

    user = User.objects.create(username="ansa")
    studio = load_demo(now=timezone.now(), user=user)
    plan_demo(studio, timezone.now(), seconds=0)
    client = Client()
    client.force_login(user)
    for page in PAGES:
        with CaptureQueriesContext(connection) as asked:
            answer = client.get(f"/s/{studio.public_id}/{page}")
        assert answer.status_code == 200
        assert len(asked) <= MOST_QUERIES, page
        assert len(gzip.compress(answer.content)) < LARGEST, page
