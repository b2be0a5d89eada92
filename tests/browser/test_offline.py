"""A phone without a network: pages of the last visit, and an outbox that loses nothing and sends nothing twice."""

from __future__ import annotations

import datetime as dt
import json
import subprocess
import sys
import time
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

import pytest
from django.contrib.auth.models import User
from django.contrib.sessions.models import Session
from django.utils import timezone

from studio import offline
from studio.demo import load_demo, plan_demo, tables
from studio.models import Command, Fact, Studio
from studio.queries.state import state_of
from tests import clock
from tests.browsing import Watch
from tests.services.shop import Shop

if TYPE_CHECKING:
    from playwright.sync_api import Page, Route

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
CRACKED = "One cracked: Bowl"
PASSWORD = "clay and water"
TAKEN_OVER = "navigator.serviceWorker.getRegistration().then((r) => !r.installing && !r.waiting)"
NO_NETWORK = ["ERR_INTERNET_DISCONNECTED", "ERR_FAILED", "ERR_CONNECTION", "Failed to load resource"]


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


def owner() -> User:
    return User.objects.get(username=tables.LOGIN)


@pytest.fixture
def phone(shop: Shop, new_page: Callable[..., Page]) -> Page:
    return ready(new_page(user=shop.owner), shop, "moulds/")


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


def test_recorded_without_a_network_it_arrives_once(shop: Shop, phone: Page) -> None:
    from playwright.sync_api import expect

    offline_on(phone)
    tap_cracked(phone)
    waits(phone, 1)
    expect(phone.locator(".kept-here")).to_have_text("Kept on this phone, will be sent")
    expect(phone.locator("#outbox")).to_contain_text("1 entry waits to be sent")
    phone.reload()
    waits(phone, 1)
    context = phone.context
    phone.close()
    page = context.new_page()
    page.goto(f"/s/{shop.studio.public_id}/moulds/")
    waits(page, 1)
    assert cracked(shop) == 0
    context.set_offline(False)
    eventually(page, lambda: cracked(shop) == 1)
    waits(page, 0)
    page.reload()
    waits(page, 0)
    assert (cracked(shop), Command.objects.filter(kind="mould_cracked").count()) == (1, 1)


def test_tasks_of_today_wait_in_their_cards_and_are_sent_in_order(demo: Studio, new_page: Callable[..., Page]) -> None:
    from playwright.sync_api import expect

    page = ready(new_page(user=owner()), demo, "?who=all")
    offline_on(page)
    for n in (1, 2):
        button = page.locator("li.task > .tick-form button:enabled").first
        label = button.get_attribute("aria-label")
        button.tap()
        waits(page, n)
        expect(page.get_by_role("button", name=label, exact=True).first).to_be_disabled()
    expect(page.locator("li.task .kept-here")).to_have_count(2)
    page.reload()
    expect(page.locator("li.task .kept-here")).to_have_count(2)
    page.context.set_offline(False)
    sent = Command.objects.filter(studio=demo, recorded_at__isnull=False).order_by("pk")
    eventually(page, lambda: sent.count() == 2)
    assert [row.status for row in sent] == [200, 200]
    assert sent[0].recorded_at < sent[1].recorded_at
    waits(page, 0)


def test_two_taps_on_moulds_are_two(shop: Shop, phone: Page) -> None:
    from playwright.sync_api import expect

    offline_on(phone)
    for n in (1, 2):
        tap_cracked(phone)
        waits(phone, n)
    expect(phone.locator(".kept-here")).to_have_text("2 kept on this phone, will be sent")
    phone.get_by_role("button", name="Take back").first.tap()
    waits(phone, 1)
    phone.context.set_offline(False)
    eventually(phone, lambda: cracked(shop) == 1)


def test_an_answer_lost_after_it_was_done_makes_no_second_one(shop: Shop, phone: Page, watch: Watch) -> None:
    answer_with(phone, watch, 0, after=True)
    tap_cracked(phone)
    eventually(phone, lambda: cracked(shop) == 1)
    waits(phone, 1)
    phone.context.unroute_all(behavior="wait")
    phone.reload()
    waits(phone, 0)
    assert (cracked(shop), Command.objects.filter(kind="mould_cracked").count()) == (1, 1)


def test_a_broken_server_keeps_the_entry_until_it_is_mended(shop: Shop, phone: Page, watch: Watch) -> None:
    answer_with(phone, watch, 500)
    tap_cracked(phone)
    waits(phone, 1)
    phone.reload()
    waits(phone, 1)
    phone.context.unroute_all(behavior="wait")
    phone.reload()
    eventually(phone, lambda: cracked(shop) == 1)
    waits(phone, 0)


@pytest.mark.parametrize("status", [403, 409, 413, 422])
def test_a_refusal_is_parked_in_sight_until_somebody_decides(
    shop: Shop, phone: Page, watch: Watch, status: int
) -> None:
    from playwright.sync_api import expect

    answer_with(phone, watch, status)
    tap_cracked(phone)
    waits(phone, 0, parked=1)
    expect(phone.locator("#outbox")).to_contain_text(f"Not taken: {CRACKED}")
    phone.context.unroute_all(behavior="wait")
    phone.reload()
    waits(phone, 0, parked=1)  # not sent again by itself
    assert cracked(shop) == 0
    phone.get_by_role("button", name="Discard").tap()
    waits(phone, 0)
    expect(phone.locator("#outbox")).to_be_hidden()
    assert cracked(shop) == 0


def test_a_parked_entry_can_be_sent_once_more(shop: Shop, phone: Page, watch: Watch) -> None:
    answer_with(phone, watch, 409)
    tap_cracked(phone)
    waits(phone, 0, parked=1)
    phone.context.unroute_all(behavior="wait")
    with phone.expect_navigation():
        phone.get_by_role("button", name="Change it").tap()
    waits(phone, 0)
    assert cracked(shop) == 1


def test_two_phones_record_the_same_task(demo: Studio, new_page: Callable[..., Page]) -> None:
    """The second is told that it stands in the book already: nothing is lost, and nothing is there twice."""
    first, second = (ready(new_page(user=owner()), demo, "?who=all") for _ in range(2))
    for page in (first, second):
        offline_on(page)
        page.locator("li.task > .tick-form button:enabled").first.tap()
        waits(page, 1)
    before = Fact.objects.filter(studio=demo).count()
    first.context.set_offline(False)
    waits(first, 0)
    assert Fact.objects.filter(studio=demo).count() > before
    pieces = sum(ware.count for ware in state_of(demo).ware.values())
    second.context.set_offline(False)
    waits(second, 0)
    answers = Command.objects.filter(studio=demo, recorded_at__isnull=False)
    eventually(second, lambda: answers.count() == 2)
    assert "it counts once" in answers.latest("pk").answer["message"]
    assert sum(ware.count for ware in state_of(demo).ware.values()) == pieces


def test_a_phone_whose_clock_is_a_day_wrong(shop: Shop, new_page: Callable[..., Page]) -> None:
    page = new_page(user=shop.owner)
    page.clock.install(time=dt.datetime.now() + dt.timedelta(days=1))
    ready(page, shop, "moulds/")
    offline_on(page)
    tap_cracked(page)
    waits(page, 1)
    page.clock.fast_forward(20 * 60 * 1000)  # twenty minutes in the shed
    page.context.set_offline(False)
    eventually(page, lambda: cracked(shop) == 1)
    row = Command.objects.get(kind="mould_cracked")
    assert row.recorded_at is not None and row.recorded_at > row.arrived_at + dt.timedelta(hours=23)
    ago = row.arrived_at - row.happened_at
    assert dt.timedelta(minutes=19) < ago < dt.timedelta(minutes=22)


def test_an_expired_login_keeps_the_entry_and_sends_it_after_the_next(shop: Shop, phone: Page, watch: Watch) -> None:
    from playwright.sync_api import expect

    watch.expected += ["401 GET"]
    Session.objects.all().delete()
    tap_cracked(phone)
    waits(phone, 1)
    with phone.expect_navigation():
        phone.get_by_role("link", name="You are logged out").tap()
    expect(phone.locator("#outbox")).to_contain_text("1 entry waits on this phone")
    assert cracked(shop) == 0
    log_in(phone, shop.owner.username)
    eventually(phone, lambda: cracked(shop) == 1)
    waits(phone, 0)


def test_nothing_is_sent_or_shown_under_another_name(shop: Shop, phone: Page, watch: Watch) -> None:
    from playwright.sync_api import expect

    watch.expected += ["401 GET"]
    offline_on(phone)
    tap_cracked(phone)
    waits(phone, 1)
    phone.context.clear_cookies()
    phone.context.set_offline(False)
    phone.goto("/login/")
    log_in(phone, "maker")
    expect(phone.locator("#outbox")).to_contain_text("1 entry of somebody else waits on this phone")
    expect(phone.locator("#outbox")).not_to_contain_text("cracked")
    waits(phone, 0)
    phone.reload()
    assert cracked(shop) == 0
    offline_on(phone)
    phone.goto(f"/s/{shop.studio.public_id}/moulds/")  # the first person's page
    expect(phone.get_by_role("heading", name="No network")).to_be_visible()


def test_two_tabs_send_an_entry_once(shop: Shop, phone: Page) -> None:
    other = phone.context.new_page()
    other.goto(f"/s/{shop.studio.public_id}/moulds/")
    sent: list[str] = []
    phone.context.on("request", lambda r: sent.append(r.url) if r.url.endswith("/do/") else None)
    offline_on(phone)
    for n in (1, 2, 3):
        tap_cracked(phone)
        waits(phone, n)
    waits(other, 3)  # told by the first tab
    phone.context.set_offline(False)  # both tabs begin at once
    eventually(phone, lambda: cracked(shop) == 3)
    waits(other, 0)
    waits(phone, 0)
    assert len(sent) == 3


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


def log_in(page: Page, name: str) -> None:
    page.get_by_label("Name").fill(name)
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Log in").tap()
    page.wait_for_url("**/s/**")


def log_out(page: Page) -> None:
    page.locator("summary", has_text="More").tap()
    page.get_by_role("button", name="Log out").first.tap()


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


def test_going_out_with_entries_asks_first(shop: Shop, phone: Page, watch: Watch) -> None:
    from playwright.sync_api import expect

    answer_with(phone, watch, 503)
    tap_cracked(phone)
    waits(phone, 1)
    log_out(phone)
    phone.get_by_role("button", name="Stay").tap()
    waits(phone, 1)
    log_out(phone)
    phone.get_by_role("button", name="Log out, keep it here").tap()
    expect(phone.locator("#outbox")).to_contain_text("1 entry waits on this phone")
    phone.context.unroute_all(behavior="wait")
    log_in(phone, shop.owner.username)
    eventually(phone, lambda: cracked(shop) == 1)


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
