"""A line of an order: planned to be surer of its day, and had again after it was cancelled."""

from __future__ import annotations

from studio.models import OrderLine, PlanRun
from studio.translate import scenario_at
from studio.translate.looking import look_at
from tests.services.shop import Shop

DAY = 1440


def version(line: str) -> int:
    return OrderLine.objects.get(public_id=line).version


def surer(shop: Shop, line: str, days: int = 0, pieces: int = 0) -> str | None:
    return shop.do("line_sure", line=line, version=version(line), days=days, pieces=pieces).go


def test_the_next_plan_has_it_so_many_days_earlier_and_so_many_pieces_more(shop: Shop) -> None:
    line = shop.order(qty=10, days=11)  # a Friday
    before = scenario_at(shop.studio, shop.now).scenario.order[line]
    surer(shop, line, days=3, pieces=4)  # Tuesday
    after = scenario_at(shop.studio, shop.now)
    assert after.scenario.order[line].qty == before.qty + 4
    assert before.due - after.scenario.order[line].due == after.margins[line] == 3 * DAY
    assert after.firsts[line] == 10
    surer(shop, line)
    assert scenario_at(shop.studio, shop.now).scenario.order[line] == before


def test_a_plan_made_for_it_is_late_only_past_the_promised_day(shop: Shop) -> None:
    line = shop.order(qty=10, days=15)
    promised = scenario_at(shop.studio, shop.now).scenario.order[line].due
    usual = shop.plan()
    surer(shop, line, days=14)  # no pot is made by tomorrow
    live = shop.plan()
    assert live.row.plan["orders"][0]["late_min"] > 0
    assert live.scenario.order[line].due == promised
    assert [o.late_min for o in live.plan.orders if o.id == line] == [0]
    assert usual.plan.orders[0].late_min == 0
    seen = look_at(shop.studio, live.row, shop.now)
    assert seen is not None and seen.scenario.order[line].due == promised


def test_pieces_to_be_sure_take_what_stands_there_first_and_none_is_pressed_too_late(shop: Shop) -> None:
    line = shop.order(qty=10, days=5)
    surer(shop, line, pieces=4)
    few = scenario_at(shop.studio, shop.now).scenario.order[line].qty
    shop.do("opening_ware", form=shop.ids["form"], count=30, stage="bisqued")
    assert few == 11  # ten firsts by the usual losses; clay takes longer than five days
    assert scenario_at(shop.studio, shop.now).scenario.order[line].qty == few + 4


def test_a_new_plan_is_asked_for_where_one_is_in_use(shop: Shop) -> None:
    line = shop.order(qty=10, days=15)
    shop.plan()
    go = surer(shop, line, days=1)
    assert go is not None and f"run={PlanRun.objects.get(studio=shop.studio).public_id}" in go


def test_it_is_refused_for_a_stale_page_too_many_days_and_what_is_over(shop: Shop) -> None:
    line = shop.order(qty=10, days=15)
    shop.refused(409, "line_sure", line=line, version=7, days=1, pieces=0)
    shop.refused(422, "line_sure", line=line, version=1, days=99, pieces=0)
    shop.do("order_cancel", order=shop.ids["order"], version=1)
    shop.refused(422, "line_sure", line=line, version=1, days=1, pieces=0)


def test_a_cancelled_line_stands_again(shop: Shop) -> None:
    line = shop.order(qty=10, days=15)
    shop.do("line_add", order=shop.ids["order"], version=1, form=shop.ids["form"], glaze=shop.ids["glaze"], qty=3)
    shop.do("line_cancel", line=line, version=1)
    assert line not in scenario_at(shop.studio, shop.now).scenario.order
    shop.refused(409, "line_restore", line=line, version=1)
    shop.do("line_restore", line=line, version=2)
    assert line in scenario_at(shop.studio, shop.now).scenario.order
    shop.do("order_cancel", order=shop.ids["order"], version=2)
    shop.refused(422, "line_restore", line=line, version=3)
