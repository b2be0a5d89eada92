"""A stranger's first hour on a phone: from a login without a studio to a first plan of one's own that is used."""

from __future__ import annotations

import datetime as dt
import threading
from collections.abc import Callable
from typing import TYPE_CHECKING

import pytest
from django.contrib.auth.models import User
from django.utils import timezone

from studio.models import Form, Mould, Studio
from studio.queries.plans import current_plan
from studio.queries.workshop import first_hour
from studio.worker import Worker

if TYPE_CHECKING:
    from playwright.sync_api import Page

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def test_from_nothing_to_a_first_plan(new_page: Callable[..., Page]) -> None:
    from playwright.sync_api import expect

    page = new_page(User.objects.create_user("odd"))

    def tap(name: str, exact: bool = False) -> None:
        page.get_by_role("button", name=name, exact=exact).first.tap()

    def go(name: str) -> None:
        page.get_by_role("link", name=name).first.tap()

    def said(text: str) -> None:
        expect(page.get_by_role("status").first).to_contain_text(text)

    page.goto("/")
    go("Open a studio of your own")
    page.get_by_label("The studio’s name").fill("North Yard")
    page.get_by_label("Time zone").select_option("Europe/Paris")
    tap("Open it")
    expect(page.get_by_text("0 of 10 steps are done")).to_be_visible()
    go("Begin")

    tap("Save")
    said("Saved.")
    go("Next: People and their hours")

    expect(page.get_by_label("This is me")).to_be_checked()
    page.get_by_label("Name").fill("Odd")
    tap("Put into the book")
    said("Odd is in the book")
    go("Next: The machine")

    tap("One machine, jigger and jolley")
    said("Jigger and jolley is saved.")
    go("Next: Racks and ware boards")

    tap("Start from usual ones")
    said("Usual racks are in the book")
    go("Next: The kiln and its firings")

    tap("Large kiln")
    said("Large kiln is saved.")
    go("Next: Glazes")

    page.get_by_label("Name").fill("Moss")
    tap("Put into the book")
    said("Moss is saved.")
    expect(page.get_by_text("not tested for food").first).to_be_visible()
    go("Next: Forms and their moulds")

    tap("Add: Mug")
    said("Mug is there, with 24 moulds.")
    go("Mine: Bowl")
    page.get_by_label("What do you call it?").fill("Breakfast bowl")
    page.get_by_label("How many moulds are there?").fill("10")
    tap("Put into the book")
    said("Breakfast bowl is there, with 10 moulds.")
    go("Next: What stands there already")
    go("Leave it for later")

    page.get_by_label("A new customer’s name").fill("The Ninth Heron")
    line = page.get_by_role("group", name="line 1")
    line.get_by_label("Count").fill("12")
    line.get_by_label("Form").select_option(label="Breakfast bowl")
    line.get_by_label("Glaze").select_option(label="Moss (not tested for food)")
    page.get_by_label("Ready by").fill((timezone.localdate() + dt.timedelta(days=18)).isoformat())
    tap("Put it in the book")
    said("The order is in the book.")
    go("Next: The first plan")

    page.get_by_label("How long may it look").select_option("8")
    tap("Make the first plan")
    expect(page.get_by_text("Putting the weeks together")).to_be_visible()
    Worker(threading.Event()).once()
    expect(page.get_by_role("heading", name="The first plan")).to_be_visible()
    tap("Use it")
    expect(page).to_have_title("Today · North Yard")

    studio = Studio.objects.get()
    hour = first_hour(studio)
    assert [p.step.key for p in hour.places if not p.done] == ["ware"]
    live = current_plan(studio)
    assert live is not None
    assert sum(b.count for b in live.plan.batches) >= 12
    assert Mould.objects.filter(form=Form.objects.get(name="Breakfast bowl")).count() == 10
    page.goto(f"/s/{studio.public_id}/orders/")
    expect(page.get_by_text("12 wanted:")).to_be_visible()
    expect(page.get_by_text("ready", exact=False).first).to_be_visible()
