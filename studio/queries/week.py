"""The plan's week as half-day boxes, what it uses of what there is, and the orders that will be late."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import TYPE_CHECKING

from django.utils.translation import gettext as _

from studio import words
from studio.models import Pin, Studio
from studio.queries.cards import Bunch, Card, merged, names_of
from studio.queries.deck import Deck
from studio.queries.food import food_warning
from studio.queries.late import LateOrder, late_orders
from studio.queries.plans import current_plan
from studio.queries.pug import ToPug, pugs_of
from studio.queries.state import state_of
from studio.queries.uses import Use, uses
from studio.record.state import State

if TYPE_CHECKING:
    from studio.queries.plans import Live

PERSON, KIND = "person", "kind"
DAYS = 7


@dataclass(frozen=True)
class Item:
    """One line in a box: a piece of work, or (``bunch`` None) a kiln that is lit or may be opened."""

    text: str
    mark: str
    bunch: Bunch | None = None
    closes: datetime | None = None
    done: bool = False


@dataclass(frozen=True)
class Group:
    """The work of one person, or of one kind."""

    name: str
    items: tuple[Item, ...]

    @property
    def all_done(self) -> bool:
        return all(i.done for i in self.items)


@dataclass(frozen=True)
class Box:
    """A half day; ``off`` if nobody is there and nothing happens."""

    key: str
    title: str
    groups: tuple[Group, ...]
    off: bool
    before: bool  # before the plan begins, so that it says nothing about it


@dataclass(frozen=True)
class Day:
    date: date
    is_today: bool
    is_past: bool
    boxes: tuple[Box, ...]


@dataclass(frozen=True)
class Week:
    monday: date
    by: str
    has_plan: bool
    days: tuple[Day, ...] = ()
    cards: tuple[Card, ...] = ()
    uses: tuple[Use, ...] = ()
    late: tuple[LateOrder, ...] = ()
    not_for_food: tuple[str, ...] = ()  # glazes of the week's work, each with what is on file
    pugs: tuple[ToPug, ...] = ()  # clay that falls short within seven days, in the week of now
    size: int = 11  # of the type on paper
    before: date | None = None
    after: date | None = None


def week_of(studio: Studio, *, now: datetime, monday: date | None = None, by: str = PERSON) -> Week:
    """The week of ``monday`` (this one without it), grouped by person or by kind of work; ``now`` is local."""
    monday = monday or words.monday(now).date()
    by = by if by in (PERSON, KIND) else PERSON
    live = current_plan(studio)
    if live is None:
        return Week(monday, by, has_plan=False)
    names, state = names_of(studio), state_of(studio)
    pinned = frozenset(Pin.objects.filter(studio=studio).values_list("task", flat=True))
    deck = Deck(live, state, names, pinned)
    first = now.replace(
        year=monday.year, month=monday.month, day=monday.day, hour=0, minute=0, second=0, microsecond=0, fold=0
    )
    dates = [monday + timedelta(days=i) for i in range(DAYS)]
    cards = deck.cards(first, first + timedelta(days=DAYS))
    events = _kiln_events(live)
    days = tuple(_day(d, now.date(), cards, events, live, by) for d in dates)
    while len(days) > 5 and all(box.off for box in days[-1].boxes):
        days = days[:-1]
    last = live.when(live.scenario.horizon).date()
    return Week(
        monday, by, has_plan=True, days=days, cards=tuple(cards), uses=uses(live, state, names, dates),
        late=late_orders(live, names), not_for_food=_not_for_food(live, state, cards), size=print_size(days),
        pugs=pugs_of(studio, live, state, now) if monday <= now.date() < monday + timedelta(days=DAYS) else (),
        before=_near(monday, -DAYS, live.start.date(), last),
        after=_near(monday, DAYS, live.start.date(), last),
    )  # fmt: skip


def _not_for_food(live: Live, state: State, cards: list[Card]) -> tuple[str, ...]:
    orders = [live.scenario.order[c.subject.order] for c in cards if c.subject.order in live.scenario.order]
    glazes = {live.scenario.glaze[o.glaze].name or o.glaze: o.glaze for o in orders}
    return tuple(f"{name}: {warning}" for name, i in sorted(glazes.items()) if (warning := food_warning(state, i)))


def _near(monday: date, by: int, first: date, last: date) -> date | None:
    """The Monday ``by`` days away, if the plan has days in that week."""
    other = monday + timedelta(days=by)
    return other if other <= last and other + timedelta(days=DAYS) > first else None


def _kiln_events(live: Live) -> list[tuple[datetime, Item]]:
    """When kilns are lit and when they may be opened: what happens without hands."""
    found = []
    for firing in live.plan.firings:
        kiln = live.scenario.kiln[firing.kiln]
        program = kiln.program(firing.program or "")
        if firing.fire is None or program is None:
            continue
        name = kiln.name or kiln.id
        stage = program.name or program.stage
        lit, opens = live.when(firing.fire), live.when(firing.fire + program.fire + program.cool)
        found.append((lit, Item(_("Light %(kiln)s: %(program)s") % {"kiln": name, "program": stage}, "fire")))
        found.append((opens, Item(_("%(kiln)s may be opened") % {"kiln": name}, "kiln")))
    return sorted(found, key=lambda x: x[0])


def _day(
    on: date, today: date, cards: list[Card], events: list[tuple[datetime, Item]], live: Live, by: str
) -> Day:
    boxes = []
    start, order = live.when(0), list(words.HALVES)
    for key, title in words.HALVES.items():
        before = (on, order.index(key)) < (start.date(), order.index(words.half_of(start)))
        mine = [c for c in cards if c.start.date() == on and c.half == key]
        kilns = [item for at, item in events if at.date() == on and words.half_of(at) == key]
        if key == words.EVENING and not mine and not kilns:
            continue
        off = not mine and not kilns and not _anybody(live, on, key)
        boxes.append(Box(key, str(title), _groups(mine, kilns, by), off, before=before))
    return Day(on, on == today, on < today, tuple(boxes))


def _anybody(live: Live, on: date, half: str) -> bool:
    """Whether somebody is on duty in a half day of the plan."""
    spans = [live.when(span.a) for p in live.scenario.people for span in p.hours]
    return any(at.date() == on and words.half_of(at) == half for at in spans)


def _groups(cards: list[Card], kilns: list[Item], by: str) -> tuple[Group, ...]:
    kiln_group = str(words.kind_of("load").group)
    keys: dict[str, list[Card]] = {}
    for card in cards:
        keys.setdefault(card.person_name if by == PERSON else card.group, []).append(card)
    groups = {name: [_item(b, by) for b in merged(keys[name])] for name in (sorted(keys) if by == PERSON else keys)}
    if kilns:
        groups.setdefault(kiln_group, []).extend(kilns)
    return tuple(Group(name, tuple(items)) for name, items in groups.items())


def _item(bunch: Bunch, by: str) -> Item:
    """A line of a box; a window that closes on the same day is named with its time."""
    first, latest = bunch.first, bunch.latest
    closes = latest if latest is not None and latest.date() == first.start.date() else None
    plain = by == KIND and first.kind in ("press", "release", "glaze", "finish")
    text = f"{bunch.count} × {first.thing}{f', {first.glaze}' if first.glaze else ''}" if plain else bunch.title
    return Item(text, first.mark, bunch, closes, done=all(c.done for c in bunch.cards))


SHEET_MM, MARGINS_MM, TOP_MM = (297, 210), 20, 32  # A4 across; what the heading and the days' names take
SIZES = (11.0, 10.0, 9.0, 8.0, 7.0, 6.0)  # points
MM_A_POINT = 0.353


def print_size(days: tuple[Day, ...]) -> int:
    """The largest type, in points, in which the fullest day fits on one sheet: 11 down to 6.

    Worked example: a day of 20 lines of 30 letters, 7 days. At 11 pt a letter takes about 2.1 mm and a column
    35 mm, so each line breaks in two: 40 rows of 4.9 mm are 194 mm, too much for 158 mm; at 8 pt 22 letters fit,
    two rows each still, and 40 × 3.6 mm = 143 mm leave room for the names of the two boxes.
    """
    column = (SHEET_MM[0] - MARGINS_MM) / max(1, len(days)) - 4.5
    room = SHEET_MM[1] - MARGINS_MM - TOP_MM
    fitting = (size for size in SIZES if max((_high(d, size, column) for d in days), default=0) <= room)
    return int(next(fitting, SIZES[-1]))


def _high(day: Day, size: float, column: float) -> float:
    """The height of a day in mm, done work left out as it is on paper."""
    letters = max(8, int(column / (0.55 * size * MM_A_POINT)))
    lines = 0
    for box in day.boxes:
        lines += 2
        for group in box.groups:
            left = [i for i in group.items if not i.done]
            lines += bool(left) + sum(-(-(len(i.text) + (9 if i.closes else 0)) // letters) for i in left)
    return lines * 1.28 * size * MM_A_POINT
