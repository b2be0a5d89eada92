"""What one plan changes against another, in sentences."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from planner.plan import Plan, Task
from studio.changes import changes
from studio.queries.plans import Live
from tests.services.shop import Shop

DAY = 1440


@pytest.fixture
def live(shop: Shop) -> Live:
    """Ten bowls pressed on Monday for the Ninth Heron, done in the second week."""
    shop.order(qty=10)
    return shop.plan()


def other(live: Live, change: Callable[[Plan], Plan]) -> Live:
    return replace(live, plan=change(live.plan))


def later(kind: str, minutes: int) -> Callable[[Plan], Plan]:
    """A change that does all of one kind of work later."""

    def change(plan: Plan) -> Plan:
        return replace(plan, tasks=tuple(_later(t, minutes) if t.kind == kind else t for t in plan.tasks))

    return change


def _later(task: Task, minutes: int) -> Task:
    return replace(task, start=task.start + minutes, end=task.end + minutes)


def said(before: Live, after: Live, **more: frozenset[str]) -> list[str]:
    return [c.text for c in changes(before, after, **more)]


def pressed(live: Live) -> int:
    return sum(b.count for b in live.plan.batches)


def test_the_same_plan_changes_nothing(live: Live) -> None:
    assert said(live, live) == ["Nothing changes."]


def test_the_first_plan_is_told_in_short(live: Live) -> None:
    told = said(None, live)  # type: ignore[arg-type]
    assert told[0] == "This is the first plan."
    n = pressed(live)
    assert told[1].startswith(f"{n} pieces are pressed, from Monday ")
    lit = sorted(f.fire for f in live.plan.firings if f.fire is not None)
    assert told[2].startswith(f"{len(lit)} firings, the first {live.when(lit[0]):%A}")
    done = live.when(live.plan.orders[0].done)
    assert told[3].startswith("The Ninth Heron, Bowl: ready ")
    assert f"{done.day} " in told[3] or f"{done:%A}" in told[3]
    late = other(live, lambda p: replace(p, orders=tuple(replace(o, late_min=60) for o in p.orders)))
    assert said(None, late)[0] == "This is the first plan. 1 order will be late."  # type: ignore[arg-type]


def test_pieces_that_move_to_another_day_are_counted(live: Live) -> None:
    batch = max(live.plan.batches, key=lambda b: b.count)
    task = live.plan.task[batch.press or ""]
    day, next_day = (f"{live.when(task.start + n * DAY):%A}" for n in (0, 1))
    moved = other(live, lambda p: replace(p, tasks=tuple(_later(t, DAY) if t.id == task.id else t for t in p.tasks)))
    found = said(live, moved)
    assert f"Press {batch.count} × Bowl: {next_day} instead of {day}." in found
    assert found[-1] == "Nothing else changes."


def test_an_order_that_gets_late_comes_first(live: Live) -> None:
    order = live.plan.orders[0]
    was = f"{live.when(order.done):%A}"

    def late(plan: Plan) -> Plan:
        one = replace(order, done=order.done + DAY, late_min=300)
        return later("finish", DAY)(replace(plan, orders=(one,)))

    first = changes(live, other(live, late))[0]
    assert first.kind == "order_late" and first.things == (order.id,)
    assert first.text.startswith("The Ninth Heron, Bowl is done ") and was in first.text
    assert first.text.endswith("5 h late.")


def test_an_order_that_keeps_its_day_is_said_to_stay(live: Live) -> None:
    order = live.plan.orders[0]
    found = said(live, other(live, later("glaze", DAY)))
    assert any(t.startswith("The Ninth Heron, Bowl stays ") for t in found)
    one = replace(order, reckoned=True)
    found = said(live, other(live, lambda p: replace(p, orders=(one,))))
    assert found[0].startswith("The Ninth Heron, Bowl will not be finished in these weeks; it was to be done ")
    back = said(other(live, lambda p: replace(p, orders=(one,))), live)
    assert back[0].startswith("The Ninth Heron, Bowl will be finished after all, ")


def test_new_and_finished_orders_are_told(live: Live) -> None:
    without = other(live, lambda p: replace(p, orders=()))
    assert said(without, live)[0].startswith("The Ninth Heron, Bowl is new: done ")
    assert said(live, without)[0] == "The Ninth Heron, Bowl: nothing more to make."


def test_more_and_fewer_pieces(live: Live) -> None:
    fewer = other(
        live,
        lambda p: replace(
            p, tasks=tuple(t for t in p.tasks if t.kind != "press"),
            batches=tuple(replace(b, press=None) for b in p.batches),
        ),
    )  # fmt: skip
    day = f"{live.when(min(t.start for t in live.plan.tasks if t.kind == 'press')):%A}"
    assert any(t.startswith("Press ") and t.endswith(f"falls out on {day}.") for t in said(live, fewer))
    assert any(t.startswith("Press ") and t.endswith(f"more on {day}.") for t in said(fewer, live))


def test_firings_are_told_by_kiln_and_half_day(live: Live) -> None:
    def fire(*minutes: int) -> Live:
        pairs = zip(live.plan.firings, minutes, strict=True)
        return other(live, lambda p: replace(p, firings=tuple(replace(f, fire=m) for f, m in pairs)))

    found = changes(fire(600, 2030), fire(600 + DAY, 2400))
    bisque = "Kiln: bisque Tuesday evening instead of Monday evening."
    glost = "Kiln: glost Wednesday morning instead of Tuesday evening."
    assert [c.text for c in found if c.kind == "firing"] == [bisque, glost]
    found = changes(fire(600, 20_000), fire(600, 20_000 + DAY))
    assert [c.text for c in found if c.kind == "later_on"] == ["1 firing changes later on."]


def test_firings_may_fall_out_or_be_added(live: Live) -> None:
    live = other(live, lambda p: replace(p, firings=tuple(replace(f, fire=n) for n, f in enumerate(p.firings, 600))))
    gone = changes(live, other(live, lambda p: replace(p, firings=p.firings[:1])))
    assert [c.text.endswith("falls out.") for c in gone if c.kind == "firing"] == [True]
    more = changes(other(live, lambda p: replace(p, firings=p.firings[:1])), live)
    assert ["one more" in c.text for c in more if c.kind == "firing"] == [True]


def test_ware_that_cannot_be_saved_is_told(shop: Shop) -> None:
    shop.do("pressed", form=shop.ids["form"], count=3)
    shop.order(qty=10)
    live = shop.plan()
    ware = live.scenario.wip[0].id
    found = changes(live, other(live, lambda p: replace(p, spoiled=(ware,))))
    assert ("spoiled", "3 × Bowl cannot be saved in time.") in [(c.kind, c.text) for c in found]


def test_what_was_done_or_lay_before_the_new_plan_is_no_change(live: Live) -> None:
    press = {t.id for t in live.plan.tasks if t.kind == "press"}
    without = other(
        live,
        lambda p: replace(
            p, tasks=tuple(t for t in p.tasks if t.id not in press),
            batches=tuple(replace(b, press=None) for b in p.batches),
        ),
    )  # fmt: skip
    assert said(live, without, done=frozenset(press)) == ["Nothing changes."]


def test_moves_within_a_day_are_one_sentence(live: Live) -> None:
    morning = [t.id for t in live.plan.tasks if live.when(t.start).hour < 12]
    assert morning

    def to_afternoon(plan: Plan) -> Plan:
        return replace(plan, tasks=tuple(_later(t, 360) if t.id in morning else t for t in plan.tasks))

    found = changes(live, other(live, to_afternoon))
    assert [c.kind for c in found if c.kind == "within_days"] == ["within_days"]


def test_what_is_far_off_is_counted_not_told(live: Live) -> None:
    far = other(live, later("press", 9 * DAY))
    further = other(live, later("press", 16 * DAY))
    found = changes(far, further)
    n = pressed(live)
    assert [c.text for c in found if c.kind == "later_on"] == [f"Pressing: {n} pieces change their day."]
    assert not [c for c in found if c.kind == "moved"]


def test_many_orders_that_move_in_time_are_one_sentence(shop: Shop) -> None:
    for _n in range(4):
        shop.order(qty=2, days=20)
    live = shop.plan()
    moved = other(live, lambda p: replace(p, orders=tuple(replace(o, done=o.done - DAY) for o in p.orders)))
    assert "4 orders change their days and stay in time." in said(live, moved)
    assert "All orders keep their days." in said(live, other(live, later("glaze", DAY)))


def _order(live: Live, **changed: int) -> Live:
    return other(live, lambda p: replace(p, orders=tuple(replace(o, **changed) for o in p.orders)))


def test_an_order_that_becomes_late_on_its_own_day_does_not_keep_it(live: Live) -> None:
    late = _order(live, late_min=3 * DAY)
    texts = said(live, late)
    assert any("as before, which is 3 days late now" in t for t in texts)
    assert "All orders keep their days." not in texts
    assert "Nothing changes." not in texts
    assert not any(" stays " in t for t in texts)
    assert any("as before, which is in time now" in t for t in said(late, live))
