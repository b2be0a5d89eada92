"""The daily pages on a phone's screen, by thumb, and the week on one sheet of paper."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

import pytest

from studio.models import Fact, PlanRun
from studio.record.state import IN_MOULD
from tests.services.shop import Shop

if TYPE_CHECKING:
    from playwright.sync_api import Page

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

PAGES = ("", "week/", "plan/", "wrong/", "wrong/mould/", "wrong/stuck/", "wrong/lost/", "record/", "unplanned/")
SMALL = """() => [...document.querySelectorAll('a,button,summary,input:not([type=hidden]),select')].filter((e) => {
  const target = e.closest('label.tick') || e;
  const box = target.getBoundingClientRect();
  return box.width > 0 && box.height > 0 && box.height < 47.5;
}).map((e) => e.outerHTML.slice(0, 120))"""
UNFOLD = "() => document.querySelectorAll('main details').forEach((d) => { d.removeAttribute('name'); d.open = true; })"


@pytest.fixture
def shop(transactional_db: None) -> Shop:
    """A planned studio whose clock is the real one."""
    shop = Shop(now=dt.datetime.now(dt.UTC)).furnish()
    shop.order(qty=10)
    shop.plan()
    shop.do("pressed", form=shop.ids["form"], count=3)
    return shop


@pytest.fixture
def phone(shop: Shop, new_page: Callable[..., Page]) -> Page:
    return new_page(user=shop.owner)


def tap(page: Page, role: Any, name: str) -> None:
    """Tap and wait for the page that it leads to."""
    with page.expect_navigation():
        page.get_by_role(role, name=name).first.tap()


def test_three_taps_from_today_to_a_cracked_mould(shop: Shop, phone: Page) -> None:
    phone.goto(f"/s/{shop.studio.public_id}/")
    tap(phone, "link", "Something’s wrong")
    tap(phone, "link", "A mould cracked")
    tap(phone, "button", "Bowl")
    assert Fact.objects.filter(studio=shop.studio, kind="mould_cracked").count() == 1
    run = PlanRun.objects.get(studio=shop.studio)
    assert phone.url.endswith(f"plan/?run={run.public_id}")
    fact = Fact.objects.get(kind="mould_cracked")
    assert fact.command is not None
    assert fact.command.recorded_at is not None  # the phone's own clock came with it


def test_the_stepper_counts_and_a_double_tap_records_once(shop: Shop, phone: Page) -> None:
    phone.goto(f"/s/{shop.studio.public_id}/wrong/lost/")
    phone.locator("summary", has_text="3 × Bowl").tap()
    phone.get_by_role("button", name="one more").first.tap()
    with phone.expect_navigation():
        phone.get_by_role("button", name="These are lost").dblclick()
    phone.wait_for_load_state("networkidle")
    wares = [w for w in shop.state.ware.values() if w.stage == IN_MOULD]
    assert [w.count for w in wares] == [1]
    assert Fact.objects.filter(studio=shop.studio, kind="lost").count() == 1


@pytest.mark.parametrize("width", [320, 390])
def test_everything_fits_and_can_be_hit_with_a_thumb(shop: Shop, new_page: Callable[..., Page], width: int) -> None:
    page = new_page(user=shop.owner, viewport={"width": width, "height": 844})
    for path in PAGES:
        page.goto(f"/s/{shop.studio.public_id}/{path}")
        page.evaluate(UNFOLD)
        assert page.evaluate("document.documentElement.scrollWidth") <= width, path
        assert page.evaluate(SMALL) == [], path


@pytest.mark.parametrize("by", ["person", "kind"])
def test_the_week_prints_on_one_sheet(shop: Shop, phone: Page, by: str) -> None:
    phone.goto(f"/s/{shop.studio.public_id}/week/?by={by}")
    paper = phone.pdf(prefer_css_page_size=True)
    assert len(re.findall(rb"/Type\s*/Page[^s]", paper)) == 1


def test_a_page_s_first_load_is_below_100_kb(shop: Shop, phone: Page) -> None:
    sizes: list[int] = []
    phone.on("response", lambda answer: sizes.append(len(answer.body()) if answer.status == 200 else 0))
    phone.goto(f"/s/{shop.studio.public_id}/")
    phone.wait_for_load_state("networkidle")
    # All in and not even compressed, with this small studio; compressed sizes of the demo are tested with the pages.
    assert 0 < sum(sizes) < 130_000
