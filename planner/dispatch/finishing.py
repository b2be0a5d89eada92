"""Glazing lots and finishing orders, as pieces come out of the kilns."""

from __future__ import annotations

from planner.dispatch.facts import DAY
from planner.dispatch.pull import Pull
from planner.dispatch.shop import Shop, Slot, Stock
from planner.dispatch.to_come import Change, spare_pieces
from planner.plan import Finish, Lot, Part


def glaze_ware(shop: Shop, pull: Pull, day_start: int, day_end: int, urgent: bool) -> None:
    """Glaze what is bisqued and owed, the strongest pull a hand minute first, for starts before ``day_end``.

    ``urgent``: only what is late or due within the days that ``finish_ahead`` and the way ahead need.
    """
    facts = shop.facts
    wanted: list[tuple[float, int, int]] = []
    waiting = sum(c.left * facts.glost_share[c.form] for c in shop.coated if c.order is not None)
    room = pull.habits.glaze_ahead * max(1, len(facts.kilns)) - waiting
    for form, stocks in enumerate(shop.bisqued):
        have = _spare(shop.to_come.bisqued[form], stocks, day_end)
        if have <= 0:
            continue
        work = facts.forms[form].glaze
        for order, owed in pull.line_after(shop, form, 0):
            owed -= shop.to_come.glazed[order]
            n = max(0, min(owed, have))
            have -= n
            if n and n > owed * pull.habits.least_lot and not (urgent and _has_time(pull, form, order, day_start)):
                glaze = facts.glaze_of[facts.orders[order].glaze]
                value = n * pull.glaze(order, form, day_start)
                wanted.append((-value / (glaze.fixed + work.minutes(n)), order, n))
    for _, order, n in sorted(wanted):
        form = facts.order_form[order]
        share = facts.glost_share[form]
        if n * share > room:
            n = int(room / share)
        if n > 0:
            room -= share * glaze_lot(shop, order, n, day_start, day_end, pull.habits.extra == "all")


def _spare(coming: list[Change], stocks: list[Stock], day_end: int) -> int:
    """Pieces there before ``day_end`` that nothing to come will miss."""
    have = sum(s.left for s in stocks if s.at < day_end)
    return spare_pieces(coming, [(s.at, s.left) for s in stocks], have) if coming else have


def _has_time(pull: Pull, form: int, order: int, now: int) -> bool:
    facts = pull.facts
    ready = now + pull.habits.lead * facts.glost_time[form]
    return min(pull.due[order], facts.horizon) - ready > pull.habits.finish_ahead * DAY


def glaze_lot(shop: Shop, order: int, count: int, day_start: int, day_end: int, extra: bool) -> int:
    """Glaze up to ``count`` pieces of ``order`` in one lot that starts before ``day_end``; the pieces glazed."""
    facts = shop.facts
    form = facts.order_form[order]
    f = facts.forms[form]
    glaze = facts.glaze_of[facts.orders[order].glaze]
    at, have = _enough_at(shop.bisqued[form], count, day_start, day_end)
    count = min(count, have, shop.glazed.room(at) * f.boards.glazed)
    while count > 0:
        minutes = glaze.fixed + f.glaze.minutes(count)
        slot = shop.find("glaze", at, minutes, day_end - 1, extra)
        if slot is not None:
            book_lot(shop, order, count, slot, minutes)
            return count
        count = count * 2 // 3
    return 0


def _enough_at(stocks: list[Stock], count: int, day_start: int, day_end: int) -> tuple[int, int]:
    """(the first minute of the day at which ``count`` pieces are there, the pieces there by then)."""
    at, have = day_start, 0
    for s in sorted((s for s in stocks if s.left and s.at < day_end), key=lambda s: s.at):
        at = max(at, s.at)
        have += s.left
        if have >= count:
            break
    return at, have


def book_lot(
    shop: Shop, order: int, count: int, slot: Slot, minutes: int, name: str | None = None, task_id: str | None = None
) -> None:
    """Glaze ``count`` pieces of ``order`` at ``slot`` from the bisqued ware there by then."""
    facts = shop.facts
    form = facts.order_form[order]
    f, glaze = facts.forms[form], facts.orders[order].glaze
    task = shop.book("glaze", slot, minutes, task_id)
    parts = _draw(shop.bisqued[form], count, slot[0])
    name = name or shop.new_id("l")
    shop.lots.append(Lot(name, facts.orders[order].id, count, parts, task.id))
    shop.under_way[form] -= count
    shop.add_coated(name, form, count, task.end + f.glaze_dry, task.end, order, glaze)


def _draw(stocks: list[Stock], count: int, minute: int) -> tuple[Part, ...]:
    parts = []
    for s in sorted(stocks, key=lambda s: s.at):
        n = min(s.left, count)
        if n and s.at <= minute:
            s.left -= n
            count -= n
            parts.append(Part(s.id, n))
    stocks[:] = [s for s in stocks if s.left]
    return tuple(parts)


def finish_orders(shop: Shop, pull: Pull, day_start: int, day_end: int, urgent: bool) -> None:
    """Sort and pack what is fired and owed, the strongest pull a hand minute first, for starts before ``day_end``."""
    facts = shop.facts
    wanted: list[tuple[float, int]] = []
    for order, stocks in enumerate(shop.fired):
        if not stocks or _owed(shop, order) <= 0:
            continue
        at = min(s.at for s in stocks)
        if at >= day_end or (urgent and pull.due[order] - at > pull.habits.finish_ahead * DAY):
            continue
        work = facts.forms[facts.order_form[order]].finish
        owed = _owed(shop, order)
        wanted.append((-owed * pull.finish(order, day_start) / work.minutes(owed), order))
    for _, order in sorted(wanted):
        for stock in sorted(shop.fired[order], key=lambda s: s.at):
            if stock.at < day_end:
                finish_stock(shop, order, stock, day_start, day_end, pull.habits.extra == "all")
        shop.fired[order] = [s for s in shop.fired[order] if s.left]


def _owed(shop: Shop, order: int) -> int:
    """Pieces still to be sorted that nothing to come will sort."""
    return shop.to_finish[order] - shop.to_come.finished[order]


def finish_stock(shop: Shop, order: int, stock: Stock, day_start: int, day_end: int, extra: bool) -> None:
    """Finish what is owed from ``stock``, in as few tasks as the gaps allow."""
    facts = shop.facts
    work = facts.forms[facts.order_form[order]].finish
    lo = max(day_start, stock.at)
    spare = _spare(shop.to_come.fired[order], shop.fired[order], day_end)
    while (count := min(stock.left, _owed(shop, order), spare)) > 0:
        slot = shop.find("finish", lo, work.minutes(min(count, max(4, count // 3))), day_end - 1, extra)
        if slot is None:
            return
        minutes = work.minutes(count)
        open_for = _open_for(shop, slot, extra)
        if minutes > open_for:
            count = _pieces_in(open_for, work.fixed, work.each_s)
            minutes = work.minutes(count)
        book_finish(shop, order, stock, count, slot, minutes)
        spare -= count
        lo = slot[0]


def book_finish(
    shop: Shop,
    order: int,
    stock: Stock,
    count: int,
    slot: Slot,
    minutes: int,
    name: str | None = None,
    task_id: str | None = None,
) -> None:
    """Finish ``count`` pieces of ``order`` from ``stock`` at ``slot``."""
    task = shop.book("finish", slot, minutes, task_id)
    name = name or shop.new_id("n")
    shop.finishes.append(Finish(name, shop.facts.orders[order].id, stock.id, count, task.id))
    stock.left -= count
    shop.to_finish[order] -= count


def _open_for(shop: Shop, slot: Slot, extra: bool) -> int:
    start, person, station = slot
    end = (shop.hours if extra else shop.regular)[person].end_of(start)
    if station is not None:
        end = min(end, shop.stations[station].end_of(start))
    return end - start


def _pieces_in(minutes: int, fixed: int, each_s: int) -> int:
    """The most pieces whose work fits into ``minutes``."""
    return (minutes - fixed) * 60 // each_s if each_s else 1 << 20

