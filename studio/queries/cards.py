"""A task of the plan as a person reads it: what, how many, with what, by when at the latest."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime, tzinfo

from django.utils import timezone

from planner.plan import Plan
from planner.scenario import Scenario
from studio import words
from studio.cautions import caution_key
from studio.faults import Fault, faults_seen
from studio.models import Form, OrderLine, Studio
from studio.record.followed import BISQUE, GLOST, GREEN, OUT


@dataclass(frozen=True)
class Names:
    """What the studio calls its forms and for whom a line of an order is."""

    forms: dict[str, Form]
    customers: dict[str, str]  # by order line

    def form(self, form: str) -> str:
        return self.forms[form].name if form in self.forms else form

    def pot(self, form: str) -> str:
        return self.forms[form].kind if form in self.forms else ""

    def customer(self, line: str | None) -> str:
        return self.customers.get(line or "", "")


def names_of(studio: Studio) -> Names:
    """The names that the studio's pages need, in two queries."""
    forms = {f.public_id: f for f in Form.objects.filter(studio=studio).select_related("tool")}
    lines = OrderLine.objects.filter(studio=studio, order__closed_at=None).values_list(
        "public_id", "order__customer__name"
    )
    return Names(forms, dict(lines))


@dataclass(frozen=True)
class Subject:
    """What a task of the plan is about; ``kind`` is batch, firing, lot, finish, cast or job."""

    kind: str
    id: str
    form: str = ""
    count: int = 0
    order: str = ""
    kiln: str = ""


@dataclass(frozen=True)
class Card:
    """One task. Times are aware and local; ``latest`` is when the clay, plaster or kiln no longer waits."""

    id: str
    kind: str
    title: str
    done_label: str
    count: int
    pot: str
    start: datetime
    end: datetime
    person: str
    person_name: str
    subject: Subject
    details: tuple[str, ...] = ()
    latest: datetime | None = None
    cover: str = ""  # "mould" or "ware": to be covered once it is done
    done: bool = False
    pinned: bool = False
    ask_at: datetime | None = None
    ware: str = ""  # the batch as it stands in the studio now, if it does
    inside: tuple[tuple[str, str, int], ...] = ()  # of a load to be drawn: ware, its form's name, pieces
    glost: bool = False  # of a firing
    thing: str = ""
    glaze: str = ""
    glaze_id: str = ""
    glaze_batches: tuple[tuple[str, str], ...] = ()  # where there are several to glaze from: the one in use first

    @property
    def mark(self) -> str:
        return words.kind_of(self.kind).mark

    @property
    def group(self) -> str:
        return str(words.kind_of(self.kind).group)

    @property
    def half(self) -> str:
        return words.half_of(self.start)

    @property
    def caution(self) -> str:
        return caution_key(self.kind)

    @property
    def faults(self) -> tuple[Fault, ...]:
        """What can be seen on its ware when it is done."""
        if self.kind == "unload":
            return faults_seen(GLOST if self.glost else BISQUE)
        places = {"press": OUT, "release": OUT, "glaze": GLOST, "finish": GLOST}
        return faults_seen(places.get(self.kind, GREEN))

    @property
    def counted(self) -> bool:
        """True when fewer than planned can come of it."""
        return self.count > 0 and self.kind not in ("load", "unload", "pour", "lift", "job")

    @property
    def can_be_soft(self) -> bool:
        return self.subject.kind == "batch" and self.kind != "press" and bool(self.ware)

    @property
    def fewer(self) -> int:
        return max(0, self.count - 1)


def subjects(plan: Plan, scenario: Scenario) -> dict[str, Subject]:
    """By task id, what the task is about."""
    found: dict[str, Subject] = {}
    for b in plan.batches:
        about = Subject("batch", b.id, form=b.form, count=b.count)
        found.update(dict.fromkeys((t for t in (b.press, b.release, *b.steps) if t), about))
    for f in plan.firings:
        about = Subject("firing", f.id, kiln=f.kiln, count=sum(p.count for p in f.pieces))
        found.update(dict.fromkeys((t for t in (f.load, f.unload) if t), about))
    for x in plan.lots:
        order = scenario.order[x.order]
        found[x.glaze] = Subject("lot", x.id, form=order.form, count=x.count, order=x.order)
    for finish in plan.finishes:
        order = scenario.order[finish.order]
        found[finish.task] = Subject("finish", finish.id, form=order.form, count=finish.count, order=finish.order)
    for c in plan.casts:
        about = Subject("cast", c.id, form=scenario.cast[c.id].form, count=1)
        found.update(dict.fromkeys((t for t in (c.pour, c.lift) if t), about))
    found.update({j.task: Subject("job", j.id) for j in plan.jobs})
    return found


def local(minute: int, zone: tzinfo | None = None) -> datetime:
    """The local time of a minute of the record (epoch minutes)."""
    return datetime.fromtimestamp(minute * 60, UTC).astimezone(zone or timezone.get_current_timezone())


@dataclass(frozen=True)
class Bunch:
    """Tasks of one kind, form and person that follow each other: to a person they are one piece of work."""

    cards: tuple[Card, ...]

    @property
    def first(self) -> Card:
        return self.cards[0]

    @property
    def single(self) -> bool:
        return len(self.cards) == 1

    @property
    def count(self) -> int:
        return sum(c.count for c in self.cards)

    @property
    def title(self) -> str:
        one = self.first
        return one.title if self.single else words.todo(one.kind, n=self.count, thing=one.thing, glaze=one.glaze)

    @property
    def done_label(self) -> str:
        return self.first.done_label if self.single else words.done(self.first.kind, n=self.count)

    @property
    def latest(self) -> datetime | None:
        """The first instant at which one of them no longer waits."""
        return min((c.latest for c in self.cards if c.latest), default=None)

    @property
    def details(self) -> tuple[str, ...]:
        """What is true of all of them."""
        return tuple(d for d in self.first.details if all(d in c.details for c in self.cards))


def bunches(cards: list[Card]) -> tuple[Bunch, ...]:
    """Put together what follows each other and is the same work in the same half day."""
    found: list[list[Card]] = []
    for card in cards:
        if found and card.counted and _same_work(found[-1][-1], card):
            found[-1].append(card)
        else:
            found.append([card])
    return tuple(Bunch(tuple(group)) for group in found)


def merged(cards: list[Card]) -> tuple[Bunch, ...]:
    """Put together the same work even where something else comes between, for a look from further off."""
    found: dict[tuple[object, ...], list[Card]] = {}
    for card in cards:
        alone = "" if card.counted else card.id
        found.setdefault((card.kind, card.thing, card.glaze, card.done, alone), []).append(card)
    return tuple(Bunch(tuple(group)) for group in found.values())


def _same_work(a: Card, b: Card) -> bool:
    def what(c: Card) -> tuple[object, ...]:
        day_half = (c.start.date(), c.half)
        return (c.kind, c.thing, c.glaze, c.person, c.cover, c.done, c.pinned, c.ask_at, day_half)

    return what(a) == what(b)
