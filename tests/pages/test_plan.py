"""A new plan from the wish to the decision: watched, stopped, used, left, gone back from, broken off, impossible."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest

from planner.plan import Reason
from studio.models import Pin, Plan, PlanRun
from studio.queries.plans import Live
from studio.reasons import LATE, OTHER, why
from studio.services import plans, runs
from tests.pages.conftest import Browser
from tests.services.shop import Shop


def ask(shop: Shop, browser: Browser) -> PlanRun:
    browser.open("plan/")
    browser.press("Make ")
    return PlanRun.objects.get(studio=shop.studio, state=PlanRun.State.WAITING)


def begin(shop: Shop, progress: dict[str, Any] | None = None) -> PlanRun:
    run = runs.claim_run(worker="w", now=shop.now)
    assert run is not None
    runs.beat(run=run, worker="w", now=shop.now, progress=progress)
    run.refresh_from_db()
    return run


def end(shop: Shop, run: PlanRun, state: str, **more: Any) -> None:
    assert runs.finish_run(run=run, worker="w", now=shop.now, state=state, **more)


def answer(shop: Shop, run: PlanRun) -> Plan:
    """Have the run end in a plan, by the real planner."""
    from planner.solve import solve
    from studio.translate import scenario_at

    made = scenario_at(shop.studio, shop.now)
    row = plans.save_plan(studio=shop.studio, made=made, plan=solve(made.scenario, seconds=0), now=shop.now)
    end(shop, run, PlanRun.State.DONE, plan=row)
    return row


def test_a_wish_is_put_down_and_watched(shop: Shop, browser: Browser, live: Live) -> None:
    run = ask(shop, browser)
    assert (run.why, run.seconds) == ("week", 20)
    assert "Putting the weeks together" in browser.last.text
    assert "<noscript><meta http-equiv=" in browser.last.html  # it looks again without JavaScript too
    begin(shop, {"cost": 7, "late_orders": 2, "firings": 3})
    shop.now += dt.timedelta(seconds=5)
    page = browser.open(f"plan/?run={run.public_id}")
    assert "5 of about 20 seconds 2 orders late so far 3 firings" in page.text
    assert "Stop and keep this one" in page.text


def test_a_part_is_sent_to_a_page_that_watches(shop: Shop, browser: Browser, live: Live) -> None:
    run = ask(shop, browser)
    part = browser.open(f"plan/?run={run.public_id}", **{"HX-Request": "true"})
    assert "<html" not in part.html
    assert 'hx-trigger="every 1s"' in part.html
    begin(shop)
    answer(shop, PlanRun.objects.get(pk=run.pk))
    part = browser.open(f"plan/?run={run.public_id}", **{"HX-Request": "true"})
    assert "hx-trigger" not in part.html
    assert "Use it" in part.text


def test_nobody_at_work_is_said(shop: Shop, browser: Browser, live: Live) -> None:
    run = ask(shop, browser)
    shop.now += dt.timedelta(seconds=30)
    assert "may not be running" in browser.open(f"plan/?run={run.public_id}").text


def test_it_can_be_stopped(shop: Shop, browser: Browser, live: Live) -> None:
    run = ask(shop, browser)
    begin(shop, {"cost": 7, "late_orders": 0, "firings": 1})
    browser.open(f"plan/?run={run.public_id}")
    browser.press("Stop and keep this one")
    assert PlanRun.objects.get(pk=run.pk).stop_wish
    assert "It stops in a moment" in browser.last.text


def test_a_new_plan_is_used_only_when_a_person_says_so(shop: Shop, browser: Browser, live: Live) -> None:
    shop.order(qty=6, days=20)
    run = ask(shop, browser)
    new = answer(shop, begin(shop))
    page = browser.open(f"plan/?run={run.public_id}")
    assert "What would change" in page.text
    assert "The Ninth Heron" in page.text and "is new" in page.text
    assert Plan.objects.get(studio=shop.studio, is_current=True).pk == live.row.pk
    assert "A new plan is ready" in browser.open().text
    browser.follow("See what changes")
    browser.press("Use it")
    assert Plan.objects.get(studio=shop.studio, is_current=True).pk == new.pk
    browser.open("plan/")
    browser.press("Go back to the plan before")
    assert Plan.objects.get(studio=shop.studio, is_current=True).pk == live.row.pk


def test_a_new_plan_can_be_left(shop: Shop, browser: Browser, live: Live) -> None:
    run = ask(shop, browser)
    answer(shop, begin(shop))
    browser.open(f"plan/?run={run.public_id}")
    browser.press("Leave it")
    assert Plan.objects.get(studio=shop.studio, is_current=True).pk == live.row.pk
    assert "Make a new plan" in browser.open("plan/").text  # it asks no more


def test_a_run_that_broke_off_is_said_and_started_again(shop: Shop, browser: Browser, live: Live) -> None:
    run = ask(shop, browser)
    end(shop, begin(shop), PlanRun.State.FAILED, message="The computer ran out of memory.")
    page = browser.open(f"plan/?run={run.public_id}")
    assert "The computer ran out of memory." in page.text
    assert "Your present plan stands" in page.text
    browser.press("Start again")
    assert PlanRun.objects.filter(studio=shop.studio, state=PlanRun.State.WAITING).count() == 1


def test_a_worker_that_died_is_seen_before_anybody_says_so(shop: Shop, browser: Browser, live: Live) -> None:
    run = ask(shop, browser)
    begin(shop)
    shop.now += dt.timedelta(minutes=1)
    assert "stopped" in browser.open(f"plan/?run={run.public_id}").text
    browser.press("Start again")
    assert [r.state for r in PlanRun.objects.filter(studio=shop.studio).order_by("pk")] == ["failed", "waiting"]


def test_what_cannot_be_done_is_explained(shop: Shop, browser: Browser, live: Live) -> None:
    run = ask(shop, browser)
    reason = {
        "code": "unload_no_hands", "things": {"kiln": shop.ids["kiln"]}, "minutes": {"opens": 60, "end": 9000},
        "counts": {"minutes": 40}, "text": "Kiln k can be opened at 60.",
    }  # fmt: skip
    end(shop, begin(shop), PlanRun.State.IMPOSSIBLE, reasons=[reason])
    page = browser.open(f"plan/?run={run.public_id}")
    # minute 60 of a run begun at 08:00
    assert "Kiln can be opened from this morning, but nobody who draws a kiln is there for 40 min" in page.text


def test_pinned_work_is_listed_and_let_go(shop: Shop, browser: Browser, live: Live) -> None:
    browser.open("plan/")
    browser.press("Leave today alone")
    assert Pin.objects.filter(studio=shop.studio).exists()
    assert "Press" in browser.last.text
    browser.press("All may move again")
    assert not Pin.objects.filter(studio=shop.studio).exists()


@pytest.mark.parametrize("bad", ["nothing", "'; --", "ä" * 200])
def test_an_unknown_run_shows_the_form(browser: Browser, live: Live, bad: str) -> None:
    assert "Make a new plan" in browser.open(f"plan/?run={bad}").text


def test_another_studio_s_run_is_not_shown(shop: Shop, browser: Browser, live: Live) -> None:
    other = Shop("Next Door")
    run = runs.ask_run(studio=other.studio, user=other.owner, why="week", now=shop.now)
    assert "Putting the weeks together" not in browser.open(f"plan/?run={run.public_id}").text


def test_every_reason_of_the_planner_has_its_sentence() -> None:
    """Each code that the planner's reasons use is worded here, without a hole in the sentence."""
    import re
    from pathlib import Path

    import planner.reasons

    folder = Path(planner.reasons.__file__).parent
    text = "".join(p.read_text() for p in [*folder.glob("*.py"), *(folder.parent / "model").glob("core_reasons.py")])
    codes = set(re.findall(r'Reason\(\s*"(\w+)"', text)) | set(re.findall(r'return "(\w+)", words', text))
    assert codes >= {"too_soon", "unload_no_hands", "core_conflict"}
    assert codes <= set(LATE) | set(OTHER)


def test_a_reason_that_is_not_known_keeps_the_planner_s_words() -> None:
    reason = Reason("moon", {}, {}, {}, "The moon is wrong.")
    assert why(reason, when=lambda m: dt.datetime.now(dt.UTC), named=lambda r, t: t) == "The moon is wrong."
