"""The first plan has nothing to be held against: what it does in short, so that it is seen before it is used."""

from __future__ import annotations

from collections.abc import Iterator

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from studio.changes.orders import who
from studio.changes.said import Both, Change
from studio.queries.plans import Live
from studio.queries.sides import Side

MOST = 6  # orders are named up to so many, the first to be ready first


def first(after: Live) -> list[Change]:
    """That it is the first one, what is late; when the pressing and the firing begin; when orders are ready."""
    side = Side(after, frozenset(), after.start)
    both = Both(side, side)
    return [_late(after), *_pressing(both), *_firing(both), *_ready(both)]


def _late(after: Live) -> Change:
    late = [o for o in after.plan.orders if o.late_min > 0]
    text = _("This is the first plan.")
    if late:
        n = len(late)
        text += " " + ngettext("%(n)d order will be late.", "%(n)d orders will be late.", n) % {"n": n}
    return Change("first", text, tuple(o.id for o in late))


def _pressing(both: Both) -> Iterator[Change]:
    new = [b for b in both.new.live.plan.batches if b.press]
    if not new:
        return
    start = min(both.new.live.plan.task[b.press or ""].start for b in new)
    n = sum(b.count for b in new)
    text = ngettext("%(n)d piece is pressed, from %(when)s on.", "%(n)d pieces are pressed, from %(when)s on.", n)
    yield Change("first", text % {"n": n, "when": both.half(both.new.half(start))}, tuple(b.id for b in new))


def _firing(both: Both) -> Iterator[Change]:
    lit = [f for f in both.new.live.plan.firings if f.load and f.fire is not None]
    if not lit:
        return
    start = min(f.fire or 0 for f in lit)
    text = ngettext("%(n)d firing, %(when)s.", "%(n)d firings, the first %(when)s.", len(lit))
    yield Change("first", text % {"n": len(lit), "when": both.half(both.new.half(start))}, tuple(f.id for f in lit))


def _ready(both: Both) -> Iterator[Change]:
    done = sorted(both.new.live.plan.orders, key=lambda o: (o.reckoned, o.done))
    for order in done[:MOST]:
        said = {"order": who(both.new, order.id), "day": both.day(both.new.date(order.done))}
        text = _("%(order)s: not finished in these weeks.") if order.reckoned else _("%(order)s: ready %(day)s.")
        yield Change("first", text % said, (order.id,))
    more = done[MOST:]
    if more:
        text = ngettext("%(n)d more order is in the plan.", "%(n)d more orders are in the plan.", len(more))
        yield Change("first", text % {"n": len(more)}, tuple(o.id for o in more))
