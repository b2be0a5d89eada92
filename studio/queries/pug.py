"""Clay of each body against the pressings of the coming days: what is needed by when, and what to pug."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.utils import timezone
from django.utils.translation import gettext as _

from planner.craft.needs import Kind, Pressing, weighed_clay_g
from planner.craft.pugging import Need, Pug, to_pug
from studio import units, words
from studio.models import Studio
from studio.queries.plans import Live
from studio.queries.record import minute_of
from studio.queries.stock import Planned, Stock, stock_of
from studio.record.state import State

AHEAD = timedelta(days=7)


@dataclass(frozen=True)
class DayNeed:
    """What is weighed off on a day: the clay of its balls, and of what, such as ``20 × Bowl 15``."""

    day: date
    grams: float
    of: str


@dataclass(frozen=True)
class ToPug:
    """What to have ready of a body: so much, by the first pressing that falls short."""

    body: str
    name: str
    grams: int
    by: datetime
    reclaim_g: int

    @property
    def said(self) -> str:
        """``Pug 40 kg of Grey stoneware by Tuesday morning``."""
        now = timezone.localtime()
        said = {"weight": units.kilos(self.grams), "clay": self.name}
        if self.by <= now:
            return _("Pug %(weight)s of %(clay)s now: the next pressing needs it") % said
        return _("Pug %(weight)s of %(clay)s by %(when)s") % {**said, "when": words.half_day_at(self.by)}

    @property
    def soon(self) -> bool:
        """Whether it is due today or tomorrow."""
        return self.by.date() <= timezone.localdate() + timedelta(days=1)


@dataclass(frozen=True)
class BodyNeed:
    """The week of one body."""

    days: tuple[DayNeed, ...]
    grams: float
    pug: ToPug | None


def needs_of(stock: Stock, body: str, name: str) -> BodyNeed:
    """The pressings of ``stock`` from this body, by day, and what to pug for them."""
    mine = [(p, p.work) for p in stock.planned if isinstance(p.work, Pressing) and p.work.clay == body]
    there = stock.there.get((Kind.CLAY, body), 0.0)
    work = [Need(minute_of(p.at), weighed_clay_g(w)) for p, w in mine]
    pug = to_pug(work, there)
    return BodyNeed(_days(mine), sum(n.grams for n in work), _to_pug(pug, stock, body, name))


def _to_pug(pug: Pug | None, stock: Stock, body: str, name: str) -> ToPug | None:
    if pug is None:
        return None
    by = timezone.localtime(datetime.fromtimestamp(pug.by * 60, tz=timezone.get_current_timezone()))
    return ToPug(body, name, pug.grams, by, min(stock.reclaim.get(body, 0), pug.grams))


def _days(mine: list[tuple[Planned, Pressing]]) -> tuple[DayNeed, ...]:
    found: dict[date, tuple[float, dict[str, int]]] = {}
    for planned, work in mine:
        grams, of = found.get(planned.at.date(), (0.0, {}))
        of[planned.form.name] = of.get(planned.form.name, 0) + work.count
        found[planned.at.date()] = (grams + weighed_clay_g(work), of)
    return tuple(
        DayNeed(day, grams, ", ".join(f"{n} × {form}" for form, n in of.items()))
        for day, (grams, of) in sorted(found.items())
    )


def pugs_of(studio: Studio, live: Live | None, state: State, now: datetime) -> tuple[ToPug, ...]:
    """What has to be pugged for the next seven days; of bodies whose batches nobody tells, nothing is said."""
    told = {c.body for c in state.clay.values()}
    if live is None or not told:
        return ()
    stock = stock_of(studio, live, state, now + AHEAD)
    found = (needs_of(stock, body, stock.names.get((Kind.CLAY, body), "")).pug for body in sorted(told))
    return tuple(p for p in found if p is not None)
