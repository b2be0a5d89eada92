"""Today: what cannot wait, one tap, other counts, too soft, done up to here, wrapping, cautions, undo."""

from __future__ import annotations

import datetime as dt

import pytest
from django.utils import timezone

from studio.models import Fact
from studio.queries.plans import Live
from studio.record.state import IN_MOULD
from tests.pages.conftest import Browser, batch_of, first
from tests.services.shop import Shop

PRESS, OUT = "pressed", "good"


def press_first(shop: Shop, browser: Browser, live: Live) -> str:
    """Record the first pressing as planned, at its planned end; its batch."""
    task = first(live, "press")
    shop.now = live.when(task.end)
    browser.open()
    browser.press("pressed")
    return batch_of(live, task).id


def test_a_studio_without_a_plan_is_told_what_to_do_next(browser: Browser) -> None:
    page = browser.open()
    assert "No plan yet" in page.text
    assert any(href.endswith("/plan/") for text, href in page.links.items() if "Make a plan" in text)


def test_an_empty_studio_is_led_into_its_first_hour(empty: Shop) -> None:
    browser = Browser(empty)
    page = browser.open()
    assert page.links["Begin the first hour"].endswith("/workshop/studio/?first=1")
    assert not any("Make a plan" in text for text in page.links)
    version = empty.studio.version
    empty.do("studio_save", name="Barn", time_zone="Europe/Oslo", units="metric", week="ordinary", version=version)
    assert browser.open().links["Go on: People and their hours"].endswith("/workshop/people/?first=1")


def test_the_next_task_is_said_with_what_it_needs(browser: Browser, live: Live) -> None:
    task = first(live, "press")
    n = batch_of(live, task).count
    page = browser.open()
    assert f"Press {n} × Bowl" in page.text
    # The kind's own ball of 560 g: common practice, no source.
    assert f"{n} balls of 560 g, {n * 560 / 1000:.1f} kg in all" in page.text
    assert "first mount the tool" in page.text


def test_one_tap_records_the_task_as_planned(shop: Shop, browser: Browser, live: Live) -> None:
    task = first(live, "press")
    batch = press_first(shop, browser, live)
    ware = shop.state.ware[batch]
    assert (ware.stage, ware.count) == (IN_MOULD, batch_of(live, task).count)
    assert task.id in shop.state.done_tasks
    assert "1 done today" in browser.last.text


def test_what_was_recorded_can_be_taken_back_at_once(shop: Shop, browser: Browser, live: Live) -> None:
    batch = press_first(shop, browser, live)
    browser.press("Undo")
    assert batch not in shop.state.ware
    assert "Taken back" in browser.last.text


def test_a_window_that_closes_today_is_said_with_its_time(shop: Shop, browser: Browser, live: Live) -> None:
    batch = press_first(shop, browser, live)
    ware, form = shop.state.ware[batch], live.scenario.form[shop.ids["form"]]
    window = form.release_after_covered if ware.covered_in_mould else form.release_after
    assert window is not None and ware.first is not None
    closes = dt.datetime.fromtimestamp((ware.first + window.hi) * 60, dt.UTC).astimezone(live.zone)
    shop.now = closes - dt.timedelta(hours=2)
    page = browser.open()
    assert "Cannot wait today" in page.text
    assert f"by {closes:%H:%M}" in page.text


def test_what_is_past_its_time_is_called_overdue(shop: Shop, browser: Browser, live: Live) -> None:
    batch = press_first(shop, browser, live)
    shop.now += dt.timedelta(days=3)
    page = browser.open()
    assert "overdue since" in page.text
    assert "Left from before" in page.text or "left from before" in page.text
    assert batch in shop.state.ware  # never written off by the clock


def test_ware_past_its_time_is_asked_about_and_stays_good(shop: Shop, browser: Browser, live: Live) -> None:
    batch = press_first(shop, browser, live)
    shop.now += dt.timedelta(days=1, hours=4)
    assert "Past its time. Still good?" in browser.open().text
    browser.press("for 4 h more")
    until = int((shop.now + dt.timedelta(hours=4)).timestamp() // 60)
    assert shop.state.ware[batch].until == until
    assert "Past its time. Still good?" not in browser.last.text


def test_much_that_is_left_over_asks_for_a_new_plan(shop: Shop, browser: Browser, live: Live) -> None:
    assert "left from days before" not in browser.open().text
    shop.now += dt.timedelta(days=8)
    assert "left from days before" in browser.open().text


def take_out(shop: Shop, browser: Browser, live: Live) -> tuple[str, int]:
    """Press, and go to the time of the take-out; the batch and its count."""
    batch = press_first(shop, browser, live)
    shop.now = live.when(live.plan.task[live.plan.batch[batch].release].end)
    browser.open()
    return batch, live.plan.batch[batch].count


def test_fewer_may_be_lost_in_two_taps(shop: Shop, browser: Browser, live: Live) -> None:
    batch, n = take_out(shop, browser, live)
    browser.press("The rest is lost")
    assert shop.state.ware[batch].count == n - 1
    assert sum(shop.state.lost.values()) == 1


def test_fewer_may_be_still_to_do(shop: Shop, browser: Browser, live: Live) -> None:
    batch, n = take_out(shop, browser, live)
    browser.press("The rest is still to do", count="2")
    counts = sorted(w.count for w in shop.state.ware.values())
    assert counts == sorted([2, n - 2])
    assert shop.state.lost == {}
    assert shop.state.ware[batch].count in (2, n - 2)


def test_a_count_that_cannot_be_is_answered_plainly(shop: Shop, browser: Browser, live: Live) -> None:
    batch, n = take_out(shop, browser, live)
    before = Fact.objects.count()
    page = browser.press("The rest is lost", count="many")
    assert Fact.objects.count() == before
    assert 'role="alert"' in page.html
    assert shop.state.ware[batch].count == n


def test_too_soft_asks_again_later(shop: Shop, browser: Browser, live: Live) -> None:
    batch, _n = take_out(shop, browser, live)
    again = shop.now + dt.timedelta(hours=1)
    browser.press("1 h")
    assert shop.state.ware[batch].ask_at == int(again.timestamp() // 60)
    assert f"too soft, look at {again.astimezone(live.zone):%H:%M}" in browser.open().text


def test_done_up_to_here_shows_and_marks_what_should_be_over(shop: Shop, browser: Browser, live: Live) -> None:
    today = [t for t in live.plan.tasks if live.when(t.start).date() == shop.now.date()]
    ends = sorted(t.end for t in today)
    assert len(ends) > 1
    shop.now = live.when(ends[1])
    page = browser.open()
    form, button = page.press("Mark these done")
    over = {t.id for t in today if t.end <= ends[1]}
    assert set(form.payload(button)["tasks"]) == over
    browser.press("Mark these done")
    assert set(shop.state.done_tasks) == over


def test_wrapping_is_asked_for_and_recorded(shop: Shop, browser: Browser) -> None:
    afternoons = [{"weekday": d, "starts": "13:00", "ends": "17:00"} for d in range(7)]  # shorter than any open window
    shop.do("hours_save", person=shop.ids["person"], version=2, hours=afternoons)
    shop.order(qty=24, days=14)
    live = shop.plan()
    covered = [b for b in live.plan.batches if b.covered_in_mould and b.press]
    assert covered, "the plan covers something overnight, or this test says nothing"
    task = live.plan.task[covered[0].press]
    shop.now = live.when(task.end)
    shop.do("task_done", task=task.id, covered=False)
    page = browser.open()
    assert f"Cover {covered[0].count} filled moulds: Bowl" in page.text
    browser.press("These are covered")
    assert shop.state.ware[covered[0].id].covered_in_mould


def test_a_caution_stands_at_its_task_until_it_is_seen(shop: Shop, browser: Browser, live: Live) -> None:
    words = "Stop the head before you reach in"
    assert words in browser.open().text
    browser.press("Seen")
    assert words not in browser.last.text
    shop.now += dt.timedelta(days=1)
    assert words in browser.open().text


@pytest.mark.parametrize("elsewhere", ["https://elsewhere.example/", "//elsewhere.example/", ""])
def test_seen_never_leads_to_another_site(shop: Shop, browser: Browser, elsewhere: str) -> None:
    path = f"/s/{shop.studio.public_id}/"
    answer = browser.client.post(f"{path}seen/", {"caution": "press", "next": elsewhere})
    assert answer.headers["Location"] == path


def test_a_firing_says_when_it_tops_and_when_it_may_be_opened(shop: Shop, browser: Browser, live: Live) -> None:
    load = first(live, "load")
    for task in sorted((t for t in live.plan.tasks if t.end <= load.end), key=lambda t: (t.end, t.start)):
        shop.now = live.when(task.end)
        shop.do("task_done", task=task.id)
    page = browser.open()
    assert "Packed. Light it" in page.text
    browser.press("It is lit")
    lit = timezone.now()
    # 600 minutes of firing and 900 of cooling in this studio's kiln
    tops, opens = lit + dt.timedelta(minutes=600), lit + dt.timedelta(minutes=1500)
    assert f"at its top {spoken(tops)}" in browser.last.text
    assert f"do not open before {spoken(opens)}" in browser.last.text


def spoken(at: dt.datetime) -> str:
    from studio import words

    return words.around(at)


def test_somebody_else_s_work_can_be_looked_at(shop: Shop, browser: Browser, live: Live) -> None:
    assert "Everyone" not in browser.open("?who=all").text  # one person: nothing to choose
    assert "Bowl" in browser.open("?who=nobody").text


def test_pins_are_set_and_taken_off(shop: Shop, browser: Browser, live: Live) -> None:
    browser.open()
    browser.press("This one stays where it is")
    assert "May move again" in browser.last.text
    browser.press("May move again")
    assert "This one stays where it is" in browser.last.text


def test_a_poured_mould_says_from_when_to_when_it_is_lifted(shop: Shop, browser: Browser) -> None:
    shop.do("cast_save", form=shop.ids["form"], required=True, lift_after=[60, 240])
    shop.order(qty=10)
    live = shop.plan()
    pour = first(live, "pour")
    shop.now = live.when(pour.end)
    assert "Never a hand or any part of the body in setting plaster" in browser.open().text
    shop.do("task_done", task=pour.id)
    text = browser.open().text
    poured = live.when(pour.end)
    assert f"poured today {poured:%H:%M}, lift it from {poured + dt.timedelta(minutes=60):%H:%M}" in text
    assert f"by {poured + dt.timedelta(minutes=240):%H:%M}" in text


def test_each_task_carries_its_caution_not_only_the_next(shop: Shop, browser: Browser, live: Live) -> None:
    kinds = {t.kind for t in live.plan.tasks if live.when(t.start).date() == shop.now.date()}
    assert {"press", "release"} <= kinds
    text = browser.open().text
    assert "Stop the head before you reach in" in text
    assert "Ware boards: two hands" in text
