"""When could it be ready? The question, the looking, the answer with its reasons, and the order taken for the day."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest

import planner.promise.reasons as planner_reasons
import planner.relief.easings as planner_easings
from studio.easings import COUNTED, HOURS, KILNS, NEVER, WAITS
from studio.models import Order, PlanRun
from studio.queries.plans import Live
from studio.services import runs
from tests.pages.conftest import Browser
from tests.services.shop import Shop

HX = {"HX-Request": "true"}


def ask(shop: Shop, browser: Browser, qty: int = 24) -> PlanRun:
    browser.open("when/")
    browser.press("Ask for the day", qty=str(qty), form=shop.ids["form"], glaze=shop.ids["glaze"])
    return PlanRun.objects.get(studio=shop.studio, kind=PlanRun.Kind.WHEN, state=PlanRun.State.WAITING)


def answer(shop: Shop, **more: Any) -> dict[str, Any]:
    """An answer as the worker keeps it: ready in three weeks."""
    ids = shop.ids
    return {
        "start": shop.now.isoformat(), "wanted": 24, "from_stock": 0, "to_make": 27, "fresh": 20, "status": "promise",
        "final": False, "day": "2027-04-05", "done": "2027-04-05T14:00:00+00:00", "measured": 9,
        "reasons": [
            {"code": "moulds", "things": {"form": ids["form"]}, "minutes": {"waited": 4320}, "counts": {"moulds": 8},
             "text": "x"},
            {"code": "kiln", "things": {"form": ids["form"], "kiln": ids["kiln"]}, "minutes": {"waited": 600},
             "counts": {"loads": 2}, "text": "x"},
            {"code": "way", "things": {"form": ids["form"]}, "minutes": {"way": 14400}, "counts": {}, "text": "x"},
        ],
        "options": [
            {"code": "pour", "things": {"form": ids["form"]}, "counts": {"moulds": 2},
             "minutes": {"dry": 11520, "pour": 1500}, "text": "x", "day": "2027-03-30", "sooner": 6},
            {"code": "morning", "things": {"person": ids["person"]}, "counts": {"minutes": 240},
             "minutes": {"from": 7260, "until": 7500}, "text": "x", "day": "2027-04-04", "sooner": 1},
        ],
        "earlier": [
            {"day": "2027-04-02", "later": [{"order": ids["line"], "pieces": 3, "minutes": 2880}]},
        ],
        **more,
    }  # fmt: skip


def note(shop: Shop, said: dict[str, Any], state: str | None = None) -> PlanRun:
    run = runs.claim_run(worker="w", now=shop.now)
    assert run is not None
    runs.beat(run=run, worker="w", now=shop.now, result=said)
    if state:
        runs.finish_run(run=run, worker="w", now=shop.now, state=state, result=said)
    run.refresh_from_db()
    return run


def test_it_is_offered_where_an_order_is_entered(shop: Shop, browser: Browser, live: Live) -> None:
    for page in ("orders/", "orders/new/"):
        browser.open(page)
        browser.follow("When could it be ready?")
        assert "Ask for the day" in browser.last.text


def test_a_question_is_put_and_watched(shop: Shop, browser: Browser, live: Live) -> None:
    run = ask(shop, browser)
    assert run.about == {"form": shop.ids["form"], "glaze": shop.ids["glaze"], "qty": 24}
    assert "Looking for the first day" in browser.last.text
    assert "<noscript><meta http-equiv=" in browser.last.html
    part = browser.open(f"when/?run={run.public_id}", **HX)
    assert "<html" not in part.html
    assert 'hx-trigger="every 1s"' in part.html
    shop.now += dt.timedelta(seconds=30)
    assert "may not be running" in browser.open(f"when/?run={run.public_id}").text


def test_the_answer_says_the_day_and_what_it_hangs_on(shop: Shop, browser: Browser, live: Live) -> None:
    run = ask(shop, browser)
    note(shop, answer(shop))
    page = browser.open(f"when/?run={run.public_id}")
    assert "could be ready by Monday 5 April" in page.text
    assert "27 pieces are finished for it, 20 of them pressed first" in page.text
    assert "still looking for an earlier day" in page.text
    assert "Its last pieces wait 3 days for Bowl moulds to be dry and 10 h for Kiln, which has other loads" in page.text
    assert "Work, setting, drying and firing alone take 10 days." in page.text
    assert "2 more moulds of Bowl, poured tomorrow morning: 6 days sooner (Tuesday 30 March)" in page.text
    assert "The morning of Saturday for Odd (4 h): 1 day sooner" in page.text
    assert "Then other orders are later: 3 of The Ninth Heron by up to 2 days." in page.text


def test_the_order_is_taken_for_the_day(shop: Shop, browser: Browser, live: Live) -> None:
    run = ask(shop, browser)
    note(shop, answer(shop), PlanRun.State.DONE)
    page = browser.open(f"when/?run={run.public_id}")
    assert "hx-trigger" not in page.html
    browser.follow("Take this order for that day")
    browser.press("Put it in the book", customer_name="The Slow Snail")
    order = Order.objects.get(studio=shop.studio, customer__name="The Slow Snail")
    line = order.lines.get()
    assert order.due == dt.date(2027, 4, 5)
    assert (line.qty, line.form.public_id, line.glaze.public_id) == (24, shop.ids["form"], shop.ids["glaze"])


def test_looking_can_be_stopped_and_begun_again(shop: Shop, browser: Browser, live: Live) -> None:
    run = ask(shop, browser)
    note(shop, answer(shop))
    browser.open(f"when/?run={run.public_id}")
    browser.press("That will do")
    assert PlanRun.objects.get(pk=run.pk).stop_wish
    held = PlanRun.objects.get(pk=run.pk)
    runs.finish_run(run=held, worker="w", now=shop.now, state=PlanRun.State.STOPPED, result=answer(shop))
    page = browser.open(f"when/?run={run.public_id}")
    assert "Monday 5 April" in page.text
    browser.press("Ask again")
    assert PlanRun.objects.filter(kind=PlanRun.Kind.WHEN, state=PlanRun.State.WAITING).count() == 1


def test_what_is_on_the_shelf_needs_no_plan(shop: Shop, browser: Browser, live: Live) -> None:
    run = ask(shop, browser)
    said = {"start": shop.now.isoformat(), "wanted": 24, "from_stock": 24, "to_make": 0, "fresh": 0,
            "status": "stock", "final": True, "day": "2027-03-15"}  # fmt: skip
    note(shop, said, PlanRun.State.DONE)
    assert "are there already: Monday 15 March" in browser.open(f"when/?run={run.public_id}").text


def test_why_there_is_no_day_is_said(shop: Shop, browser: Browser, live: Live) -> None:
    run = ask(shop, browser)
    reason = {"code": "mould_uses", "things": {"form": shop.ids["form"]}, "minutes": {},
              "counts": {"uses": 9, "under_way": 4, "asked": 27}, "text": "x"}  # fmt: skip
    note(shop, answer(shop, status="impossible", reasons=[reason], day=None), PlanRun.State.DONE)
    text = browser.open(f"when/?run={run.public_id}").text
    assert "The Bowl moulds can be pressed 9 more times and 4 pieces are under way, but 27 have to be made" in text
    assert "Take this order" not in text


def test_what_is_refused_keeps_its_entries(shop: Shop, browser: Browser, live: Live) -> None:
    browser.open("when/")
    page = browser.press("Ask for the day", qty="12", form=shop.ids["form"], glaze="")
    assert 'value="12"' in page.html
    assert not PlanRun.objects.filter(kind=PlanRun.Kind.WHEN).exists()


def test_a_question_leaves_the_plan_page_and_today_alone(shop: Shop, browser: Browser, live: Live) -> None:
    run = ask(shop, browser)
    assert "A new plan is being made" not in browser.open().text
    assert "Make a new plan" in browser.open(f"plan/?run={run.public_id}").text


@pytest.mark.parametrize("bad", ["nothing", "'; --", "ä" * 200])
def test_an_unknown_question_shows_the_form(browser: Browser, live: Live, bad: str) -> None:
    assert "Ask for the day" in browser.open(f"when/?run={bad}").text


def test_another_studio_s_question_is_not_shown(shop: Shop, browser: Browser, live: Live) -> None:
    other = Shop("Next Door").furnish()
    about = {"form": other.ids["form"], "glaze": other.ids["glaze"], "qty": 77}
    run = runs.ask_when(studio=other.studio, user=other.owner, about=about, now=shop.now)
    assert "77" not in browser.open(f"when/?run={run.public_id}").text


def test_before_there_is_anything_to_ask_about(empty: Shop) -> None:
    assert "First a form and a glaze" in Browser(empty).open("when/").text


def test_every_code_of_the_planner_has_its_words() -> None:
    import re
    from pathlib import Path

    from planner.relief.chains import WAITS as CODES

    reasons = Path(planner_reasons.__file__).read_text("utf-8")
    eases = Path(planner_easings.__file__).read_text("utf-8")
    assert set(CODES) == set(WAITS)
    assert set(re.findall(r'Reason\(\s*"(\w+)"', reasons)) - {"way"} <= set(NEVER)
    named = set(re.findall(r'Easing\(\s*"(\w+)"', eases)) | set(re.findall(r'words = \{([^}]*)\}', eases) and HOURS)
    assert named <= set(COUNTED) | set(HOURS) | set(KILNS)
    assert named >= {"pour", "boards", "evening"}


def test_an_order_taken_names_the_answer_that_told_its_day(shop: Shop, browser: Browser, live: Live) -> None:
    from planner.jsonio import plan_to_json

    run = ask(shop, browser)
    said = answer(shop, order="asked", plans={"2027-04-05": plan_to_json(live.plan)})
    note(shop, said, PlanRun.State.DONE)
    browser.open(f"when/?run={run.public_id}")
    page = browser.follow("Take this order for that day")
    assert "Its day was told" in page.text and "Not sure which day to promise?" not in page.text
    page = browser.press("Put it in the book", customer_name="The Slow Snail")
    assert "A plan that has it ready on its day is being worked on" in page.text
    line = Order.objects.get(studio=shop.studio, customer__name="The Slow Snail").lines.get()
    run.refresh_from_db()
    assert (run.about["line"], run.about["day"]) == (line.public_id, "2027-04-05")
