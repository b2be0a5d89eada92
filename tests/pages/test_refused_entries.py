"""What a person typed is still there when it was refused, on the pages where the day is recorded."""

from __future__ import annotations

import re

from studio.models import Fact
from studio.queries.plans import Live
from tests.pages.conftest import Browser, first
from tests.services.shop import Shop


def press_first(shop: Shop, live: Live) -> str:
    task = first(live, "press")
    shop.now = live.when(task.end)
    shop.do("task_done", task=task.id)
    return next(iter(shop.state.ware))


def kept(browser: Browser, label: str, name: str) -> list[str]:
    """What stands in a field of the form with the button ``label``."""
    form, _button = browser.last.press(label)
    return form.fields.get(name, [])


def test_a_count_that_cannot_be_is_shown_again_at_its_task(shop: Shop, browser: Browser, live: Live) -> None:
    browser.open()
    page = browser.press("The rest is lost", count="-3")
    assert kept(browser, "The rest is lost", "count") == ["-3"]
    assert "What you entered is still here" in page.text
    assert not Fact.objects.filter(studio=shop.studio).exists()
    again = browser.open()
    assert kept(browser, "The rest is lost", "count") != ["-3"]  # shown once, not for ever
    assert "What you entered is still here" not in again.text


def test_the_key_that_sends_a_form_says_nothing_of_the_rest(shop: Shop, browser: Browser, live: Live) -> None:
    press_first(shop, live)
    page = browser.open("unplanned/")
    form, _button = page.press("any others are lost")
    first_button = form.buttons[0]  # the one that a browser presses on the key
    assert first_button.name == ""
    before = Fact.objects.filter(studio=shop.studio).count()
    browser.client.post(form.action, form.payload(first_button, count="1"))
    assert Fact.objects.filter(studio=shop.studio).count() == before
    page = browser.open("unplanned/")
    assert kept(browser, "any others are lost", "count") == ["1"]
    assert 'role="alert"' in page.html


def test_pots_lost_keeps_count_and_fault(shop: Shop, browser: Browser, live: Live) -> None:
    press_first(shop, live)
    browser.open("wrong/lost/")
    page = browser.press("These are lost", count="4000", why="torn rim")
    assert kept(browser, "These are lost", "count") == ["4000"]
    assert kept(browser, "These are lost", "why") == ["torn rim"]
    assert re.search(r'<details name="ware" class="card" open>', page.html)


def test_somebody_away_keeps_both_ends(shop: Shop, browser: Browser, live: Live) -> None:
    browser.open("wrong/me/")
    browser.press("Away until then", **{"from": "2027-03-16T08:00", "until": "2027-03-15T07:00"})
    assert kept(browser, "Away until then", "from") == ["2027-03-16T08:00"]
    assert kept(browser, "Away until then", "until") == ["2027-03-15T07:00"]


def test_a_kiln_out_until_a_time_that_is_past_keeps_it(shop: Shop, browser: Browser, live: Live) -> None:
    browser.open("wrong/kiln/")
    browser.press("until then", until="2027-03-01T12:00")
    assert kept(browser, "until then", "until") == ["2027-03-01T12:00"]


def test_done_without_a_plan_keeps_what_was_entered(shop: Shop, browser: Browser, live: Live) -> None:
    browser.open("unplanned/")
    browser.press("Pressed", count="", covered="on")
    assert kept(browser, "Pressed", "count") == [""]
    assert kept(browser, "Pressed", "covered") == ["on"]
    press_first(shop, live)
    browser.open("unplanned/")
    browser.press("any others are lost", count="-2")
    assert kept(browser, "any others are lost", "count") == ["-2"]


def test_ticks_stay_as_they_were_when_the_list_is_refused(shop: Shop, browser: Browser, live: Live) -> None:
    browser.open()
    form, _button = browser.last.press("Mark these done")
    there = re.findall(r'name="tasks" value="([^"]+)"', browser.last.html)
    unticked = next(t for t in there if t not in form.fields["tasks"])
    browser.press("Mark these done", tasks=[unticked, "no-such-task"])
    assert kept(browser, "Mark these done", "tasks") == [unticked]
