"""What is there of clay and plaster and what the plan still takes, as shopping and pugging reckon with it."""

from __future__ import annotations

import datetime as dt

import pytest

from planner.craft.needs import Kind, needs
from studio.models import ClayBody
from studio.queries.plans import current_plan
from studio.queries.stock import PLASTER, stock_of
from tests.services.shop import Shop

pytestmark = pytest.mark.django_db


def test_clay_and_plaster_by_what_the_plan_presses_and_pours(shop: Shop) -> None:
    shop.do("clay_in", clay_name="Grey", kg="40", how="pugged")
    shop.do("plaster_in", kg="25")
    shop.do("cast_save", form=shop.ids["form"], required=True)
    shop.order(qty=10)
    live = shop.plan()
    grey = ClayBody.objects.get(studio=shop.studio).public_id
    stock = stock_of(shop.studio, live, shop.state)
    pressed = sum(b.count for b in live.plan.batches if b.press)
    assert needs(stock.work) == {(Kind.CLAY, grey): pressed * 560}
    assert stock.there == {(Kind.CLAY, grey): 40_000, (Kind.PLASTER, PLASTER): 25_000}
    assert stock.unknown == ("Bowl",) and stock.names == {(Kind.CLAY, grey): "Grey"}
    shop.do("mould_mix", form=shop.ids["form"], ml=4229)
    stock = stock_of(shop.studio, live, shop.state)
    assert needs(stock.work)[Kind.PLASTER, PLASTER] == pytest.approx(4250, abs=5) and stock.unknown == ()


def test_what_is_done_or_later_is_not_needed(shop: Shop) -> None:
    shop.do("clay_in", clay_name="Grey", kg="40", how="pugged")
    shop.order(qty=20)
    live = shop.plan()
    starts = sorted((live.when(live.plan.task[b.press].start), b) for b in live.plan.batches if b.press)
    (first, batch), rest = starts[0], starts[1:]
    soon = stock_of(shop.studio, live, shop.state, first + dt.timedelta(minutes=1))
    assert [p.work.count for p in soon.planned if p.at == first] == [batch.count]  # type: ignore[union-attr]
    shop.do("task_done", task=batch.press)
    left = stock_of(shop.studio, current_plan(shop.studio), shop.state)
    assert len(left.planned) == len(rest)
    grey = ClayBody.objects.get(studio=shop.studio).public_id
    assert left.there[Kind.CLAY, grey] == 40_000 - batch.count * 560


def test_without_a_plan_nothing_is_needed_and_without_a_body_it_is_just_clay(shop: Shop) -> None:
    assert stock_of(shop.studio, None, shop.state).work == ()
    shop.order(qty=10)
    live = shop.plan()
    pressed = sum(b.count for b in live.plan.batches if b.press)
    assert needs(stock_of(shop.studio, live, shop.state).work) == {(Kind.CLAY, ""): pressed * 560}
