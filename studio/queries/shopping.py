"""The shopping list: what the coming days take of clay, glaze, plaster and energy, against what is there."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime, timedelta

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from planner.craft.glaze import dry_g_per_l
from planner.craft.needs import Buy, Item, Kind, needs, shopping
from studio import units
from studio.models import Studio
from studio.queries.buckets import buckets_of
from studio.queries.glaze_grams import Grams
from studio.queries.needed import Use, clay_uses, density_g_l, energy_uses, glaze_uses, plaster_uses
from studio.queries.plans import current_plan
from studio.queries.state import state_of
from studio.queries.stock import PLASTER, Span, Stock, stock_of
from studio.record.state import State
from studio.words import Text

SPANS: dict[str, tuple[Text, int | None]] = {  # by what the address says: its name, and days
    "7": (gettext_lazy("7 days"), 7), "14": (gettext_lazy("14 days"), 14), "all": (gettext_lazy("all planned"), None),
}  # fmt: skip
TITLES: dict[Kind, Text] = {
    Kind.CLAY: gettext_lazy("Clay"), Kind.GLAZE: gettext_lazy("Glaze"), Kind.PLASTER: gettext_lazy("Plaster"),
    Kind.ENERGY: gettext_lazy("Energy"),
}  # fmt: skip


@dataclass(frozen=True)
class Line:
    """One thing. ``missing`` is to be bought, mixed or pugged; "" where there is enough, or for energy."""

    item: Item
    name: str
    needed: str
    there: str
    missing: str
    enough: bool
    rests: tuple[str, ...]


@dataclass(frozen=True)
class Part:
    """One kind of thing with its lines; ``total`` of the energy, with its cost where a kWh has a price."""

    kind: Kind
    title: Text
    lines: tuple[Line, ...]
    total: str = ""


@dataclass(frozen=True)
class ShoppingList:
    """``last`` is the last day counted, None for all of the plan."""

    span: str
    has_plan: bool
    first: datetime
    last: datetime | None = None
    parts: tuple[Part, ...] = ()


@dataclass(frozen=True)
class There:
    """What the studio has, in g; things that it keeps no stock of are missing. ``notes`` go with what rests."""

    grams: dict[Item, float] = field(default_factory=dict)
    notes: dict[Item, str] = field(default_factory=dict)


def shopping_of(studio: Studio, *, now: datetime, span: str = "7") -> ShoppingList:
    """For the work of the plan in use that starts within ``span`` from today on and is not done; ``now`` is local."""
    span = span if span in SPANS else "7"
    live, days = current_plan(studio), SPANS[span][1]
    until = None if days is None else _midnight(now, days)
    last = None if until is None else until - timedelta(days=1)
    if live is None:
        return ShoppingList(span, False, now, last)
    return ShoppingList(span, True, now, last, _parts(studio, Span(live, state_of(studio), until)))


def _midnight(now: datetime, days: int) -> datetime:
    day = now.date() + timedelta(days=days)
    return now.replace(year=day.year, month=day.month, day=day.day, hour=0, minute=0, second=0, microsecond=0, fold=0)


def _parts(studio: Studio, span: Span) -> tuple[Part, ...]:
    grams = Grams(studio)
    stock = stock_of(studio, span.live, span.state, span.until)
    uses = [*clay_uses(stock), *glaze_uses(studio, span, grams), *plaster_uses(studio, span, stock),
            *energy_uses(studio, span)]  # fmt: skip
    there = there_of(span.state, stock, grams)
    rests: dict[Item, list[Use]] = defaultdict(list)
    for use in uses:
        rests[use.item].append(use)
    bought = shopping(needs(u.work for u in uses), there.grams, {})
    lines = [_line(b, rests[b.kind, b.name], there, span.state) for b in bought]
    return tuple(_part(kind, [x for x in lines if x.item[0] is kind], bought, studio) for kind in Kind)


def there_of(state: State, stock: Stock, grams: Grams) -> There:
    """Clay with its reclaim, plaster in bags, dry glaze in buckets: of each only what is on record at all."""
    there = There()
    if state.plaster:
        there.grams[Kind.PLASTER, PLASTER] = stock.there[Kind.PLASTER, PLASTER]
    for body in {b.body for b in state.clay.values()} | set(stock.reclaim):
        item, back = (Kind.CLAY, body), stock.reclaim.get(body, 0)
        there.grams[item] = stock.there.get(item, 0.0) + back
        if back:
            there.notes[item] = _("%(back)s of what is there lie in the reclaim: pug them in time") % {
                "back": units.bulk(back)}  # fmt: skip
    for bucket in buckets_of(state, grams):
        item = (Kind.GLAZE, bucket.glaze)
        there.grams[item] = there.grams.get(item, 0.0) + bucket.left_g
    return there


def _line(b: Buy, uses: list[Use], there: There, state: State) -> Line:
    item = (b.kind, b.name)
    if b.kind is Kind.ENERGY:
        return Line(item, uses[0].name, _("%(kwh)d kWh") % {"kwh": round(b.needed)}, "", "", True,
                    tuple(u.rests for u in uses))  # fmt: skip
    amount = _dry(density_g_l(state, b.name)) if b.kind is Kind.GLAZE else units.bulk
    has = amount(b.there) if item in there.grams else ""
    notes = tuple(u.rests for u in uses) + ((there.notes[item],) if item in there.notes else ())
    return Line(item, uses[0].name, amount(b.needed), has, amount(b.missing), b.missing < 1, notes)


def _dry(g_l: int) -> Callable[[float], str]:
    """Dry glaze and the litres of a bucket that hold it."""
    return lambda dry_g: _("%(dry)s dry, %(litres)s") % {
        "dry": units.bulk(dry_g), "litres": units.volume(dry_g / dry_g_per_l(g_l))}  # fmt: skip


def _part(kind: Kind, lines: list[Line], bought: list[Buy], studio: Studio) -> Part:
    ordered = tuple(sorted(lines, key=lambda x: x.name))
    kwh = sum(b.needed for b in bought if b.kind is Kind.ENERGY)
    return Part(kind, TITLES[kind], ordered, _total(kwh, studio) if kind is Kind.ENERGY and lines else "")


def _total(kwh: float, studio: Studio) -> str:
    """The energy in all, and what it costs where a kWh has a price."""
    text, price = _("%(kwh)d kWh in all") % {"kwh": round(kwh)}, studio.kwh_price_thousandths
    if price is None:
        return text
    return text + _(", some %(cost)s") % {"cost": units.money(kwh * price / 1000, studio.money)}
