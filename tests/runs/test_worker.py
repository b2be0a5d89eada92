"""The worker in this process: it takes a run to its end, whatever happens on the way."""

from __future__ import annotations

import threading
from typing import Any

import pytest
from django.db import OperationalError

from planner.plan import COST_NAMES, Plan
from studio import worker as module
from studio.models import Plan as PlanRow
from studio.models import PlanRun
from studio.queries.plans import current_plan
from studio.services import runs
from studio.worker import Worker
from tests.services.shop import Shop

State = PlanRun.State


def run_of(shop: Shop, seconds: int = 1) -> PlanRun:
    answer = shop.do("plan_make", seconds=seconds)
    return PlanRun.objects.get(public_id=answer.data["run"])


def work(shop: Shop, stop: threading.Event | None = None) -> bool:
    return Worker(stop or threading.Event(), clock=lambda: shop.now).once()


def test_a_run_ends_with_a_checked_plan_that_is_not_in_use_yet(shop: Shop) -> None:
    run = run_of(shop)
    assert work(shop)
    run.refresh_from_db()
    assert (run.state, run.message) == (State.DONE, "")
    assert run.plan is not None
    assert not run.plan.is_current
    assert run.progress["phase"] == "done"
    assert run.progress["firings"] > 0
    assert work(shop) is False


def test_the_plan_of_a_run_is_used_by_one_tap(shop: Shop) -> None:
    run = run_of(shop)
    work(shop)
    run.refresh_from_db()
    shop.do("plan_use", plan=run.plan.public_id)
    live = current_plan(shop.studio)
    assert live is not None
    assert live.row.pk == run.plan.pk


def test_told_to_end_it_keeps_the_best_plan(shop: Shop) -> None:
    run = run_of(shop, seconds=60)
    stop = threading.Event()
    stop.set()
    work(shop, stop)
    run.refresh_from_db()
    assert run.state == State.STOPPED
    assert run.plan is not None


def test_a_run_taken_away_leaves_no_plan(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    run = run_of(shop)

    def slow(*args: Any, **kwargs: Any) -> Plan:
        runs.ask_run(studio=shop.studio, user=None, why="mould", now=shop.now)
        return real(*args, **{**kwargs, "seconds": 0})

    real = module.solve
    monkeypatch.setattr(module, "solve", slow)
    work(shop)
    run.refresh_from_db()
    assert (run.state, run.plan) == (State.STOPPED, None)
    assert not PlanRow.objects.exists()


def test_a_plan_that_breaks_a_rule_is_never_kept(
    shop: Shop, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    run = run_of(shop)
    real = module.solve

    def wrong(*args: Any, **kwargs: Any) -> Plan:
        good = real(*args, **{**kwargs, "seconds": 0})
        return Plan(**{**{f: getattr(good, f) for f in Plan.__dataclass_fields__}, "tasks": good.tasks[1:]})

    monkeypatch.setattr(module, "solve", wrong)
    work(shop)
    run.refresh_from_db()
    assert run.state == State.FAILED
    assert "quote" in run.message
    assert "breaks its own rules" in caplog.text
    assert not PlanRow.objects.exists()


@pytest.mark.parametrize(
    ("status", "state"), [("infeasible", State.IMPOSSIBLE), ("unknown", State.FAILED)]
)
def test_without_a_plan_the_present_one_stands(
    shop: Shop, monkeypatch: pytest.MonkeyPatch, status: str, state: str
) -> None:
    before = shop.plan()
    run = run_of(shop)
    none = Plan(status=status, cost=0, costs=dict.fromkeys(COST_NAMES, 0), bound=None)
    monkeypatch.setattr(module, "solve", lambda *a, **k: none)
    work(shop)
    run.refresh_from_db()
    assert run.state == state
    assert run.message.endswith(".")
    assert "present plan" not in run.message  # the page says what becomes of it, if there is one
    live = current_plan(shop.studio)
    assert live is not None
    assert live.row.pk == before.row.pk


def test_a_database_that_is_busy_at_the_end_is_waited_for(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    run = run_of(shop)
    tries = []
    real = module.plans.save_plan

    def busy(**kwargs: Any) -> Any:
        tries.append(1)
        if len(tries) < 3:
            raise OperationalError("database is locked")
        return real(**kwargs)

    monkeypatch.setattr(module.plans, "save_plan", busy)
    monkeypatch.setattr(module.connections, "close_all", lambda: None)  # the test's own transaction lives on it
    work(shop)
    run.refresh_from_db()
    assert len(tries) == 3
    assert run.state == State.DONE


def test_a_run_of_a_dead_process_of_this_machine_is_given_up_at_once(shop: Shop) -> None:
    run = run_of(shop)
    name = Worker(threading.Event()).name
    host = name.split(":")[0]
    dead = next(p for p in range(4_000_000, 3_000_000, -1) if module._is_dead(f"{host}:{p}:x"))
    runs.claim_run(worker=f"{host}:{dead}:x", now=shop.now)
    Worker(threading.Event(), clock=lambda: shop.now)._reap()
    run.refresh_from_db()
    assert (run.state, run.message) == (State.FAILED, runs.gone_words())


@pytest.mark.django_db
def test_a_studio_that_has_nothing_yet_gets_an_empty_plan() -> None:
    shop = Shop()
    run = run_of(shop)
    work(shop)
    run.refresh_from_db()
    assert run.state == State.DONE
    assert run.plan.plan["tasks"] == []
