"""An order taken for the day that was told: the plan that follows has it ready then, or says plainly that it cannot."""

from __future__ import annotations

import datetime as dt
import threading

import pytest

from planner.costs import steps_late
from studio.models import Customer, OrderLine, Plan, PlanRun
from studio.queries.plans import live
from studio.queries.run import plan_page
from studio.services import plans
from studio.translate import scenario_at
from studio.translate.taken import plan_to_begin_from
from studio.translate.tuning import DAY
from studio.worker import Worker
from tests.services.shop import Shop


def told(shop: Shop, qty: int) -> PlanRun:
    answer = shop.do("when_ask", form=shop.ids["form"], glaze=shop.ids["glaze"], qty=qty)
    PlanRun.objects.filter(public_id=answer.data["run"]).update(seconds=1)
    work(shop)
    return PlanRun.objects.get(public_id=answer.data["run"])


def work(shop: Shop) -> None:
    assert Worker(threading.Event(), clock=lambda: shop.now).once()


def take(shop: Shop, run: PlanRun, qty: int, day: str | None = None) -> tuple[str, PlanRun | None]:
    """The line in the book, and the run that plans it."""
    lines = [{"form": shop.ids["form"], "glaze": shop.ids["glaze"], "qty": qty}]
    answer = shop.do(
        "order_new", customer_name="The Slow Snail", due=day or run.result["day"], lines=lines, told=run.public_id
    )
    planned = PlanRun.objects.filter(public_id=answer.data.get("run", "")).first()
    if planned is not None:
        PlanRun.objects.filter(pk=planned.pk).update(seconds=0)
    return answer.data["lines"][0], planned


def late(row: Plan) -> dict[str, int]:
    return {o["id"]: o["late_min"] for o in row.plan["orders"]}


def made(shop: Shop, run: PlanRun | None) -> Plan:
    assert run is not None
    work(shop)
    run.refresh_from_db()
    assert run.plan is not None, run.message
    return run.plan


@pytest.mark.parametrize(("hour", "later"), [(8, 0), (8, 1), (18, 120)])
def test_the_plan_that_follows_keeps_the_day_and_all_others(shop: Shop, hour: int, later: int) -> None:
    """Again and again, with minutes going by between telling and taking: nothing else happens, so every day holds.

    In the evening hours may go by in which nobody works.
    """
    shop.later(hours=hour - 8)
    shop.plan()
    for qty in (5, 17, 30):
        before = late(Plan.objects.get(studio=shop.studio, is_current=True))
        run = told(shop, qty)
        assert run.result["status"] == "promise"
        shop.later(minutes=later)
        line, planned = take(shop, run, qty)
        row = made(shop, planned)
        after = late(row)
        assert after[line] == 0
        assert all(steps_late(after[o], DAY) <= steps_late(n, DAY) for o, n in before.items())
        assert plan_page(shop.studio, now=shop.now).broken == ()
        assert plans.accept_plan(studio=shop.studio, plan=row, now=shop.now).used
        assert plan_to_begin_from(shop.studio, scenario_at(shop.studio, shop.now)) is None


def test_two_orders_taken_one_after_the_other_both_hold(shop: Shop) -> None:
    """The second day is told beside the first, although no plan knows the first order yet."""
    shop.plan()
    first, _run = take(shop, told(shop, 20), 20)
    PlanRun.objects.filter(kind=PlanRun.Kind.PLAN).delete()
    second, planned = take(shop, told(shop, 20), 20)
    after = late(made(shop, planned))
    assert (after[first], after[second]) == (0, 0)


def test_a_day_told_holds_when_the_order_is_important_and_firmer(shop: Shop) -> None:
    shop.plan()
    run = told(shop, 12)
    later_day = (dt.date.fromisoformat(run.result["day"]) + dt.timedelta(days=1)).isoformat()
    line, planned = take(shop, run, 10, later_day)
    assert late(made(shop, planned))[line] == 0


def test_more_pots_or_an_earlier_day_than_told_are_an_ordinary_order(shop: Shop) -> None:
    shop.plan()
    run = told(shop, 12)
    assert take(shop, run, 13)[1] is None
    assert take(shop, run, 12, shop.now.date().isoformat())[1] is None
    assert take(shop, run, 12)[1] is not None
    assert take(shop, run, 12)[1] is None  # the same answer promises one order


def test_an_answer_of_another_studio_promises_nothing(shop: Shop) -> None:
    shop.plan()
    run = told(shop, 12)
    PlanRun.objects.filter(pk=run.pk).update(studio=Shop("South Yard").studio)
    assert take(shop, run, 12)[1] is None


def test_it_is_said_plainly_where_the_day_does_not_hold_any_more(shop: Shop) -> None:
    shop.plan()
    run = told(shop, 30)
    line, planned = take(shop, run, 30)
    until = (shop.now + dt.timedelta(days=40)).isoformat()
    shop.do("kiln_out", kiln=shop.ids["kiln"], until=until)
    row = made(shop, PlanRun.objects.filter(kind=PlanRun.Kind.PLAN).latest("pk"))
    assert planned is not None and late(row)[line] > 0
    (text,) = plan_page(shop.studio, now=shop.now).broken
    day = dt.date.fromisoformat(run.result["day"])
    assert "The Slow Snail" in text and f"{day.day} {day:%B}" in text and "does not hold any more" in text
    assert "Other things were recorded or changed" in text
    assert live(row, shop.studio).scenario.order[line].qty >= 30
    assert Customer.objects.filter(name="The Slow Snail").count() == OrderLine.objects.filter(public_id=line).count()
