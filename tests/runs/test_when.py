"""A question by when something could be ready: asked, worked on, let behind a plan, answered."""

from __future__ import annotations

import datetime as dt
import threading
from typing import Any

import pytest

from studio import worker as module
from studio.models import Order, PlanRun
from studio.services import runs
from studio.translate import question_at, scenario_at
from studio.worker import Worker
from tests.services.shop import Shop

State, Kind = PlanRun.State, PlanRun.Kind


def ask(shop: Shop, qty: int = 10) -> PlanRun:
    answer = shop.do("when_ask", form=shop.ids["form"], glaze=shop.ids["glaze"], qty=qty)
    run = PlanRun.objects.get(public_id=answer.data["run"])
    PlanRun.objects.filter(pk=run.pk).update(seconds=2)
    return run


def work(shop: Shop) -> bool:
    return Worker(threading.Event(), clock=lambda: shop.now).once()


def test_a_question_stands_beside_a_plan_and_behind_it(shop: Shop) -> None:
    question = ask(shop)
    shop.later(seconds=1)
    plan = shop.do("plan_make").data["run"]
    assert PlanRun.objects.filter(studio=shop.studio, state=State.WAITING).count() == 2
    first = runs.claim_run(worker="w1", now=shop.now)
    second = runs.claim_run(worker="w2", now=shop.now)
    assert first is not None and second is not None
    assert (first.public_id, second.pk) == (plan, question.pk)


def test_another_question_takes_the_place_of_one_that_is_open(shop: Shop) -> None:
    shop.later(minutes=1)
    first = ask(shop, 10)
    assert ask(shop, 10).pk == first.pk
    second = ask(shop, 12)
    first.refresh_from_db()
    assert (first.state, second.state) == (State.STOPPED, State.WAITING)


def test_the_same_question_is_new_once_something_has_changed(shop: Shop) -> None:
    shop.later(minutes=1)
    first = ask(shop)
    shop.later(seconds=5)
    shop.do("week_set", week="damp")
    assert ask(shop).pk != first.pk


@pytest.mark.parametrize("entries", [{"qty": 0}, {"qty": "many"}, {"form": "nothing"}, {"glaze": ""}])
def test_what_cannot_be_asked_is_refused(shop: Shop, entries: dict[str, Any]) -> None:
    good = {"form": shop.ids["form"], "glaze": shop.ids["glaze"], "qty": 5}
    assert shop.send("when_ask", **{**good, **entries}).status in (404, 422)
    assert not PlanRun.objects.filter(kind=Kind.WHEN).exists()


def test_the_worker_answers_with_a_day_that_holds_when_the_order_is_taken(shop: Shop) -> None:
    """The order entered for the promised day, a plan that finishes it in time is found, and no other is late."""
    from planner.solve import solve

    shop.plan()
    run = ask(shop, 20)
    assert work(shop)
    run.refresh_from_db()
    said = run.result
    assert (run.state, said["status"], said["final"]) == (State.DONE, "promise", True)
    assert said["to_make"] > 20  # losses are allowed for
    assert {r["code"] for r in said["reasons"]} >= {"way"}
    line = {"form": shop.ids["form"], "glaze": shop.ids["glaze"], "qty": 20}
    shop.do("order_new", customer_name="The Slow Snail", due=said["day"], lines=[line])
    plan = solve(scenario_at(shop.studio, shop.now).scenario, seconds=2)
    assert [o.late_min for o in plan.orders] == [0, 0]


def test_no_day_is_promised_before_its_hours_end(shop: Shop) -> None:
    """Pieces finished in an evening are promised for the next day that has hours, for a day ends with its hours."""
    question = question_at(shop.studio, shop.now, form=shop.ids["form"], glaze=shop.ids["glaze"], qty=5)
    monday = shop.now.date()
    at_five = 9 * 60  # minutes after 08:00
    assert question.day(at_five) == monday
    assert question.day(at_five + 1) == monday + dt.timedelta(days=1)


def test_what_others_claim_is_not_given_away(shop: Shop) -> None:
    """Thirty bowls are bisqued: the order of ten takes what it needs of them first, the question gets the rest."""
    shop.do("opening_ware", form=shop.ids["form"], count=30, stage="bisqued")
    ids = {"form": shop.ids["form"], "glaze": shop.ids["glaze"]}
    before = question_at(shop.studio, shop.now, qty=25, **ids)
    assert 10 <= before.made.scenario.orders[0].qty < 20
    assert 0 < before.fresh < before.to_make
    Order.objects.update(cancelled_at=shop.now)
    assert question_at(shop.studio, shop.now, qty=25, **ids).fresh == 0


def test_a_plan_that_is_needed_now_goes_first(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    """The worker leaves a question for a plan that waits, and takes it up again with its answer so far kept."""
    shop.plan()
    run = ask(shop)
    real = module.promise

    def interrupted(*args: Any, on_progress: Any, should_stop: Any, **more: Any) -> Any:
        def told(p: Any) -> None:
            on_progress(p)
            runs.ask_run(studio=shop.studio, user=None, why="mould", now=shop.now, seconds=1)

        return real(*args, on_progress=told, should_stop=should_stop, **{**more, "seconds": 30})

    monkeypatch.setattr(module, "promise", interrupted)
    assert work(shop)
    run.refresh_from_db()
    assert (run.state, run.result["status"]) == (State.WAITING, "promise")
    plan = runs.claim_run(worker="w", now=shop.now)
    assert plan is not None and plan.kind == Kind.PLAN


def test_it_stops_with_the_answer_so_far(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    shop.plan()
    run = ask(shop)
    real = module.promise

    def watched(*args: Any, on_progress: Any, **more: Any) -> Any:
        def told(p: Any) -> None:
            on_progress(p)
            shop.do("when_stop", run=run.public_id)

        return real(*args, on_progress=told, **{**more, "seconds": 30})

    monkeypatch.setattr(module, "promise", watched)
    assert work(shop)
    run.refresh_from_db()
    assert (run.state, run.result["status"]) == (State.STOPPED, "promise")


def test_a_fault_on_the_way_ends_the_question_only(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(*_args: Any, **_more: Any) -> Any:
        raise ValueError("no")

    monkeypatch.setattr(module, "promise", broken)
    run = ask(shop)
    assert work(shop)
    run.refresh_from_db()
    assert run.state == State.FAILED
    assert "ask again" in run.message
