"""Work in progress as the planner is told of it: windows, people's words, and nothing given up by the clock."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest

from planner.dispatch import first_plan
from planner.scenario import Drying, Glazed, InKiln, InMould, Released, Wip
from studio.models import Form, FormTimings, Kiln, Mould
from studio.queries.past import latest_of
from studio.translate import Made, scenario_at
from studio.translate.rows import Rows
from tests.services.shop import Shop


def made(shop: Shop) -> Made:
    shop.studio.refresh_from_db()
    return scenario_at(shop.studio, shop.now)


def only(shop: Shop) -> Any:
    wip: tuple[Wip, ...] = made(shop).scenario.wip
    assert len(wip) == 1, wip
    return wip[0]


def press(shop: Shop, count: int = 4, **more: Any) -> str:
    batch: str = shop.do("pressed", form=shop.ids["form"], count=count, **more).data["batch"]
    return batch


def form(shop: Shop) -> Any:
    return made(shop).scenario.form[shop.ids["form"]]


def test_a_filled_mould_is_told_with_its_moulds(shop: Shop) -> None:
    batch = press(shop)
    scenario, ware = made(shop).scenario, only(shop)
    assert isinstance(ware, InMould) and (ware.id, ware.count, ware.until) == (batch, 4, None)
    assert ware.pressed == (-14, 0) and ware.first == -10  # 4 bowls of 210 s, the first after 4 minutes
    assert all(scenario.mould[m].ready is None and scenario.mould[m].uses_left == 89 for m in ware.moulds)
    assert sum(m.ready is not None for m in scenario.moulds) == 4


def test_a_mould_rests_after_it_was_emptied_and_longer_in_a_damp_week(shop: Shop) -> None:
    batch = press(shop)
    shop.later(hours=8)
    shop.do("taken_out", batch=batch)
    used = set(shop.state.moulds)
    rest = {m.ready for m in made(shop).scenario.moulds if m.id in used}
    assert rest == {14 * 60}  # a bowl's mould, common practice
    shop.do("week_set", week="damp")
    assert {m.ready for m in made(shop).scenario.moulds if m.id in used} == {28 * 60}


def test_worn_and_cracked_moulds_are_not_told_unless_filled(shop: Shop) -> None:
    moulds = list(Mould.objects.filter(studio=shop.studio).order_by("number"))
    batch = press(shop, moulds=[moulds[0].public_id, moulds[1].public_id], count=2)
    shop.do("mould_cracked", mould=moulds[0].public_id, piece_lost=False)
    shop.do("mould_cracked", mould=moulds[2].public_id)
    Mould.objects.filter(pk=moulds[3].pk).update(uses_before=90)
    told = {m.id: m for m in made(shop).scenario.moulds}
    assert told[moulds[0].public_id].uses_left == 0 and told[moulds[0].public_id].ready is None
    assert moulds[2].public_id not in told and moulds[3].public_id not in told
    shop.later(hours=8)
    shop.do("taken_out", batch=batch)
    assert moulds[0].public_id not in {m.id for m in made(shop).scenario.moulds}


def test_too_soft_moves_the_window_to_when_it_is_asked_again(shop: Shop) -> None:
    batch = press(shop)
    lo, hi = form(shop).release_after
    shop.later(minutes=lo + 20)
    shop.do("too_soft", batch=batch, minutes=60)
    ware = only(shop)
    assert form(shop).release_after.lo > lo  # learned from that word
    lo, hi = form(shop).release_after
    assert 60 <= ware.pressed.b + lo <= 90
    assert ware.first == ware.pressed.b - 10 and ware.first + hi > 60  # the latest moves by as much as the earliest


def test_still_good_is_the_persons_word(shop: Shop) -> None:
    batch = press(shop)
    shop.later(hours=3)
    shop.do("still_good", batch=batch, until=(shop.now + dt.timedelta(hours=30)).isoformat())
    assert only(shop).until == 30 * 60


def test_ware_past_its_time_is_asked_about_and_planned_at_the_next_chance(shop: Shop) -> None:
    batch = press(shop)  # Monday 08:00; a bowl in an open mould is out within 12 hours
    shop.later(hours=23)  # Tuesday 07:00
    told = made(shop)
    assert told.asks == (batch,) and told.scenario.wip[0].until == 10 * 60  # Tuesday 17:00, the end of that day's work
    plan = first_plan(told.scenario)
    assert plan is not None and plan.spoiled == ()


def test_nothing_is_asked_while_there_is_time(shop: Shop) -> None:
    press(shop)
    shop.later(hours=7)
    assert made(shop).asks == () and only(shop).until is None


def test_leather_hard_ware_waits_for_its_work_and_then_dries(shop: Shop) -> None:
    batch = press(shop)
    shop.later(hours=8)
    shop.do("taken_out", batch=batch, wrapped=True)
    ware = only(shop)
    assert isinstance(ware, Released) and (ware.covered, ware.steps_done) == (True, 0) and ware.released == (-2, 0)
    shop.later(minutes=40)
    step = form(shop).steps[0].kind
    shop.do("step_done", batch=batch, step=step)
    ware = only(shop)
    assert isinstance(ware, Drying) and ware.dry_at == 36 * 60  # a bowl in ordinary weather, common practice
    shop.do("week_set", week="damp")
    assert only(shop).dry_at == 72 * 60


def test_a_step_added_today_is_not_asked_of_ware_pressed_before(shop: Shop) -> None:
    batch = press(shop)
    shop.later(hours=8)
    shop.do("taken_out", batch=batch)
    first = form(shop).steps[0].kind
    work = {"fixed": 0, "each_s": 60, "after": [0, 480], "after_covered": [0, 4320]}
    steps = [{"kind": first, **work}, {"kind": "stamp", **work}]
    row = Form.objects.get(studio=shop.studio)
    shop.do("form_change", form=row.public_id, version=row.version, steps=steps)
    shop.do("step_done", batch=batch, step=first)
    assert isinstance(only(shop), Drying)
    press(shop, count=2)
    assert [s.kind for s in form(shop).steps] == [first, "stamp"]


def test_a_packed_kiln_that_is_not_lit_opens_as_if_lit_at_the_first_start(shop: Shop) -> None:
    _pack(shop)
    scenario, ware = made(shop).scenario, only(shop)
    assert isinstance(ware, InKiln) and ware.fired_stage == "bisque" and ware.opens == 600 + 900
    assert scenario.kilns[0].free_at is None
    shop.later(minutes=120)
    assert only(shop).opens == 600 + 900  # still not lit
    shop.do("lit", firing=next(iter(shop.state.firings)))
    shop.later(minutes=100)
    assert only(shop).opens == 600 + 900 - 100


def test_a_packed_kiln_waits_for_the_hours_in_which_it_may_be_lit(shop: Shop) -> None:
    row = Kiln.objects.get(studio=shop.studio)
    nights = [{"weekday": d, "starts": "21:00", "ends": "23:00"} for d in range(7)]
    shop.do("kiln_save", **{**shop.kiln(), "kiln": row.public_id, "version": row.version, "start_spans": nights})
    _pack(shop)
    assert only(shop).opens == 13 * 60 + 600 + 900  # from Monday 08:00 to 21:00


def test_a_kiln_out_of_order_is_closed_but_what_it_holds_is_still_told(shop: Shop) -> None:
    _pack(shop)
    shop.do("kiln_out", kiln=shop.ids["kiln"], until=(shop.now + dt.timedelta(days=2)).isoformat())
    kiln = made(shop).scenario.kilns[0]
    assert kiln.closed == ((0, 2 * 1440),) and kiln.free_at is None
    shop.do("kiln_out", kiln=shop.ids["kiln"])
    assert made(shop).scenario.kilns[0].closed == ((0, made(shop).scenario.horizon),)
    shop.do("kiln_back", kiln=shop.ids["kiln"])
    assert made(shop).scenario.kilns[0].closed == ()


def test_a_kiln_all_of_whose_ware_was_lost_is_free_when_it_would_be_opened(shop: Shop) -> None:
    ware = _pack(shop)
    shop.do("pots_lost", ware=ware, count=6, where="kiln", why="")
    scenario = made(shop).scenario
    assert scenario.wip == () and scenario.kilns[0].free_at == 600 + 900


def _pack(shop: Shop) -> str:
    ware: str = shop.do("opening_ware", form=shop.ids["form"], count=6, stage="leather").data["ware"]
    shop.do("packed", kiln=shop.ids["kiln"], program=shop.ids["bisque"], pieces=[{"batch": ware, "count": 6}])
    return ware


def test_glazed_ware_may_be_packed_when_its_glaze_is_dry(shop: Shop) -> None:
    shop.do("opening_ware", form=shop.ids["form"], count=6, stage="glazed", glaze=shop.ids["glaze"])
    ware = only(shop)
    assert isinstance(ware, Glazed) and ware.at == form(shop).glaze_dry and ware.order is None


def test_ware_of_a_cancelled_order_is_for_stock(shop: Shop) -> None:
    line = shop.order(qty=5)
    shop.do("opening_ware", form=shop.ids["form"], count=6, stage="glazed", order=line)
    assert only(shop).order == line
    shop.do("order_cancel", order=shop.ids["order"], version=1)
    assert only(shop).order is None and made(shop).scenario.orders == ()


COVERS = [(True, True), (True, False), (False, True), (False, False)]  # said covered; figures for it


@pytest.mark.parametrize("soft", [False, True])
@pytest.mark.parametrize(("covered", "known"), COVERS)
def test_pages_and_planner_know_one_latest_minute_for_a_filled_mould(
    shop: Shop, covered: bool, known: bool, soft: bool
) -> None:
    if not known:
        FormTimings.objects.update(release_after_covered=None)
    press(shop, covered=False)
    ware = next(iter(shop.state.ware.values()))
    if covered:
        shop.do("wrap", batches=[ware.id])
    if soft:
        shop.later(hours=8)
        shop.do("too_soft", batch=ware.id, minutes=600)
    told, of = only(shop), form(shop)
    window = of.release_after_covered if told.covered else of.release_after
    assert told.covered is (covered and known)
    assert latest_here(shop) == told.first + window.hi


@pytest.mark.parametrize("soft", [False, True])
@pytest.mark.parametrize(("wrapped", "known"), COVERS)
def test_pages_and_planner_know_one_latest_minute_for_leather_hard_ware(
    shop: Shop, wrapped: bool, known: bool, soft: bool
) -> None:
    """Two steps; wrapped counts as open where only the first of them has figures for it."""
    first = {"kind": "turn", "fixed": 5, "each_s": 90, "after": [0, 360], "after_covered": [0, 1200]}
    FormTimings.objects.update(steps=[first, {**first, "kind": "join", "after_covered": [0, 1300] if known else None}])
    batch = press(shop)
    shop.later(hours=8)
    shop.do("taken_out", batch=batch, wrapped=wrapped)
    if soft:
        shop.later(hours=1)
        shop.do("too_soft", batch=batch, minutes=120)
    told = only(shop)
    assert isinstance(told, Released) and told.covered is (wrapped and known)
    step = form(shop).steps[0]
    window = step.after_covered if told.covered else step.after
    assert latest_here(shop) == told.released.a + window.hi


def latest_here(shop: Shop) -> int | None:
    """The pages' latest minute of the only ware, counted from now."""
    ware = next(iter(shop.state.ware.values()))
    latest = latest_of(ware, form(shop), Rows(shop.studio))
    return None if latest is None else latest - int(shop.now.timestamp()) // 60
