"""What becomes of orders, and of ware that cannot be saved."""

from __future__ import annotations

from collections.abc import Iterator

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from planner.plan import OrderDone
from studio import words
from studio.changes.said import Both, Change
from studio.queries.sides import Side

FEW = 3  # orders are named up to so many, beyond that they are counted


def orders(both: Both) -> Iterator[Change]:
    """Late ones first, then better ones, new and finished ones, those that move in time, those that stay."""
    old, new = both.old.order_done(), both.new.order_done()
    known = [i for i in new if i in old]
    told = [change for i in known if (change := _order(both, old[i], new[i])) is not None]
    yield from sorted((c for c in told if c.kind != "moved"), key=lambda c: c.kind != "order_late")
    for order_id in [i for i in new if i not in old]:
        yield Change("order_new", _new(both, new[order_id]), (order_id,))
    for order_id in [i for i in old if i not in new]:
        text = _("%(order)s: nothing more to make.") % {"order": who(both.old, order_id)}
        yield Change("order_gone", text, (order_id,))
    yield from _in_time([c for c in told if c.kind == "moved"])
    changed = {thing for c in told for thing in c.things}
    yield from _stays(both, [i for i in known if i not in changed], known)


def who(side: Side, order_id: str) -> str:
    """Whose order it is, and of what."""
    order = side.live.scenario.order.get(order_id)
    if order is None:
        return order_id
    form = side.form(order.form)
    return f"{order.name}, {form}" if order.name else form


def _new(both: Both, now: OrderDone) -> str:
    name = who(both.new, now.id)
    if now.reckoned:
        return _("%(order)s is new; it will not be finished in these weeks.") % {"order": name}
    return _("%(order)s is new: done %(day)s.") % {"order": name, "day": both.day(both.new.date(now.done))}


def _order(both: Both, was: OrderDone, now: OrderDone) -> Change | None:
    """What is to be said of an order in both plans; None if its day stays."""
    old_day, new_day = both.old.date(was.done), both.new.date(now.done)
    said = {"order": who(both.new, now.id), "old": both.day(old_day), "new": both.day(new_day)}
    if was.reckoned and now.reckoned:
        return None
    if was.reckoned:
        return Change("order_better", _("%(order)s will be finished after all, %(new)s.") % said, (now.id,))
    if now.reckoned:
        text = _("%(order)s will not be finished in these weeks; it was to be done %(old)s.")
        return Change("order_late", text % said, (now.id,))
    if old_day == new_day:
        return _same_day(was, now, said)
    if now.late_min > 0:
        text = _("%(order)s is done %(new)s instead of %(old)s, %(late)s late.")
        kind = "order_better" if new_day < old_day else "order_late"
        return Change(kind, text % {**said, "late": words.span(now.late_min)}, (now.id,))
    text = _("%(order)s is done %(new)s instead of %(old)s, in time.")
    return Change("order_better" if was.late_min > 0 else "moved", text % said, (now.id,))


def _same_day(was: OrderDone, now: OrderDone, said: dict[str, str]) -> Change | None:
    """An order is done on the day it was to be, yet that is late now, or no more: its own day, or the hour, moved."""
    if (was.late_min > 0) == (now.late_min > 0):
        return None
    if now.late_min > 0:
        text = _("%(order)s is done %(new)s as before, which is %(late)s late now.")
        return Change("order_late", text % {**said, "late": words.span(now.late_min)}, (now.id,))
    return Change("order_better", _("%(order)s is done %(new)s as before, which is in time now.") % said, (now.id,))


def _in_time(moved: list[Change]) -> Iterator[Change]:
    if len(moved) <= FEW:
        yield from moved
        return
    n = len(moved)
    text = ngettext(
        "%(n)d order changes its day and stays in time.", "%(n)d orders change their days and stay in time.", n
    )
    yield Change("moved", text % {"n": n}, tuple(thing for c in moved for thing in c.things))


def _stays(both: Both, stays: list[str], known: list[str]) -> Iterator[Change]:
    """By name where they are few, else all together."""
    if len(stays) > FEW:
        all_ = len(stays) == len(known)
        text = _("All orders keep their days.") if all_ else _("All other orders keep their days.")
        yield Change("order_stays", text, tuple(stays))
        return
    done = both.new.order_done()
    for order_id in stays:
        if not done[order_id].reckoned:
            said = {"order": who(both.new, order_id), "day": both.day(both.new.date(done[order_id].done))}
            yield Change("order_stays", _("%(order)s stays %(day)s.") % said, (order_id,))


def spoiled(both: Both) -> Iterator[Change]:
    """What the new plan gives up and the old one did not."""
    given_up = set(both.old.live.plan.spoiled)
    for thing in both.new.live.plan.spoiled:
        if thing in given_up:
            continue
        ware = both.new.live.scenario.ware.get(thing)
        if ware is None:
            yield Change("spoiled", _("A poured mould is given up."), (thing,))
        else:
            said = {"n": ware.count, "form": both.new.form(ware.form)}
            yield Change("spoiled", _("%(n)d × %(form)s cannot be saved in time.") % said, (thing,))
