"""A run's row through its life: asked for, claimed, beaten, ended, given up."""

from __future__ import annotations

import datetime as dt

from studio.models import PlanRun
from studio.services import runs
from tests.services.shop import MONDAY, Shop

SECOND = dt.timedelta(seconds=1)
State = PlanRun.State


def ask(shop: Shop, why: str = "week", now: dt.datetime = MONDAY) -> PlanRun:
    return runs.ask_run(studio=shop.studio, user=shop.owner, why=why, now=now)


def test_a_run_is_claimed_once(shop: Shop) -> None:
    run = ask(shop)
    claimed = runs.claim_run(worker="w1", now=MONDAY)
    assert claimed is not None
    assert (claimed.pk, claimed.state, claimed.attempts) == (run.pk, State.RUNNING, 1)
    assert runs.claim_run(worker="w2", now=MONDAY) is None


def test_asking_again_while_one_waits_is_the_same_run(shop: Shop) -> None:
    first = ask(shop, "week")
    second = ask(shop, "mould")
    assert (first.pk, second.why, second.seconds) == (second.pk, "mould", runs.seconds_for("mould"))


def test_asking_again_while_one_is_worked_on_takes_its_place(shop: Shop) -> None:
    ask(shop)
    old = runs.claim_run(worker="w1", now=MONDAY)
    assert old is not None
    new = ask(shop, "mould")
    old.refresh_from_db()
    assert (old.state, new.state) == (State.STOPPED, State.WAITING)
    assert runs.beat(run=old, worker="w1", now=MONDAY) is False
    assert runs.finish_run(run=old, worker="w1", now=MONDAY, state=State.DONE) is False


def test_a_second_tap_watches_the_run_that_is_under_way_unless_something_changed(shop: Shop) -> None:
    shop.later(minutes=1)
    first = shop.do("plan_make").data["run"]
    runs.claim_run(worker="w1", now=shop.now)
    shop.later(seconds=2)
    assert shop.do("plan_make").data["run"] == first
    shop.do("week_set", week="damp")
    assert shop.do("plan_make").data["run"] != first


def test_a_beat_renews_the_lease_and_notes_progress(shop: Shop) -> None:
    ask(shop)
    run = runs.claim_run(worker="w1", now=MONDAY)
    assert run is not None
    assert runs.beat(run=run, worker="w1", now=MONDAY + 10 * SECOND, progress={"late_orders": 2})
    run.refresh_from_db()
    assert run.lease_until == MONDAY + 10 * SECOND + runs.LEASE
    assert run.progress == {"late_orders": 2}
    assert runs.reap(now=MONDAY + runs.LEASE + SECOND) == []


def test_a_run_whose_lease_has_passed_broke_off_and_can_be_started_again(shop: Shop) -> None:
    ask(shop)
    run = runs.claim_run(worker="w1", now=MONDAY)
    assert run is not None
    shop.now = MONDAY + runs.LEASE + SECOND
    runs.reap(now=shop.now)
    run.refresh_from_db()
    assert run.state == State.FAILED
    assert run.message == "The work on this plan stopped half-way. Start it again."
    again = shop.do("plan_again", run=run.public_id)
    new = PlanRun.objects.get(public_id=again.data["run"])
    assert (new.state, new.why) == (State.WAITING, run.why)
    assert again.go == f"/s/{shop.studio.public_id}/plan/?run={new.public_id}"
    assert runs.finish_run(run=run, worker="w1", now=shop.now, state=State.DONE) is False  # the dead one comes back


def test_stopping_a_waiting_run_ends_it_and_a_running_one_is_told(shop: Shop) -> None:
    waiting = ask(shop)
    shop.do("plan_stop", run=waiting.public_id)
    waiting.refresh_from_db()
    assert waiting.state == State.STOPPED
    ask(shop)
    running = runs.claim_run(worker="w1", now=MONDAY)
    assert running is not None
    shop.do("plan_stop", run=running.public_id)
    assert runs.beat(run=running, worker="w1", now=MONDAY) is False
    running.refresh_from_db()
    assert (running.state, running.stop_wish) == (State.RUNNING, True)


def test_the_longest_waiting_studio_is_served_first(shop: Shop) -> None:
    other = Shop("South Yard", now=MONDAY)
    ask(other, now=MONDAY + SECOND)
    ask(shop, now=MONDAY)
    claimed = runs.claim_run(worker="w1", now=MONDAY + 2 * SECOND)
    assert claimed is not None
    assert claimed.studio == shop.studio


def test_a_cracked_mould_has_a_new_plan_worked_on(shop: Shop) -> None:
    assert "run" not in shop.do("mould_cracked", form=shop.ids["form"]).data  # no plan yet that could be wrong
    shop.plan()
    answer = shop.do("mould_cracked", form=shop.ids["form"])
    run = PlanRun.objects.get(public_id=answer.data["run"])
    assert (run.why, run.state) == ("mould", State.WAITING)
    assert answer.go == f"/s/{shop.studio.public_id}/plan/?run={run.public_id}"
    assert run.seconds <= 7  # shown within ten
