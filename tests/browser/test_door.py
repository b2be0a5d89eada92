"""The door in a real browser, under the real policy: wrong password, right one, out again."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from django.contrib.auth.models import User

from tests.browsing import Watch

if TYPE_CHECKING:
    from playwright.sync_api import Page

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def test_coming_in_and_going_out_on_a_phone(page: Page, watch: Watch) -> None:
    from playwright.sync_api import expect

    User.objects.create_user("ann", password="clay and water")
    watch.expected = ["400 POST", "status of 400"]  # the wrong password
    page.goto("/")
    page.get_by_label("Name").fill("ann")
    page.get_by_label("Password").fill("wrong")
    page.get_by_role("button", name="Log in").tap()
    expect(page.get_by_text("do not belong together")).to_be_visible()
    page.get_by_label("Password").fill("clay and water")
    page.get_by_role("button", name="Log in").tap()
    expect(page.get_by_role("heading", name="No studio yet")).to_be_visible()
    page.get_by_role("button", name="Log out").tap()
    expect(page.get_by_role("button", name="Log in")).to_be_visible()


def test_a_script_that_slipped_into_a_page_does_not_run(page: Page, watch: Watch) -> None:
    watch.expected = ["Content Security Policy"]
    page.goto("/login/")
    page.evaluate("document.body.insertAdjacentHTML('beforeend', '<img src=data:, onerror=\"document.title=1\">')")
    page.wait_for_timeout(200)
    assert any("Content Security Policy" in problem for problem in watch.problems)
    assert page.title() != "1"
