"""Week: half-day boxes with every task in them, what is in use, what will be late, one sheet of paper."""

from __future__ import annotations

import datetime as dt

import pytest

from studio.queries.plans import Live
from studio.queries.week import KIND, PERSON, Box, Day, Group, Item, Week, print_size, week_of
from tests.pages.conftest import Browser, first
from tests.services.shop import MONDAY, Shop


def week(shop: Shop, live: Live, **more: object) -> Week:
    return week_of(shop.studio, now=shop.now.astimezone(live.zone), **more)  # type: ignore[arg-type]


def tasks_in(found: Week) -> list[str]:
    """The tasks behind all lines of all boxes."""
    items = [i for d in found.days for b in d.boxes for g in b.groups for i in g.items if i.bunch]
    return sorted(card.id for item in items for card in item.bunch.cards)  # type: ignore[union-attr]


@pytest.mark.parametrize("by", [PERSON, KIND])
def test_picture_and_list_hold_each_task_of_the_week_once(shop: Shop, live: Live, by: str) -> None:
    found = week(shop, live, by=by)
    monday = MONDAY.date()
    planned = sorted(t.id for t in live.plan.tasks if live.when(t.start).date() < monday + dt.timedelta(days=7))
    assert planned
    assert tasks_in(found) == planned
    assert sorted(c.id for c in found.cards) == planned


def test_a_task_stands_in_the_half_day_it_starts_in(shop: Shop, live: Live) -> None:
    task = first(live, "press")  # the first thing on Monday morning
    assert live.when(task.start).hour < 12
    box = week(shop, live).days[0].boxes[0]
    assert box.key == "morning"
    assert task.id in [c.id for g in box.groups for i in g.items if i.bunch for c in i.bunch.cards]


def test_weeks_are_turned_over_as_far_as_the_plan_goes(shop: Shop, browser: Browser, live: Live) -> None:
    assert "week before" not in browser.open("week/").text
    page = browser.follow("next week")
    assert "Week of 22 March" in page.text
    assert "Week of 15 March" in browser.follow("week before").text


@pytest.mark.parametrize("bad", ["soon", "2027-13-01", "0001-01-01", "9999-12-31", "2027-03-15T08:00"])
def test_a_date_that_is_none_gives_this_week(browser: Browser, live: Live, bad: str) -> None:
    assert "Week of 15 March" in browser.open(f"week/?from={bad}&by=colour").text


def test_a_late_order_is_said_with_how_much_and_why(shop: Shop, browser: Browser) -> None:
    shop.order(qty=10, days=2)  # two days from clay to box cannot be
    shop.plan()
    page = browser.open("week/")
    assert "1 order line will be late" in page.text
    assert "The Ninth Heron" in page.text
    assert "pressing, drying and two firings take until" in page.text


def test_no_late_order_is_said_too(browser: Browser, live: Live) -> None:
    assert "Every order is ready on its day" in browser.open("week/").text


def test_what_is_in_use_is_set_against_what_there_is(shop: Shop, live: Live) -> None:
    uses = {u.name: u for u in week(shop, live).uses}
    moulds = uses["moulds: Bowl"]
    most = max(b.count for b in live.plan.batches)
    assert (moulds.have, moulds.most) == (8, most)
    drying = uses["drying rack"]
    per_board = live.scenario.form[shop.ids["form"]].boards.green
    assert drying.have == 30
    assert -(-most // per_board) <= drying.most <= 30
    assert uses["Kiln"].have == 24
    assert not any(bar.over for use in uses.values() for bar in use.bars)


def test_what_is_done_is_marked_in_words(shop: Shop, browser: Browser, live: Live) -> None:
    task = first(live, "press")
    shop.now = live.when(task.end)
    shop.do("task_done", task=task.id)
    assert "done: Press" in browser.open("week/").text


def day_of(lines: int, letters: int) -> Day:
    items = tuple(Item("x" * letters, "press") for _ in range(lines))
    box = Box("morning", "morning", (Group("Odd", items),), off=False, before=False)
    return Day(MONDAY.date(), False, False, (box,))


def test_the_type_on_paper_shrinks_with_the_fullest_day() -> None:
    light, full = day_of(4, 20), day_of(20, 30)
    assert print_size((light,) * 7) == 11
    assert print_size((*(light,) * 6, full)) == 8  # the worked example in its docstring
    assert print_size((day_of(200, 40),) * 7) == 6
    assert print_size(()) == 11
