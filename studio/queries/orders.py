"""The order book: what is wanted, where its pieces stand, and what of it will be late and why."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import Any

from django.db.models import QuerySet
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from studio.easings import waits
from studio.models import Order, OrderLine, Studio
from studio.queries.allowing import on_the_way
from studio.queries.cards import Names, names_of
from studio.queries.late import LateOrder, chain_of, late_orders, naming
from studio.queries.plans import Live, current_plan
from studio.queries.state import state_of
from studio.queries.sure import Offer, Sure, offer_of, sure_of
from studio.record.state import BISQUED, FIRED, GLAZED, IN_MOULD, LEATHER, State, Tally
from studio.translate.allowing import Way
from studio.translate.orders import OWN, SHARED, Shelf, shelf_of, stages_ahead
from studio.translate.rows import Rows
from studio.translate.shelf import Share, Shares, kind_of, shares_of
from studio.words import Text, pot_mark

SENT, READY, DRYING, TO_PRESS = "sent", "ready", "drying", "to_press"
# From the courier back to the ball of clay: how a stage is said, and how its pots are drawn.
SAID: dict[str, tuple[Text, str]] = {
    SENT: (gettext_lazy("sent"), "sent"),
    READY: (gettext_lazy("ready to send"), "ready"),
    FIRED: (gettext_lazy("to be sorted"), "fired"),
    "glost kiln": (gettext_lazy("in the glost kiln"), "fired"),
    GLAZED: (gettext_lazy("glazed"), "fired"),
    BISQUED: (gettext_lazy("bisqued"), "bisqued"),
    "bisque kiln": (gettext_lazy("in the bisque kiln"), "bisqued"),
    DRYING: (gettext_lazy("drying"), "clay"),
    LEATHER: (gettext_lazy("leather-hard"), "clay"),
    IN_MOULD: (gettext_lazy("in the moulds"), "clay"),
    TO_PRESS: (gettext_lazy("still to press"), "none"),
}
MOST_DONE = 60  # orders on the page of those that are over


@dataclass(frozen=True)
class Count:
    """So many pieces at one stage."""

    stage: str
    n: int

    @property
    def label(self) -> str:
        return str(SAID[self.stage][0])

    @property
    def look(self) -> str:
        return SAID[self.stage][1]


@dataclass(frozen=True)
class LineView:
    """One line of an order. ``done`` is when the plan finishes it; without it the plan does not know the line."""

    row: OrderLine
    counts: tuple[Count, ...]
    ready: int = 0
    sent: int = 0
    seconds: int = 0  # of those ready or sent, the seconds that the customer takes
    takes: int = 0  # so many more seconds stand there that nobody has, up to what it lacks
    done: datetime | None = None
    late: LateOrder | None = None
    planned: bool = False
    sure: Sure | None = None  # how sure it is of its day, once somebody has looked
    chain: tuple[str, ...] = ()  # what its last pieces wait for, where it is late
    allowed: str = ""  # how many pieces go on for the firsts it misses, and how surely that is enough

    @property
    def pots(self) -> tuple[str, ...]:
        """How each pot of its picture is drawn, at most ``MOST_POTS`` of them."""
        return picture(self.counts)

    @property
    def shape(self) -> str:
        return pot_mark(self.row.form.kind)

    @property
    def offer(self) -> Offer | None:
        """What would make it sure of its day."""
        return offer_of(self.row, self.sure)

    @property
    def is_made(self) -> bool:
        return self.sent + self.ready >= self.row.qty


@dataclass(frozen=True)
class OrderView:
    row: Order
    lines: tuple[LineView, ...]

    @property
    def cancelled(self) -> tuple[OrderLine, ...]:
        """Lines that were cancelled while the order stands."""
        return tuple(x for x in self.row.lines.all() if x.cancelled_at is not None) if self.is_open else ()

    @property
    def is_open(self) -> bool:
        return self.row.cancelled_at is None and self.row.closed_at is None

    @property
    def late(self) -> tuple[LineView, ...]:
        return tuple(x for x in self.lines if x.late)

    @property
    def ready(self) -> int:
        return sum(x.ready for x in self.lines)

    @property
    def is_made(self) -> bool:
        return bool(self.lines) and all(x.is_made for x in self.lines)

    @property
    def unplanned(self) -> bool:
        """Some of it is not in the plan in use: entered or changed since, or too far off."""
        return any(not x.planned and not x.is_made for x in self.lines)


@dataclass(frozen=True)
class Book:
    orders: tuple[OrderView, ...]
    has_plan: bool
    done: bool  # whether these are the ones that are over
    n_done: int
    today: date

    @property
    def late(self) -> tuple[LineView, ...]:
        found = [line for o in self.orders for line in o.late]
        return tuple(sorted(found, key=lambda x: -(x.late.late_min if x.late else 0)))

    @property
    def is_new(self) -> bool:
        return not self.orders and not self.n_done


def order_book(studio: Studio, *, today: date, done: bool = False) -> Book:
    """The open orders by their days, or (``done``) those sent off and cancelled, the last first."""
    rows = _orders(studio)
    over = rows.exclude(cancelled_at=None, closed_at=None)
    shown = over.order_by("-due", "-pk")[:MOST_DONE] if done else rows.filter(cancelled_at=None, closed_at=None)
    views, has_plan = _views(studio, shown, state_of(studio))
    return Book(views, has_plan, done, over.count(), today)


def order_view(studio: Studio, public_id: str, state: State) -> OrderView | None:
    """One order as things stand by ``state``, whatever became of it; None if the studio has none of that id."""
    views, _has_plan = _views(studio, _orders(studio).filter(public_id=public_id), state)
    if not views:
        return None
    view = _with_allowed(studio, views[0]) if views[0].is_open else views[0]
    live = current_plan(studio) if view.late else None
    return view if live is None else _with_chains(view, live, names_of(studio))


def _with_allowed(studio: Studio, view: OrderView) -> OrderView:
    """The order with what is started for each of its lines that is not made yet."""
    return replace(view, lines=tuple(replace(x, allowed=_allowed(studio, x)) for x in view.lines))


def _allowed(studio: Studio, line: LineView) -> str:
    press = of(line.counts, TO_PRESS)
    under_way = sum(c.n for c in line.counts) - press - line.ready - line.sent
    missing = line.row.qty - line.ready - line.sent
    return on_the_way(studio, line.row, missing=missing, under_way=under_way, to_press=press)


def _with_chains(view: OrderView, live: Live, names: Names) -> OrderView:
    """The order with what holds up each of its late lines."""
    named = naming(live, names)
    return replace(view, lines=tuple(
        replace(x, chain=waits(chain_of(live, x.row.public_id), named)) if x.late else x for x in view.lines
    ))  # fmt: skip


def _orders(studio: Studio) -> QuerySet[Order]:
    rows = Order.objects.filter(studio=studio).select_related("customer").order_by("due", "pk")
    return rows.prefetch_related("lines__form", "lines__glaze")


def _views(studio: Studio, orders: Iterable[Order], state: State) -> tuple[tuple[OrderView, ...], bool]:
    live, names, rows = current_plan(studio), names_of(studio), Rows(studio)
    counts, shares = line_counts(rows, state), shares_of(state, rows.lines)
    planned = _planned(live, names)
    views = [
        OrderView(o, tuple(
            _with_seconds(_line(o, x, counts, state, planned), state, shares) for x in o.lines.all() if _shown(o, x)
        ))
        for o in orders
    ]  # fmt: skip
    return tuple(views), live is not None


def _shown(order: Order, line: OrderLine) -> bool:
    """A cancelled line is not shown, unless all of the order is cancelled."""
    return line.cancelled_at is None or order.cancelled_at is not None


def _planned(
    live: Live | None, names: Names
) -> dict[str, tuple[datetime | None, LateOrder | None, Sure | None]]:
    """By line of the plan in use, when it is finished, whether that is late, and how sure it is."""
    if live is None:
        return {}
    late, sure = {x.line: x for x in late_orders(live, names)}, sure_of(live.row)
    return {
        o.id: (None if o.reckoned else live.when(o.done), late.get(o.id), sure.get(o.id)) for o in live.plan.orders
    }


def _line(
    order: Order, row: OrderLine, counts: dict[str, tuple[Count, ...]], state: State, planned: dict[str, Any]
) -> LineView:
    tally = state.lines.get(row.public_id, Tally())
    mine = counts.get(row.public_id)
    if mine is None:  # over: what was sent is all there is to say
        sent = min(tally.shipped, row.qty)
        return LineView(row, (Count(SENT, sent),) if sent else (), sent=sent)
    view = LineView(row, mine, **{k: n for k in (READY, SENT) if (n := of(mine, k))})
    if row.public_id not in planned or view.is_made:
        return view
    done, late, sure = planned[row.public_id]
    return replace(view, done=done, late=late, sure=sure, planned=True)


def _with_seconds(view: LineView, state: State, shares: Shares) -> LineView:
    """The line with its seconds, and those that it could have."""
    line = view.row.public_id
    share = shares.lines.get(line, Share())
    seconds = share.seconds + state.lines.get(line, Tally()).taken_sent
    return replace(view, seconds=seconds, takes=min(share.missing, shares.seconds.get(kind_of(view.row), 0)))


def of(counts: Iterable[Count], stage: str) -> int:
    """How many of ``counts`` are at ``stage``."""
    return sum(c.n for c in counts if c.stage == stage)


def line_counts(rows: Rows, state: State) -> dict[str, tuple[Count, ...]]:
    """By open line, where its pieces stand, the most advanced first.

    Ware that is not glazed yet belongs to no order: those due first have the first claim on it, as in the plan. A
    line's pieces may be more than it wants, since some will be lost on the way.
    """
    shelf, found = shelf_of(state, rows), {}
    for line in rows.lines:
        tally = state.lines.get(line.public_id, Tally())
        way = rows.ways.get(line.form.public_id)
        found[line.public_id] = tuple(c for c in _counts(line, tally, shelf, way) if c.n)
    return found


def _counts(line: OrderLine, tally: Tally, shelf: Shelf, way: Way | None) -> Iterable[Count]:
    share = shelf.lines[line.public_id]
    yield Count(SENT, min(tally.shipped, line.qty))
    yield Count(READY, share.ready)
    if way is None:
        yield Count(TO_PRESS, share.missing)
        return
    form = line.form.public_id
    places = [(shelf.own, (line.public_id, s), s) for s in OWN] + [(shelf.shared, (form, s), s) for s in SHARED]
    need = way.need(share.missing, [(there.get(at, 0), stages_ahead(stage)) for there, at, stage in places])
    for (there, at, stage), taken in zip(places, need.taken, strict=True):
        there[at] = there.get(at, 0) - taken
        yield Count(stage, taken)
    yield Count(TO_PRESS, need.fresh)


MOST_POTS = 15  # beside each other on a narrow screen


def picture(counts: Iterable[Count]) -> tuple[str, ...]:
    """A row of pots, each in the look of its stage; where there are too many, one stands for several.

    Every stage that has pieces shows at least one pot.
    """
    there = [c for c in counts if c.n]
    total = sum(c.n for c in there)
    per = max(1, -(-total // MOST_POTS))
    return tuple(c.look for c in there for _i in range(max(1, round(c.n / per))))


def said(line: LineView) -> str:
    """The line of counts in words: 24 wanted: 6 in the moulds, 8 drying, 10 bisqued."""
    parts = ", ".join(f"{c.n} {c.label}" for c in line.counts)
    return _("%(n)d wanted: %(parts)s") % {"n": line.row.qty, "parts": parts or _("nothing there yet")}
