"""What matters more, and two ways to do the weeks side by side, of which a person picks one."""

from __future__ import annotations

import datetime as dt
import threading

import pytest

from planner.scenario import Weights
from planner.solve import solve
from studio.models import FormTimings, Person, Plan, PlanRun, Studio
from studio.queries.plans import Live
from studio.translate import scenario_at
from studio.translate.tuning import MORE, WEIGHTS, other_way, weights_of
from studio.worker import Worker
from tests.pages.conftest import Browser
from tests.services.shop import Shop


def two(shop: Shop, browser: Browser) -> PlanRun:
    """Two ways asked for on the page and made by the real worker."""
    browser.open("plan/")
    browser.press("Show me two ways", seconds="8")
    run = PlanRun.objects.get(studio=shop.studio, state=PlanRun.State.WAITING)
    assert run.about == {"two": True}
    PlanRun.objects.filter(pk=run.pk).update(seconds=1)
    assert Worker(threading.Event(), clock=lambda: shop.now).once()
    run.refresh_from_db()
    assert run.state == PlanRun.State.DONE
    return run


def test_what_matters_more_is_kept_and_weighs_in_the_next_plan(shop: Shop, browser: Browser, live: Live) -> None:
    browser.open("plan/")
    browser.press("Keep this", matters=["firings", "evenings"])
    assert Studio.objects.get(pk=shop.studio.pk).matters == {"more": ["firings", "evenings"]}
    assert browser.last.html.count("checked") == 2
    shop.studio.refresh_from_db()
    weights: Weights = scenario_at(shop.studio, shop.now).scenario.weights
    assert (weights.kwh, weights.extra) == (3 * WEIGHTS.kwh, 4 * WEIGHTS.extra)
    assert (weights.late, weights.setup) == (WEIGHTS.late, WEIGHTS.setup)
    browser.press("Keep this", matters=[])
    shop.studio.refresh_from_db()
    assert scenario_at(shop.studio, shop.now).scenario.weights == WEIGHTS


def test_an_unknown_choice_is_refused_and_makers_cannot_choose(shop: Shop) -> None:
    shop.refused(422, "choices_save", matters=["beauty"])
    maker = shop.maker()
    assert shop.send("choices_save", by=maker, matters=["tools"]).status == 403
    assert "owners choose" in Browser(shop, maker).open("plan/").text


@pytest.mark.parametrize("chosen", [(), ("in_time",), ("firings",), ("in_time", "tools"), tuple(MORE)])
def test_the_other_way_leans_the_other_way(chosen: tuple[str, ...]) -> None:
    other = other_way(chosen)
    assert ("in_time" in other) != ("in_time" in chosen or not chosen)
    assert weights_of(other) != weights_of(chosen)


def test_two_ways_stand_side_by_side_and_one_is_picked(shop: Shop, browser: Browser, live: Live) -> None:
    run = two(shop, browser)
    assert run.plan is not None and run.other is not None
    assert (run.plan.way, run.other.way) == ("own", "calm")
    page = browser.open(f"plan/?run={run.public_id}")
    assert "Two ways to do it" in page.text
    for name in ("Order lines late", "Firings", "Work in evenings", "Changes of tool", "Tasks that move"):
        assert name in page.text
    assert "Your way: all as usual. Quiet weeks: few firings" in page.text
    browser.press("Use “Quiet weeks”")
    assert Plan.objects.get(studio=shop.studio, is_current=True).pk == run.other.pk
    run.plan.refresh_from_db()
    assert run.plan.left_at is not None
    assert "Make a new plan" in browser.open("plan/").text
    assert "A new plan is ready" not in browser.open().text


def test_both_are_left(shop: Shop, browser: Browser, live: Live) -> None:
    run = two(shop, browser)
    browser.open(f"plan/?run={run.public_id}")
    browser.press("Leave both")
    assert Plan.objects.filter(studio=shop.studio, left_at=None).get().pk == live.row.pk


def test_the_terms_are_those_of_the_plans(shop: Shop, browser: Browser, live: Live) -> None:
    """Counted anew from the plans: firings by their loads, power by the kiln's programs (65 and 105 kWh)."""
    from studio.queries.ways import two_ways

    run = two(shop, browser)
    assert run.plan is not None and run.other is not None
    for way in two_ways(shop.studio, (run.plan, run.other), ()):
        plan = way.row.plan
        loads = [f for f in plan["firings"] if f.get("load")]
        kwh = {shop.ids["bisque"]: 65, shop.ids["glost"]: 105}
        assert way.numbers[2] == len(loads)
        assert way.numbers[3] == sum(kwh[f["program"]] for f in plan["firings"])
        assert way.numbers[0] == sum(o["late_min"] > 0 for o in plan["orders"])


def fired_on_a_monday_evening(shop: Shop) -> None:
    """Ten fired bowls to be sorted by Tuesday, in half an hour: on Monday evening, or late on Wednesday morning."""
    line = shop.order(qty=10, days=1)
    shop.do("opening_ware", form=shop.ids["form"], count=11, stage="fired", order=line, glaze=shop.ids["glaze"])
    FormTimings.objects.filter(studio=shop.studio).update(finish_s=180)
    week = [{"weekday": d, "starts": "08:00", "ends": "17:00"} for d in range(5)]
    evening = {"weekday": 0, "starts": "18:00", "ends": "20:00", "evening": True}
    person = Person.objects.get(public_id=shop.ids["person"])
    shop.do("hours_save", person=person.public_id, version=person.version, hours=[*week, evening])
    day = (shop.now + dt.timedelta(days=1)).date().isoformat()
    shop.do("day_off", person=person.public_id, first=day, last=day)
    shop.later(hours=9, minutes=15)


@pytest.mark.parametrize(
    ("matters", "evening"), [((), True), (("evenings",), False), (("in_time", "evenings"), True), (("tools",), True)]
)
def test_what_matters_more_changes_the_plan_where_it_must(
    shop: Shop, matters: tuple[str, ...], evening: bool
) -> None:
    """By the weights: 33 minutes of an evening cost 66, four times that where evenings matter; late is ten bowls and
    one order, 11 x 10 + 100 = 210, three times that where being in time matters."""
    fired_on_a_monday_evening(shop)
    made = scenario_at(shop.studio, shop.now, matters)
    plan = solve(made.scenario, seconds=0)
    finish = next(t for t in plan.tasks if t.kind == "finish")
    assert (finish.start < 1440) == evening
    assert (plan.orders[0].late_min == 0) == evening
