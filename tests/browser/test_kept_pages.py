"""Pages on a phone without a network: installed, as of the last visit, and gone with the one who goes out."""

from __future__ import annotations

import json
import subprocess
import sys
import time
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

import pytest
from django.contrib.auth.models import User

from studio import offline
from tests.browser.offline import eventually, log_out, offline_on, ready, tap_cracked
from tests.browsing import Watch
from tests.services.shop import Shop

if TYPE_CHECKING:
    from playwright.sync_api import Page

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
TAKEN_OVER = "navigator.serviceWorker.getRegistration().then((r) => !r.installing && !r.waiting)"


def test_it_can_be_installed(transactional_db: None, live_server: Any, tmp_path: Any) -> None:
    from studio.measuring.chromium import chromium

    # An incognito window, which all other tests use, can install nothing.
    path = chromium()
    assert path is not None
    problems = installability(path, live_server.url, tmp_path)
    assert problems == {"install": [], "manifest": []}


def installability(path: str, url: str, folder: Any) -> dict[str, Any]:
    """Chromium's own word on the manifest and on installing, from a browser with a profile on disk."""
    script = f"""
import json
from playwright.sync_api import sync_playwright
with sync_playwright() as p:
    context = p.chromium.launch_persistent_context({str(folder)!r}, executable_path={path!r}, args=["--no-sandbox"])
    page = context.pages[0]
    page.goto({url + "/login/"!r})
    page.wait_for_selector('html[data-worker="ready"]', state="attached", timeout=15000)
    cdp = context.new_cdp_session(page)
    found = {{"install": cdp.send("Page.getInstallabilityErrors")["installabilityErrors"],
             "manifest": cdp.send("Page.getAppManifest")["errors"]}}
    context.close()
print(json.dumps(found))
"""
    # Playwright runs one at a time in a process.
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, timeout=60, check=True)
    found: dict[str, Any] = json.loads(done.stdout)
    return found


@pytest.mark.parametrize("path", ["", "week/", "moulds/", "kiln/", "orders/"])
def test_a_page_opens_as_it_was_at_the_last_visit(shop: Shop, new_page: Callable[..., Page], path: str) -> None:
    from playwright.sync_api import expect

    page = ready(new_page(user=shop.owner), shop, path)
    title, heading = page.title(), page.locator("h1").first.inner_text()
    offline_on(page)
    page.reload()
    assert (page.title(), page.locator("h1").first.inner_text()) == (title, heading)
    expect(page.locator("#kept")).to_contain_text("No network. This is as of", use_inner_text=True)
    assert page.evaluate("getComputedStyle(document.querySelector('.nav')).position") == "fixed"  # with its styles


def test_a_page_never_opened_says_so_and_names_those_that_open(shop: Shop, phone: Page) -> None:
    from playwright.sync_api import expect

    offline_on(phone)
    phone.goto(f"/s/{shop.studio.public_id}/kiln/")
    expect(phone.get_by_role("heading", name="No network")).to_be_visible()
    expect(phone.get_by_role("link", name="Moulds").first).to_be_visible()
    phone.goto(f"/s/{shop.studio.public_id}/moulds/")
    expect(phone.get_by_role("heading", name="Moulds", exact=True)).to_be_visible()


def test_a_weak_network_shows_the_kept_page_after_a_short_wait(
    shop: Shop, phone: Page, monkeypatch: pytest.MonkeyPatch
) -> None:
    from playwright.sync_api import expect

    from studio.views import moulds as view

    slow = view.render
    monkeypatch.setattr(view, "render", lambda *a, **k: (time.sleep(7), slow(*a, **k))[1])
    begun = time.monotonic()
    phone.goto(f"/s/{shop.studio.public_id}/moulds/")
    assert time.monotonic() - begun < 6.5
    expect(phone.locator("#kept")).to_contain_text("The network is very slow.")
    time.sleep(4)  # the late answer is in before the server goes


def test_after_a_tap_the_page_of_now_is_waited_for(shop: Shop, phone: Page, monkeypatch: pytest.MonkeyPatch) -> None:
    from playwright.sync_api import expect

    from studio.views import moulds as view

    slow = view.render
    monkeypatch.setattr(view, "render", lambda *a, **k: (time.sleep(6), slow(*a, **k))[1])
    tap_cracked(phone)
    expect(phone.locator(".said")).to_contain_text("Undo", timeout=15_000)
    expect(phone.locator("#kept")).to_be_hidden()


def test_who_left_the_studio_finds_nothing_kept_of_it(shop: Shop, new_page: Callable[..., Page], watch: Watch) -> None:
    from playwright.sync_api import expect

    watch.expected += ["404 GET"]
    maker = User.objects.get(username="maker")
    page = ready(new_page(user=maker), shop, "week/")
    ready(page, shop, "moulds/")
    shop.do("member_leave", member=shop.member(maker).public_id)
    page.reload()
    page.wait_for_timeout(1000)
    offline_on(page)
    page.goto(f"/s/{shop.studio.public_id}/week/")
    expect(page.get_by_role("heading", name="No network")).to_be_visible()


def test_going_out_leaves_nothing_to_read(shop: Shop, phone: Page) -> None:
    from playwright.sync_api import expect

    log_out(phone)
    expect(phone.get_by_role("button", name="Log in")).to_be_visible()
    assert [n for n in phone.evaluate("caches.keys()") if not n.startswith("shell-")] == []
    offline_on(phone)
    for path in ("moulds/", ""):
        phone.goto(f"/s/{shop.studio.public_id}/{path}")
        expect(phone.get_by_role("heading", name="No network")).to_be_visible()
        expect(phone.locator("#kept-pages")).to_be_hidden()
    assert "Bowl" not in phone.content()
    phone.go_back()
    assert "Bowl" not in phone.content()


def test_going_out_without_a_network_leaves_nothing_to_read_either(shop: Shop, phone: Page) -> None:
    from playwright.sync_api import expect

    offline_on(phone)
    log_out(phone)
    expect(phone.get_by_text("No page can be read on this phone any more.")).to_be_visible()
    phone.goto(f"/s/{shop.studio.public_id}/moulds/")
    expect(phone.get_by_text("was not opened on this phone before")).to_be_visible()
    assert "Bowl" not in phone.content()


def test_a_new_version_takes_over_and_kept_pages_keep_their_styles(
    shop: Shop, new_page: Callable[..., Page], monkeypatch: pytest.MonkeyPatch
) -> None:
    from django.contrib.staticfiles.storage import StaticFilesStorage

    plain = StaticFilesStorage.url
    version = {"now": "1"}
    # Names that change with every version, as in real life.
    monkeypatch.setattr(StaticFilesStorage, "url", lambda self, name: f"{plain(self, name)}?v={version['now']}")
    monkeypatch.setattr(offline, "build", lambda: f"build{version['now']}")
    page = ready(new_page(user=shop.owner), shop, "week/")
    ready(page, shop, "moulds/")
    version["now"] = "2"
    page.reload()
    eventually(page, lambda: "shell-build2" in page.evaluate("caches.keys()"))
    eventually(page, lambda: page.evaluate(TAKEN_OVER))
    page.reload()
    offline_on(page)
    for path, names in (("week/", "v=1"), ("moulds/", "v=2")):
        page.goto(f"/s/{shop.studio.public_id}/{path}")
        assert names in page.locator('link[rel="stylesheet"]').get_attribute("href")
        assert page.evaluate("getComputedStyle(document.querySelector('.nav')).position") == "fixed"
