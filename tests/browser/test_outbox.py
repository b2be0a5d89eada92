"""What is recorded without a network waits on the phone: nothing is lost, nothing is sent twice."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from typing import TYPE_CHECKING

import pytest
from django.contrib.sessions.models import Session

from studio.models import Command, Fact, Studio
from studio.queries.state import state_of
from tests.browser.offline import (
    CRACKED,
    answer_with,
    cracked,
    eventually,
    log_in,
    log_out,
    offline_on,
    owner,
    ready,
    tap_cracked,
    waits,
)
from tests.browsing import Watch
from tests.services.shop import Shop

if TYPE_CHECKING:
    from playwright.sync_api import Page

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


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


def test_a_refused_entry_is_changed_in_its_own_form(shop: Shop, new_page: Callable[..., Page], watch: Watch) -> None:
    """A weight that no mould has: only the server says so here, and the rest is not typed again."""
    from playwright.sync_api import expect

    watch.expected.append("422 POST")
    page = ready(new_page(user=shop.owner), shop, f"moulds/{shop.ids['form']}/")
    offline_on(page)
    page.locator("summary", has_text="One was weighed").tap()
    page.evaluate("document.querySelectorAll('form').forEach((form) => { form.noValidate = true; })")
    mould = page.locator("#weighed option").nth(2).get_attribute("value")
    page.locator("#weighed").select_option(mould)
    page.get_by_label("It weighs").fill("9000000")
    page.get_by_role("button", name="That is its weight").tap()
    waits(page, 1)
    page.context.set_offline(False)
    waits(page, 0, parked=1)
    with page.expect_navigation():
        page.get_by_role("button", name="Change it").tap()
    waits(page, 0, parked=1)  # until another takes its place
    expect(page.get_by_label("It weighs")).to_have_value("9000000")
    expect(page.locator("#weighed")).to_have_value(str(mould))
    page.get_by_label("It weighs").fill("900")
    with page.expect_navigation():
        page.get_by_role("button", name="That is its weight").tap()
    waits(page, 0)
    weighed = Fact.objects.get(studio=shop.studio, kind="weighed")
    assert (weighed.data["grams"], weighed.data["mould"]) == (900, mould)


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


def test_over_plain_http_forms_are_posted_as_ever(shop: Shop, new_page: Callable[..., Page]) -> None:
    page = new_page(user=shop.owner)
    # What a browser lacks there; the live server's own name counts as secure.
    page.add_init_script(
        "Object.defineProperty(window, 'isSecureContext', { value: false });"
        "delete Navigator.prototype.serviceWorker; delete Navigator.prototype.locks;"
    )
    page.goto(f"/s/{shop.studio.public_id}/moulds/")
    with page.expect_request(lambda r: r.method == "POST") as posted:
        tap_cracked(page)
    assert posted.value.is_navigation_request()
    eventually(page, lambda: cracked(shop) == 1)
