"""The plaster that the studio has, bag by bag, the one to use first on top, and what the plan pours."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from planner.craft.bags import Age, age_on, keeps_until
from planner.craft.needs import Pouring
from studio.models import Studio
from studio.queries.cards import local
from studio.queries.plans import current_plan
from studio.queries.state import state_of
from studio.queries.stock import stock_of
from studio.record.bags import in_order
from studio.record.state import BagState


@dataclass(frozen=True)
class BagView:
    """``until``: the last day on which it keeps; ``usual`` where that is not printed on it."""

    id: str
    grams: int
    left: int
    came: datetime
    made: date | None
    until: date | None
    usual: bool
    opened: datetime | None
    age: Age
    first: bool

    @property
    def old(self) -> bool:
        return self.age is Age.OLD

    @property
    def soon(self) -> bool:
        return self.age is Age.SOON


@dataclass(frozen=True)
class BagsSeen:
    """``needed`` g for the ``pours`` of the plan whose mix is known; ``unknown`` names the other forms poured."""

    bags: tuple[BagView, ...]
    left: int
    needed: float
    pours: int
    unknown: tuple[str, ...]
    has_plan: bool

    @property
    def old_g(self) -> int:
        """Of what is left, what is past its day."""
        return sum(b.left for b in self.bags if b.old)

    @property
    def short(self) -> bool:
        return self.needed > self.left

    @property
    def lines(self) -> tuple[tuple[BagView, int], ...]:
        """Bags alike (closed, of the same day and weight) as one, with their number."""
        found: list[tuple[BagView, int]] = []
        for bag in self.bags:
            same = found and bag.opened is None and _like(found[-1][0]) == _like(bag)
            if same:
                found[-1] = (found[-1][0], found[-1][1] + 1)
            else:
                found.append((bag, 1))
        return tuple(found)


def _like(bag: BagView) -> tuple[object, ...]:
    return (bag.left, bag.grams, bag.until, bag.made, bag.opened)


def bags_seen(studio: Studio, now: datetime) -> BagsSeen:
    """All bags with plaster left at ``now``."""
    state, live = state_of(studio), current_plan(studio)
    stock = stock_of(studio, live, state)
    pours = [w for w in stock.work if isinstance(w, Pouring)]
    bags = tuple(_bag(b, now.date(), i == 0) for i, b in enumerate(in_order(state)))
    return BagsSeen(
        bags, sum(b.left for b in bags), sum(w.count * w.plaster_g for w in pours), len(pours), stock.unknown,
        live is not None,
    )  # fmt: skip


def _bag(bag: BagState, today: date, first: bool) -> BagView:
    made, best = (date.fromisoformat(d) if d else None for d in (bag.made, bag.best))
    until = keeps_until(made, best)
    opened = local(bag.opened) if bag.opened is not None else None
    return BagView(
        bag.id, bag.grams, bag.left, local(bag.came), made, until, best is None and until is not None, opened,
        age_on(today, until), first,
    )  # fmt: skip
