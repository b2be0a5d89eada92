"""Two studios and a phone for the tests without a network."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from typing import TYPE_CHECKING

import pytest
from django.utils import timezone

from studio.demo import load_demo, plan_demo
from studio.models import Studio
from tests import clock
from tests.browser.offline import NO_NETWORK, PASSWORD, ready
from tests.browsing import Watch
from tests.services.shop import Shop

if TYPE_CHECKING:
    from playwright.sync_api import Page


@pytest.fixture
def shop(transactional_db: None, watch: Watch) -> Shop:
    """A planned studio by the real clock; a missing network is no fault in these tests."""
    shop = Shop(now=dt.datetime.now(dt.UTC)).furnish()
    shop.order(qty=10)
    shop.plan()
    shop.do("pressed", form=shop.ids["form"], count=3)
    for user in (shop.owner, shop.maker()):
        user.set_password(PASSWORD)
        user.save()
    watch.expected = list(NO_NETWORK)
    return shop


@pytest.fixture
def demo(transactional_db: None, monkeypatch: pytest.MonkeyPatch, watch: Watch) -> Studio:
    """The planned demo on a Wednesday at half past ten by the server's clock, so that Today has work."""
    monkeypatch.setenv(clock.VARIABLE, str(clock.shift_to(2, dt.time(10, 30))))
    monkeypatch.setattr(timezone, "now", clock.shifted_now)
    studio = load_demo(now=timezone.now(), time_zone="UTC")
    plan_demo(studio, timezone.now(), seconds=0)
    watch.expected = list(NO_NETWORK)
    return studio


@pytest.fixture
def phone(shop: Shop, new_page: Callable[..., Page]) -> Page:
    return ready(new_page(user=shop.owner), shop, "moulds/")
