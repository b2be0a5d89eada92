"""Plans are kept under ids that never come again, and only one that still fits is used."""

from __future__ import annotations

import datetime as dt

import pytest

from planner.checks import check
from studio import models
from studio.queries.plans import Live, current_plan, left_of, windows_of
from studio.services import plans
from studio.translate import scenario_at
from studio.translate.plans import ids_of, moved
from tests.services.shop import Shop


def new_plan(shop: Shop) -> models.Plan:
    """A plan for how things stand now, kept and not used."""
    from planner.dispatch import first_plan

    made = scenario_at(shop.studio, shop.now)
    plan = first_plan(made.scenario)
    assert plan is not None
    return plans.save_plan(studio=shop.studio, made=made, plan=plan, now=shop.now)


def test_new_ids_are_the_studios_own_and_known_ones_stay(shop: Shop) -> None:
    shop.order(qty=10)
    first = shop.plan()
    ids = list(ids_of(first.plan))
    assert len(set(ids)) == len(ids) and all(len(i) == 12 for i in ids if not i.startswith("now:"))
    again = new_plan(shop)
    known = set(ids)
    assert {t["id"] for t in again.plan["tasks"]} & known
    assert again.before is not None and again.before.pk == first.row.pk


def test_the_kept_plan_is_valid_under_its_new_names(shop: Shop) -> None:
    shop.order(qty=30)
    live = shop.plan()
    assert check(live.scenario, live.plan) == []
    assert set(windows_of(live)) == set(live.plan.task)


def test_only_one_plan_is_in_use_and_the_one_before_can_be_taken_again(shop: Shop) -> None:
    shop.order(qty=10)
    first, second = shop.plan().row, new_plan(shop)
    assert plans.accept_plan(studio=shop.studio, plan=second, now=shop.now).used
    assert [p.pk for p in models.Plan.objects.filter(studio=shop.studio, is_current=True)] == [second.pk]
    assert plans.accept_plan(studio=shop.studio, plan=first, now=shop.now).used
    first.refresh_from_db()
    second.refresh_from_db()
    assert (first.is_current, second.is_current) == (True, False) and second.left_at == shop.now
    assert first.before is None  # it keeps the one that it followed


def test_accepting_the_plan_in_use_changes_nothing(shop: Shop) -> None:
    shop.order(qty=10)
    row = shop.plan().row
    assert plans.accept_plan(studio=shop.studio, plan=row, now=shop.now).used


def test_a_plan_that_is_followed_still_fits_after_every_task(shop: Shop) -> None:
    """From the first ball to the last box: pressed, packed, drawn and glazed ware stands under the plan's names."""
    shop.order(qty=20)
    live = shop.plan()
    kinds = []
    for task in sorted(live.plan.tasks, key=lambda t: (t.end, t.id)):
        kinds.append(task.kind)
        _do(shop, live, task.id)
        broken = plans.broken_rules(shop.studio, live.row, shop.now)
        assert broken == (), (kinds, broken)
    assert {"press", "release", "turn", "load", "unload", "glaze", "finish"} <= set(kinds)


def _do(shop: Shop, live: Live, task_id: str) -> None:
    task = live.plan.task[task_id]
    shop.now = live.when(task.end).astimezone(dt.UTC)
    shop.do("task_done", task=task_id)
    for firing in live.plan.firings:
        if firing.load == task_id:
            shop.now = live.when(firing.fire or 0).astimezone(dt.UTC)
            shop.do("lit", firing=firing.id)


def test_a_plan_made_before_the_record_moved_on_is_checked_and_used_if_it_fits(shop: Shop) -> None:
    shop.order(qty=10)
    live = shop.plan()
    waiting = new_plan(shop)
    first = min(live.plan.tasks, key=lambda t: t.end)
    shop.now = live.when(first.end).astimezone(dt.UTC)
    shop.do("task_done", task=first.id)
    accepted = plans.accept_plan(studio=shop.studio, plan=waiting, now=shop.now)
    assert accepted.used and accepted.moved_on and "checked" in accepted.message


def test_pieces_lost_since_leave_the_plan_valid_for_fewer(shop: Shop) -> None:
    shop.order(qty=20)
    live = shop.plan()
    press = min((t for t in live.plan.tasks if t.kind == "press"), key=lambda t: t.end)
    _do(shop, live, press.id)
    batch = next(b for b in live.plan.batches if b.press == press.id)
    shop.do("pots_lost", ware=batch.id, count=2, where="mould", why="stuck")
    assert plans.broken_rules(shop.studio, live.row, shop.now) == ()


def test_a_plan_that_no_longer_fits_is_not_used_and_the_present_one_stands(shop: Shop) -> None:
    shop.order(qty=20)
    used = shop.plan().row
    waiting = new_plan(shop)
    shop.do("kiln_out", kiln=shop.ids["kiln"])
    accepted = plans.accept_plan(studio=shop.studio, plan=waiting, now=shop.now)
    assert not accepted.used and accepted.rules == ("R07",) and accepted.message
    used.refresh_from_db()
    waiting.refresh_from_db()
    assert used.is_current and not waiting.is_current


def test_a_plan_of_days_ago_that_nobody_followed_is_out_of_date(shop: Shop) -> None:
    shop.order(qty=20)
    row = new_plan(shop)
    shop.later(days=3)
    accepted = plans.accept_plan(studio=shop.studio, plan=row, now=shop.now)
    assert not accepted.used and "late" in accepted.rules


def test_what_is_left_to_do(shop: Shop) -> None:
    shop.order(qty=10)
    live = shop.plan()
    everything = left_of(live, shop.state)
    _do(shop, live, everything[0].id)
    assert [t.id for t in left_of(live, shop.state)] == [t.id for t in everything[1:]]


def test_the_plan_in_use_is_handed_on_at_the_new_start(shop: Shop) -> None:
    shop.order(qty=10)
    live = shop.plan()
    assert current_plan(shop.studio) is not None
    first, last = (f(live.plan.tasks, key=lambda t: t.start) for f in (min, max))
    _do(shop, live, first.id)
    shop.do("pin", tasks=[last.id])
    scenario = scenario_at(shop.studio, shop.now).scenario
    assert scenario.previous is not None and scenario.pins == (last.id,)
    gone = live.minute(shop.now)
    assert scenario.previous.task[last.id].start == last.start - gone
    assert scenario.previous.task[first.id].start < 0


@pytest.mark.parametrize("by", [-500, 0, 77])
def test_moving_a_plan_moves_all_of_it(shop: Shop, by: int) -> None:
    shop.order(qty=10)
    live = shop.plan()
    other = moved(live.plan, by)
    assert [t.start - by for t in other.tasks] == [t.start for t in live.plan.tasks]
    assert [f.fire - by for f in other.firings if f.fire is not None] == [f.fire for f in live.plan.firings]
    ahead = moved(live.plan, 0, done=[t.id for t in live.plan.tasks])
    assert all(t.end <= 0 or t.start < 0 for t in ahead.tasks)


def test_hours_changed_since_are_noticed_though_nothing_was_recorded(shop: Shop) -> None:
    shop.order(qty=20)
    row = new_plan(shop)
    person = models.Person.objects.get(studio=shop.studio)
    shop.do("hours_save", person=person.public_id, version=person.version,
            hours=[{"weekday": 6, "starts": "10:00", "ends": "12:00"}])  # fmt: skip
    accepted = plans.accept_plan(studio=shop.studio, plan=row, now=shop.now)
    assert not accepted.used and not accepted.moved_on and "R01" in accepted.rules
