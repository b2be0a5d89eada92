"""Planned tasks recorded: as planned, with other counts, twice, and many at once."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest

from studio.models import Fact, Mould
from studio.queries.plans import Live
from studio.record.state import IN_MOULD, LEATHER
from tests.services.shop import Shop


@pytest.fixture
def live(shop: Shop) -> Live:
    """An order of ten bowls and the plan to make them in eight moulds."""
    shop.ids["line"] = shop.order(qty=10)
    return shop.plan()


def task(live: Live, kind: str, nth: int = 0) -> Any:
    found = sorted((t for t in live.plan.tasks if t.kind == kind), key=lambda t: t.start)
    return found[nth]


def batch_of(live: Live, task_id: str) -> Any:
    return next(b for b in live.plan.batches if task_id in (b.press, b.release, *b.steps))


def to(shop: Shop, live: Live, task: Any) -> str:
    """Go to the end of a task; its id."""
    shop.now = live.when(task.end)
    return task.id


def do_all(shop: Shop, live: Live, until: str) -> Any:
    """Record everything before the first task of the kind ``until`` as planned; that task."""
    for one in sorted(live.plan.tasks, key=lambda t: (t.end, t.start)):
        if one.kind == until:
            return one
        shop.do("task_done", task=to(shop, live, one))
        if one.kind == "load":
            light(shop, live, one)
    raise AssertionError(f"no {until} in the plan")


def light(shop: Shop, live: Live, load: Any) -> None:
    firing = next(f for f in live.plan.firings if f.load == load.id)
    shop.now = live.when(firing.fire)
    shop.do("lit", firing=firing.id)


def test_a_whole_plan_done_task_by_task_adds_up(shop: Shop, live: Live) -> None:
    for one in sorted(live.plan.tasks, key=lambda t: (t.end, t.start)):
        shop.do("task_done", task=to(shop, live, one))
        if one.kind == "load":
            light(shop, live, one)
    state = shop.state
    assert state.troubles == []
    assert state.twice == {}
    assert set(state.done_tasks) == {t.id for t in live.plan.tasks}
    owed = sum(f.count for f in live.plan.finishes)
    assert state.lines[shop.ids["line"]].firsts == owed >= 10


def test_pressing_ends_now_and_took_as_long_as_planned(shop: Shop, live: Live) -> None:
    press = task(live, "press")
    shop.now = live.when(press.end) + dt.timedelta(minutes=17)
    shop.do("task_done", task=press.id)
    data = Fact.objects.get(kind="pressed").data
    now = int(shop.now.timestamp() // 60)
    batch = batch_of(live, press.id)
    form = live.scenario.form[batch.form]
    assert (data["started"], data["ended"]) == (now - (press.end - press.start), now)
    # first piece: set-up, then one piece's seconds, rounded up to the minute
    setup = press.end - press.start - form.press.minutes(batch.count)
    assert data["first"] == data["started"] + setup - (-form.press.each_s // 60)
    assert sorted(data["moulds"]) == sorted(batch.moulds)
    assert data["station"] == press.station


def test_a_cracked_mould_of_the_plan_is_replaced_by_the_least_used_ready_one(shop: Shop) -> None:
    shop.ids["line"] = shop.order(qty=4)
    live = shop.plan()
    press = task(live, "press")
    planned = batch_of(live, press.id).moulds
    shop.do("mould_cracked", mould=planned[0], replan=False)
    spare = Mould.objects.filter(form__public_id=shop.ids["form"]).exclude(public_id__in=planned).order_by("number")
    shop.do("task_done", task=to(shop, live, press))
    assert set(Fact.objects.get(kind="pressed").data["moulds"]) == {*planned[1:], spare[0].public_id}


def test_more_than_there_are_moulds_is_asked_again(shop: Shop, live: Live) -> None:
    answer = shop.refused(422, "task_done", task=to(shop, live, task(live, "press")), count=40)
    assert "8 moulds" in answer.message


def test_fewer_without_a_word_on_the_rest_is_asked(shop: Shop, live: Live) -> None:
    release = do_all(shop, live, "release")
    n = batch_of(live, release.id).count
    answer = shop.refused(422, "task_done", task=to(shop, live, release), count=n - 2)
    assert answer.data == {"ask": "rest", "count": n - 2, "there": n, "missing": 2}
    assert "rest" in answer.errors


def test_the_rest_still_to_do_is_a_batch_of_its_own(shop: Shop, live: Live) -> None:
    release = do_all(shop, live, "release")
    batch = batch_of(live, release.id)
    shop.do("task_done", task=to(shop, live, release), count=batch.count - 2, rest="to_do")
    stages = sorted((w.stage, w.count) for w in shop.state.ware.values() if batch.id in (w.id, w.parent))
    assert stages == [(IN_MOULD, 2), (LEATHER, batch.count - 2)]
    left = next(w for w in shop.state.ware.values() if w.parent == batch.id)
    assert shop.do("taken_out", batch=left.id).ok


def test_the_rest_lost_is_written_off(shop: Shop, live: Live) -> None:
    release = do_all(shop, live, "release")
    batch = batch_of(live, release.id)
    shop.do("task_done", task=to(shop, live, release), count=batch.count - 3, rest="lost", why="stuck")
    assert shop.state.ware[batch.id].count == batch.count - 3
    assert shop.state.lost == {f"{batch.form}/{IN_MOULD}": 3}


def test_a_second_person_is_told_who_was_first_and_changes_nothing(shop: Shop, live: Live) -> None:
    maker = shop.maker()
    shop.do("member_save", member=shop.member(shop.owner).public_id, version=1, role="owner", person=shop.ids["person"])
    press = task(live, "press")
    shop.do("task_done", task=to(shop, live, press))
    before = shop.state.ware
    shop.later(minutes=4)
    answer = shop.do("task_done", by=maker, task=press.id)
    assert "Odd recorded this already" in answer.message
    assert shop.state.ware == before
    assert Fact.objects.filter(kind="pressed").count() == 2  # kept, and marked
    assert set(shop.state.twice) == set(answer.data["facts"])


def test_losses_of_a_second_entry_are_not_taken_twice(shop: Shop, live: Live) -> None:
    press = task(live, "press")
    said = {"count": 5, "rest": "lost"}
    shop.do("task_done", task=to(shop, live, press), **said)
    lost, count = dict(shop.state.lost), next(iter(shop.state.ware.values())).count
    shop.do("task_done", task=press.id, **said)
    assert (shop.state.lost, next(iter(shop.state.ware.values())).count) == (lost, count)
    assert shop.do("task_done", task=press.id, count=1).data["twice"]  # and nothing is asked


def test_a_task_of_the_plan_before_is_still_known(shop: Shop, live: Live) -> None:
    press = task(live, "press")
    shop.now = live.when(press.end)
    shop.order(qty=3)
    newer = shop.plan()
    assert newer.row.pk != live.row.pk
    assert shop.do("task_done", task=press.id).ok


def test_a_task_that_never_was_is_not_found(shop: Shop, live: Live) -> None:
    shop.refused(404, "task_done", task="nothing")


def test_what_is_packed_is_what_is_there(shop: Shop, live: Live) -> None:
    load = do_all(shop, live, "load")
    batch = max((w for w in shop.state.ware.values()), key=lambda w: w.count)
    shop.do("pots_lost", ware=batch.id, count=1, why="warp")
    there = sum(w.count for w in shop.state.ware.values())
    shop.do("task_done", task=to(shop, live, load))
    assert sum(p["count"] for p in Fact.objects.get(kind="packed").data["pieces"]) == there
    assert shop.state.troubles == []


def test_losses_in_the_kiln_are_told_by_ware(shop: Shop, live: Live) -> None:
    unload = do_all(shop, live, "unload")
    firing = next(f for f in shop.state.firings.values() if f.drawn is None)
    ware = next(iter(firing.pieces))
    shop.do("task_done", task=to(shop, live, unload), why="dunted", **{f"lost:{ware}": "2"})
    assert Fact.objects.get(kind="drawn").data["lost"] == [{"batch": ware, "count": 2, "why": "dunted"}]
    assert shop.state.troubles == []


def test_which_ones_are_lost_is_asked_where_several_wares_were_in_the_kiln(shop: Shop, live: Live) -> None:
    unload = do_all(shop, live, "unload")
    there = next(f for f in shop.state.firings.values() if f.drawn is None).pieces
    assert len(there) > 1  # ten bowls, eight moulds: two batches
    answer = shop.refused(422, "task_done", task=to(shop, live, unload), lost=1)
    assert answer.data["ask"] == "lost_of"
    assert answer.data["wares"] == there


def test_seconds_go_to_stock(shop: Shop, live: Live) -> None:
    finish = do_all(shop, live, "finish")
    n = next(f.count for f in live.plan.finishes if f.task == finish.id)
    shop.do("task_done", task=to(shop, live, finish), count=n - 3, seconds=2, rest="lost", why="crawling")
    tally = shop.state.lines[shop.ids["line"]]
    assert (tally.firsts, tally.seconds, tally.lost) == (n - 3, 2, 1)
    assert shop.state.stock[f"{shop.ids['form']}/{shop.ids['glaze']}"].seconds == 2


def test_glazed_for_a_cancelled_order_it_is_stock(shop: Shop, live: Live) -> None:
    glaze = do_all(shop, live, "glaze")
    shop.do("order_cancel", order=shop.ids["order"], version=1)
    shop.do("task_done", task=to(shop, live, glaze))
    assert Fact.objects.get(kind="glazed").data["order"] is None


def test_done_up_to_marks_a_list_with_one_undo(shop: Shop, live: Live) -> None:
    first = sorted(live.plan.tasks, key=lambda t: (t.end, t.start))[:4]
    shop.now = live.when(first[-1].end) + dt.timedelta(minutes=5)
    answer = shop.do("done_up_to", tasks=[t.id for t in reversed(first)])
    assert answer.data["tasks"] == [t.id for t in first]
    assert set(shop.state.done_tasks) == {t.id for t in first}
    assert shop.state.troubles == []
    shop.do("undo", command=answer.undo)
    assert shop.state.done_tasks == {}
    assert shop.state.ware == {}


def test_done_up_to_takes_the_planned_times_of_what_is_past(shop: Shop, live: Live) -> None:
    press = task(live, "press")
    shop.now = live.when(press.end) + dt.timedelta(hours=2)
    shop.do("done_up_to", tasks=[press.id])
    assert Fact.objects.get(kind="pressed").data["ended"] == int(live.when(press.end).timestamp() // 60)


def test_done_up_to_leaves_alone_what_somebody_recorded_already(shop: Shop, live: Live) -> None:
    press = task(live, "press")
    shop.do("task_done", task=to(shop, live, press), count=2, rest="to_do")
    assert shop.do("done_up_to", tasks=[press.id]).message == "All of this is recorded already."
    assert next(iter(shop.state.ware.values())).count == 2


def test_a_form_without_script_sends_one_task_as_a_text(shop: Shop, live: Live) -> None:
    press = task(live, "press")
    shop.now = live.when(press.end)
    assert shop.do("done_up_to", tasks=press.id).data["tasks"] == [press.id]


def test_a_list_that_cannot_be_marked_says_which_task_it_is(shop: Shop, live: Live) -> None:
    ordered = sorted(live.plan.tasks, key=lambda t: (t.end, t.start))
    press = task(live, "press")
    n = batch_of(live, press.id).count
    for _ in range(8 - n + 1):
        shop.do("mould_cracked", form=shop.ids["form"], replan=False)
    before = Fact.objects.count()
    shop.now = live.when(press.end)
    answer = shop.refused(422, "done_up_to", tasks=[t.id for t in ordered[: ordered.index(press) + 1]])
    assert f"“Press {n} × Bowl” cannot be marked" in answer.message
    assert f"There are only {n - 1} moulds" in answer.message
    assert answer.data["task"] == press.id
    assert Fact.objects.count() == before


@pytest.mark.parametrize("kind", ["press", "release", "load", "unload", "glaze", "finish"])
def test_a_task_is_called_in_a_refusal_as_it_is_on_the_page(shop: Shop, live: Live, kind: str) -> None:
    from studio.queries.cards import names_of
    from studio.queries.deck import Deck
    from studio.services.planned import find_task, title

    shown = {c.id: c.title for c in Deck(live, shop.state, names_of(shop.studio)).cards(last=live.when(30 * 1440))}
    one = find_task(shop.studio, task(live, kind).id)
    assert one is not None
    assert title(one) == shown[one.task.id]
