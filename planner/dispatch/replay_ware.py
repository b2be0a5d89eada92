"""Lots and finishes of the plan before, made again from the ware that is there."""

from __future__ import annotations

from planner.dispatch.finishing import book_finish, book_lot
from planner.dispatch.kept import Kept, at_same
from planner.dispatch.shop import Shop, Slot, Stock
from planner.plan import Finish, Lot

LATER = 2880


def replay_lot(shop: Shop, kept: Kept, lot: Lot) -> None:
    """Glaze the lot again with the bisqued ware there is, at the same minute or up to two days later."""
    facts = shop.facts
    order, task = facts.order_at.get(lot.order), kept.task(lot.glaze, "glaze")
    if order is None or task is None:
        return
    form = facts.order_form[order]
    stocks = shop.bisqued[form]
    want = min(lot.count, shop.to_glaze[order])
    at = _when(stocks, want, task.start)
    have = sum(s.left for s in stocks if s.at <= at)
    f = facts.forms[form]
    want = min(want, have, shop.glazed.room(at) * f.boards.glazed)
    if want < 1:
        return
    minutes = facts.glaze_of[facts.orders[order].glaze].fixed + f.glaze.minutes(want)
    slot: Slot | None = at_same(shop, task, minutes) if at <= task.start else None
    slot = slot or shop.find("glaze", max(at, task.start), minutes, task.start + LATER)
    if slot is not None:
        book_lot(shop, order, want, slot, minutes, lot.id, task.id)


def replay_finish(shop: Shop, kept: Kept, finish: Finish) -> None:
    """Finish the pieces again, from the same firing or another that holds the order's pieces."""
    facts = shop.facts
    order, task = facts.order_at.get(finish.order), kept.task(finish.task, "finish")
    if order is None or task is None or shop.to_finish[order] < 1:
        return
    work = facts.forms[facts.order_form[order]].finish
    stocks = sorted(shop.fired[order], key=lambda s: (s.at > task.start, s.id != finish.source, s.at))
    for stock in stocks:
        count = min(finish.count, stock.left, shop.to_finish[order])
        if count < 1:
            continue
        minutes = work.minutes(count)
        slot = at_same(shop, task, minutes, stock.at)
        slot = slot or shop.find("finish", max(stock.at, task.start), minutes, task.start + LATER)
        if slot is not None:
            book_finish(shop, order, stock, count, slot, minutes, finish.id, task.id)
            shop.fired[order] = [s for s in shop.fired[order] if s.left]
            return


def _when(stocks: list[Stock], want: int, start: int) -> int:
    """``start``, or the minute at which something is there at all."""
    if any(s.at <= start for s in stocks):
        return start
    return min((s.at for s in stocks), default=start)
