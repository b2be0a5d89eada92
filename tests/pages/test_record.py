"""What happened: newest first, by day, undone, doubled, not adding up."""

from __future__ import annotations

import datetime as dt
import re
from pathlib import Path

import pytest

from studio.queries.plans import Live
from studio.queries.telling import SENTENCES
from studio.reasons import TROUBLES, mend
from tests.pages.conftest import Browser, batch_of, first
from tests.services.shop import Shop


def press_and_take_out(shop: Shop, live: Live) -> tuple[str, str]:
    """Record a pressing and its take-out; their commands."""
    press = first(live, "press")
    shop.now = live.when(press.end)
    pressed = shop.do("task_done", task=press.id)
    shop.now = live.when(live.plan.task[batch_of(live, press).release].end)
    out = shop.do("task_done", task=batch_of(live, press).release)
    assert pressed.undo and out.undo
    return pressed.undo, out.undo


def test_an_empty_record_says_what_will_stand_there(browser: Browser) -> None:
    assert "Nothing on record yet" in browser.open("record/").text


def test_the_newest_comes_first_with_who_and_when(shop: Shop, browser: Browser, live: Live) -> None:
    press_and_take_out(shop, live)
    n = batch_of(live, first(live, "press")).count
    text = browser.open("record/").text
    assert text.index(f"{n} × Bowl taken out") < text.index(f"{n} × Bowl pressed")
    assert f"{shop.now.astimezone(live.zone):%H:%M}" in text


def test_undo_strikes_out_and_undo_of_undo_brings_back(shop: Shop, browser: Browser, live: Live) -> None:
    press_and_take_out(shop, live)
    browser.open("record/")
    browser.press("Undo: 8 × Bowl taken out")
    assert "taken back" in browser.last.text.lower()
    assert 'class="undone"' in browser.last.html
    assert {w.stage for w in shop.state.ware.values()} == {"in_mould"}
    browser.press("Undo: taken back: 8 × Bowl taken out")
    assert {w.stage for w in shop.state.ware.values()} == {"leather"}
    assert 'class="undone"' in browser.last.html  # now the undo is


def test_what_does_not_add_up_is_listed_with_its_way_out(shop: Shop, browser: Browser, live: Live) -> None:
    pressed, _out = press_and_take_out(shop, live)
    shop.do("undo", command=pressed)  # so something was taken out that was never pressed
    assert "does not add up" in browser.open().text
    page = browser.open("record/")
    assert "It speaks of ware that is not on record." in page.text
    browser.press("Take it back")
    assert "Does not add up" not in browser.last.text
    assert shop.state.troubles == []


def test_what_two_people_recorded_is_marked(shop: Shop, browser: Browser, live: Live) -> None:
    press_and_take_out(shop, live)
    release = batch_of(live, first(live, "press")).release
    shop.do("task_done", task=release, by=shop.maker())
    assert len(shop.state.twice) == 1
    assert "Recorded twice" in browser.open("record/").text
    assert "Two people told it." in browser.last.text
    browser.press("Take it back")
    assert shop.state.twice == {}
    assert "Recorded twice" not in browser.last.text


def test_what_one_person_told_on_two_devices_is_theirs(shop: Shop, browser: Browser, live: Live) -> None:
    press_and_take_out(shop, live)
    shop.do("task_done", task=batch_of(live, first(live, "press")).release)
    text = browser.open("record/").text
    assert "owner told it twice, on two devices perhaps." in text and "Two people" not in text


def test_older_days_are_turned_back_to(shop: Shop, browser: Browser, live: Live) -> None:
    press_and_take_out(shop, live)
    shop.now += dt.timedelta(days=10)
    assert "Nothing in these days" in browser.open("record/").text
    assert "Bowl pressed" in browser.follow("before").text
    browser.follow("after")


@pytest.mark.parametrize("bad", ["soon", "0001-01-01", "9999-12-31", "2027-02-30"])
def test_a_date_that_is_none_gives_the_last_days(shop: Shop, browser: Browser, live: Live, bad: str) -> None:
    press_and_take_out(shop, live)
    assert "Bowl pressed" in browser.open(f"record/?to={bad}").text


def test_another_studio_s_record_is_not_shown(shop: Shop, browser: Browser, live: Live) -> None:
    press_and_take_out(shop, live)
    other = Shop("Next Door", shop.now)
    assert "Nothing on record yet" in Browser(other).open("record/").text


def test_every_kind_of_fact_has_its_sentence() -> None:
    from studio.record.form import ABOUT_FACTS, KINDS

    assert set(KINDS) - set(ABOUT_FACTS) <= set(SENTENCES)


def test_every_trouble_of_the_record_has_its_way_out() -> None:
    import studio.record

    text = "".join(p.read_text() for p in Path(studio.record.__file__).parent.glob("*.py"))
    codes = set(re.findall(r'trouble\(\s*"(\w+)"', text)) | set(re.findall(r'Trouble\(\S+ "(\w+)"', text))
    assert "no_such_ware" in codes and "correction_cannot_be" in codes
    assert codes <= set(TROUBLES)


@pytest.mark.parametrize("code", sorted(TROUBLES))
def test_a_trouble_never_shows_a_hole(code: str) -> None:
    things = {"ware": "w", "stage": "leather", "how": "cracked", "mould": "m", "kiln": "k", "firing": "f", "fact": "x"}
    said = mend(code, things, {"said": 3, "there": 2})
    assert said.what and said.how
    assert "…" not in said.what + said.how and "%(" not in said.what + said.how
