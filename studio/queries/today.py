"""One person's day, in the order in which it is asked for."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import TYPE_CHECKING

from studio import words
from studio.models import Member, Pin, PlanRun, Studio
from studio.queries.cards import Bunch, Card, Names, bunches, names_of
from studio.queries.deck import Deck
from studio.queries.past import Past, past_its_time
from studio.queries.plans import current_plan
from studio.queries.pug import ToPug, pugs_of
from studio.queries.standing import Standing, WrapLine, standing, to_wrap
from studio.queries.state import state_of
from studio.queries.tools import ToolView, due_tools
from studio.record.state import State
from studio.translate.rows import Rows

if TYPE_CHECKING:
    from studio.queries.plans import Live

OLD = timedelta(days=4)  # a plan older than this has seldom been right about anything

BEHIND = 4  # tasks left from days before


@dataclass(frozen=True)
class Half:
    """What is left of one half day."""

    key: str
    title: str
    bunches: tuple[Bunch, ...]


@dataclass(frozen=True)
class Person:
    id: str
    name: str
    shown: bool


@dataclass(frozen=True)
class UpTo:
    """A task in the list of "done up to here"; ticked if it should be over by now."""

    card: Card
    ticked: bool


@dataclass(frozen=True)
class Today:
    now: datetime
    made_at: datetime | None = None
    is_old: bool = False
    people: tuple[Person, ...] = ()
    past: tuple[Past, ...] = ()  # whose time is over: is it still good?
    cannot_wait: tuple[Bunch, ...] = ()
    next: Bunch | None = None
    halves: tuple[Half, ...] = ()
    up_to: tuple[UpTo, ...] = ()
    ticked: int = 0
    done: tuple[Card, ...] = ()
    tomorrow: tuple[Bunch, ...] = ()
    standing: Standing | None = None
    wrap: tuple[WrapLine, ...] = ()
    pugs: tuple[ToPug, ...] = ()  # clay that falls short today or tomorrow
    left_over: int = 0  # tasks of days before that nobody has marked as done
    pinned_today: bool = False
    troubles: int = 0
    tools: tuple[ToolView, ...] = ()  # whose edge is to be looked at
    run: PlanRun | None = None

    @property
    def has_plan(self) -> bool:
        return self.made_at is not None

    @property
    def is_behind(self) -> bool:
        """So much is left over that marking it or a new plan is due."""
        return self.left_over >= BEHIND

    @property
    def everyone(self) -> bool:
        """Whether the work of several people is shown, so that each task needs a name."""
        return bool(self.people) and not self.one_person

    @property
    def one_person(self) -> bool:
        return any(p.shown for p in self.people)


def today_of(studio: Studio, member: Member, *, now: datetime, who: str = "") -> Today:
    """The day of ``who`` (a person's public id, "all", or nothing for the member's own) at the local time ``now``."""
    live, state = current_plan(studio), state_of(studio)
    plans = PlanRun.objects.filter(studio=studio, kind=PlanRun.Kind.PLAN)
    run = plans.order_by("-pk").select_related("plan").first()
    if live is None:
        return Today(now=now, run=run, troubles=len(state.troubles))
    names = names_of(studio)
    pinned = frozenset(Pin.objects.filter(studio=studio).values_list("task", flat=True))
    deck = Deck(live, state, names, pinned)
    return replace(_day(studio, live, state, deck, names, member, now, who), run=run)


def _day(
    studio: Studio, live: Live, state: State, deck: Deck, names: Names, member: Member, now: datetime, who: str
) -> Today:
    midnight = now.replace(hour=0, minute=0, second=0, microsecond=0)
    tomorrow = midnight + timedelta(days=1)
    cards = deck.cards(midnight - timedelta(days=14), tomorrow)
    cards = [c for c in cards if not (c.done and c.start < midnight)]
    people, mine = _whose(cards, member, who)
    left, done = [c for c in mine if not c.done], tuple(c for c in mine if c.done)
    asked = [c for c in left if c.ask_at is None or c.ask_at <= now]
    first = next(iter(bunches(asked)), None)
    up_to = _up_to(asked, now)
    soon = deck.cards(tomorrow, tomorrow + timedelta(days=1))
    about_to_press = frozenset(c.subject.form for c in [*cards, *soon] if c.kind == "press" and not c.done)
    return Today(
        now=now, made_at=live.row.made_at, is_old=now - live.row.made_at > OLD, people=people,
        past=past_its_time(live, state, names, Rows(studio), now), cannot_wait=_cannot_wait(left, tomorrow), next=first,
        halves=_halves(left, first.cards if first else (), midnight),
        up_to=up_to, ticked=sum(u.ticked for u in up_to), done=done,
        tomorrow=bunches([c for c in soon if _is_shown(c, people)])[:5],
        standing=standing(studio, live, state, names, about_to_press, now),
        wrap=to_wrap([c for c in cards if c.start >= midnight], state, names),
        left_over=sum(c.start < midnight for c in left), pinned_today=bool(left) and all(c.pinned for c in left),
        troubles=len(state.troubles), tools=due_tools(studio, state),
        pugs=tuple(p for p in pugs_of(studio, live, state, now) if p.soon),
    )  # fmt: skip


def _whose(cards: list[Card], member: Member, who: str) -> tuple[tuple[Person, ...], list[Card]]:
    """The people with work on these cards, and the cards of the one asked for (of all, if there is only one)."""
    found = {c.person: c.person_name for c in cards}
    own = member.person.public_id if member.person else ""
    shown = who if who in found or who == "all" else own if own in found else "all"
    people = tuple(Person(id_, name, id_ == shown) for id_, name in sorted(found.items(), key=lambda x: x[1]))
    if len(people) < 2:
        return (), cards
    return people, [c for c in cards if shown in ("all", c.person)]


def _is_shown(card: Card, people: tuple[Person, ...]) -> bool:
    shown = {p.id for p in people if p.shown}
    return not shown or card.person in shown


def _up_to(cards: list[Card], now: datetime) -> tuple[UpTo, ...]:
    """Everything left today, in the order of its end; what should be over by now is ticked, at least the first."""
    ordered = sorted(cards, key=lambda c: (c.end, c.start, c.id))
    return tuple(UpTo(card, ticked=card.end <= now or i == 0) for i, card in enumerate(ordered))


def _cannot_wait(cards: list[Card], tomorrow: datetime) -> tuple[Bunch, ...]:
    """What no longer waits until ``tomorrow``, the most pressing first, the same work together."""
    groups: dict[tuple[str, str, str], list[Card]] = {}
    for card in cards:
        if card.latest is not None and card.latest < tomorrow:
            groups.setdefault((card.kind, card.thing, card.glaze), []).append(card)
    found = [Bunch(tuple(group)) for group in groups.values()]
    return tuple(sorted(found, key=lambda b: b.latest or tomorrow))


def _halves(cards: list[Card], shown: tuple[Card, ...], midnight: datetime) -> tuple[Half, ...]:
    """The cards but those ``shown`` already, by half day; what is left from earlier days comes before all."""
    apart = {c.id for c in shown}
    groups: dict[str, list[Card]] = {"earlier": [], **{key: [] for key in words.HALVES}}
    for card in cards:
        if card.id not in apart:
            groups["earlier" if card.start < midnight else card.half].append(card)
    titles = {"earlier": words.LEFT_OVER, **words.THIS_HALF}
    return tuple(Half(key, str(titles[key]), bunches(found)) for key, found in groups.items() if found)
