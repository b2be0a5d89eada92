"""Steps of the tests of a phone without a network."""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import TYPE_CHECKING

from django.contrib.auth.models import User

from studio.demo import tables
from studio.models import Fact, Studio
from tests.browsing import Watch
from tests.services.shop import Shop

if TYPE_CHECKING:
    from playwright.sync_api import Page, Route

CRACKED = "One cracked: Bowl"
PASSWORD = "clay and water"
NO_NETWORK = ["ERR_INTERNET_DISCONNECTED", "ERR_FAILED", "ERR_CONNECTION", "Failed to load resource"]


def owner() -> User:
    return User.objects.get(username=tables.LOGIN)


def ready(page: Page, shop: Shop | Studio, path: str) -> Page:
    """Open a page and wait until the worker has kept it."""
    from playwright.sync_api import expect

    studio = shop if isinstance(shop, Studio) else shop.studio
    page.goto(f"/s/{studio.public_id}/{path}")
    expect(page.locator("html")).to_have_attribute("data-worker", "ready")
    return page


def waits(page: Page, n: int, parked: int = 0) -> None:
    """As many entries wait on the phone, and as many are parked."""
    from playwright.sync_api import expect

    expect(page.locator("html")).to_have_attribute("data-waiting", str(n))
    expect(page.locator("html")).to_have_attribute("data-parked", str(parked))


def eventually(page: Page, true: Callable[[], bool], seconds: float = 10) -> None:
    """Wait for something on the server, while the browser goes on."""
    end = time.monotonic() + seconds
    while not true():
        assert time.monotonic() < end
        page.wait_for_timeout(50)


def cracked(shop: Shop) -> int:
    return Fact.objects.filter(studio=shop.studio, kind="mould_cracked").count()


def tap_cracked(page: Page) -> None:
    page.get_by_role("button", name=CRACKED).tap()


def offline_on(page: Page) -> None:
    page.context.set_offline(True)


def answer_with(page: Page, watch: Watch, status: int, body: str = "<h1>no</h1>", *, after: bool = False) -> None:
    """What the phone gets for its commands: a proxy's answer, or with ``after`` none once the server has done it."""

    def handle(route: Route) -> None:
        if after:
            route.fetch()
            route.abort("connectionreset")
        else:
            route.fulfill(status=status, body=body, content_type="text/html")

    watch.expected.append(f"{status} POST")
    page.context.route("**/do/", handle)


def log_in(page: Page, name: str) -> None:
    page.get_by_label("Name").fill(name)
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Log in").tap()
    page.wait_for_url("**/s/**")


def log_out(page: Page) -> None:
    page.locator("summary", has_text="More").tap()
    page.get_by_role("button", name="Log out").first.tap()
