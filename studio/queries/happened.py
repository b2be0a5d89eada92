"""What happened, the newest first; what does not add up; what was recorded twice."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from studio.models import Fact, Studio
from studio.queries.record import corrected_data
from studio.queries.state import state_of
from studio.queries.telling import Teller, teller
from studio.reasons import Mend, mend
from studio.record.recount import COUNTED
from studio.record.state import State, Trouble

SPAN = 7  # days on one page
MOST = 400  # facts on one page
LATER = timedelta(minutes=20)  # recorded so long after it happened: worth saying
ABOUT = {"undo": gettext_lazy("taken back"), "correction": gettext_lazy("corrected")}


@dataclass(frozen=True)
class Line:
    """One fact. ``undone``: it was taken back; ``note`` is "twice" or "trouble" where it has no full effect."""

    fact: str
    text: str
    undone: bool
    note: str = ""
    can_correct: bool = False


@dataclass(frozen=True)
class Entry:
    """What one command put on record."""

    command: str
    at: datetime
    who: str
    lines: tuple[Line, ...]
    arrived: datetime | None  # where that was clearly later
    can_undo: bool


@dataclass(frozen=True)
class DayOf:
    date: date
    entries: tuple[Entry, ...]


@dataclass(frozen=True)
class TroubleLine:
    fact: str
    at: datetime
    text: str
    who: str
    mend: Mend


@dataclass(frozen=True)
class TwiceLine:
    fact: str
    at: datetime
    text: str
    who: str
    first_who: str
    said: str  # how it came to be there twice


@dataclass(frozen=True)
class Happened:
    days: tuple[DayOf, ...]
    troubles: tuple[TroubleLine, ...]
    twice: tuple[TwiceLine, ...]
    first: date
    last: date
    older: date | None
    newer: date | None
    empty: bool


def happened_of(studio: Studio, *, now: datetime, last: date | None = None) -> Happened:
    """The ``SPAN`` days up to ``last`` (today without it) in local days; troubles and doubles of all times."""
    last = min(last or now.date(), now.date())
    first = last - timedelta(days=SPAN - 1)
    begin = now.replace(
        year=first.year, month=first.month, day=first.day, hour=0, minute=0, second=0, microsecond=0, fold=0
    )
    rows = Fact.objects.filter(studio=studio)
    shown = rows.filter(happened_at__gte=begin, happened_at__lt=begin + timedelta(days=SPAN))
    facts = list(shown.select_related("person", "command__user").order_by("-happened_at", "-seq")[:MOST])
    state, undone = state_of(studio), _undone(studio)
    special = {t.fact for t in state.troubles} | set(state.twice) | set(state.twice.values())
    of = {f.data.get("of") for f in facts if f.kind in ABOUT}
    others = {f.public_id: f for f in rows.filter(public_id__in=special | of).select_related("person", "command__user")}
    corrected = corrected_data(studio, [*(f.public_id for f in facts), *others])
    for fact in (*facts, *others.values()):
        fact.data = corrected.get(fact.public_id, fact.data)
    tell = teller(studio, [*facts, *others.values()], state)
    older = rows.filter(happened_at__lt=begin).exists()
    return Happened(
        days=_days(facts, others, tell, state, undone),
        troubles=tuple(x for t in state.troubles if (x := _trouble(t, others, tell)) is not None),
        twice=_twice(state, others, tell), first=first, last=last, older=first - timedelta(days=1) if older else None,
        newer=min(last + timedelta(days=SPAN), now.date()) if last < now.date() else None,
        empty=not facts and not older,
    )  # fmt: skip


def _undone(studio: Studio) -> frozenset[str]:
    """Facts that an undo which itself stands has taken back: from the last undo to the first."""
    undone: set[str] = set()
    undos = Fact.objects.filter(studio=studio, kind="undo").order_by("-happened_at", "-seq")
    for public_id, data in undos.values_list("public_id", "data"):
        if public_id not in undone:
            undone.add(str(data.get("of")))
    return frozenset(undone)


def _days(
    facts: list[Fact], others: dict[str, Fact], tell: Teller, state: State, undone: frozenset[str]
) -> tuple[DayOf, ...]:
    groups: dict[object, list[Fact]] = {}
    for fact in facts:
        groups.setdefault(fact.command_id or fact.public_id, []).append(fact)
    days: dict[date, list[Entry]] = {}
    for group in groups.values():
        entry = _entry(group, others, tell, state, undone)
        days.setdefault(entry.at.date(), []).append(entry)
    return tuple(DayOf(on, tuple(sorted(found, key=lambda e: e.at, reverse=True))) for on, found in days.items())


def _entry(
    group: list[Fact], others: dict[str, Fact], tell: Teller, state: State, undone: frozenset[str]
) -> Entry:
    wrong = {t.fact for t in state.troubles}
    newest = group[0]
    lines = []
    for fact in reversed(group):
        note = "twice" if fact.public_id in state.twice else "trouble" if fact.public_id in wrong else ""
        gone = fact.public_id in undone
        open_ = fact.kind in COUNTED and not gone and note != "twice"
        lines.append(Line(fact.public_id, _text(fact, others, tell), gone, note, open_))
    at = timezone.localtime(newest.happened_at)
    late = newest.arrived_at - newest.happened_at > LATER
    command = newest.command.client_id if newest.command else ""
    return Entry(
        command, at, _who(newest), tuple(lines), timezone.localtime(newest.arrived_at) if late else None,
        can_undo=bool(command) and not all(x.undone for x in lines),
    )  # fmt: skip


def _text(fact: Fact, others: dict[str, Fact], tell: Teller) -> str:
    if fact.kind not in ABOUT:
        return tell.say(fact.kind, fact.data)
    of = others.get(str(fact.data.get("of")))
    said = _text(of, {}, tell) if of is not None and of.kind not in ABOUT else ""
    return f"{ABOUT[fact.kind]}: {said}" if said else str(ABOUT[fact.kind])


def _who(fact: Fact) -> str:
    if fact.person is not None:
        return fact.person.name
    return str(fact.command.user) if fact.command is not None and fact.command.user is not None else ""


def _trouble(trouble: Trouble, others: dict[str, Fact], tell: Teller) -> TroubleLine | None:
    fact = others.get(trouble.fact)
    if fact is None:
        return None
    how = mend(trouble.code, trouble.things, trouble.counts)
    at = timezone.localtime(fact.happened_at)
    return TroubleLine(fact.public_id, at, _text(fact, {}, tell), fact.person.name if fact.person else "", how)


def _twice(state: State, others: dict[str, Fact], tell: Teller) -> tuple[TwiceLine, ...]:
    lines = []
    for second, first in state.twice.items():
        a, b = others.get(second), others.get(first)
        if a is not None and b is not None:
            at, text = timezone.localtime(a.happened_at), _text(a, {}, tell)
            lines.append(TwiceLine(second, at, text, _who(a), _who(b), _why_twice(a, b)))
    return tuple(lines)


def _why_twice(again: Fact, first: Fact) -> str:
    """Who told it both times: the person counts, or failing that the login, not the telephone."""
    one, other = _teller(again), _teller(first)
    if not one or not other:
        return _("It was told twice.")
    if one != other:
        return _("Two people told it.")
    return _("%(who)s told it twice, on two devices perhaps.") % {"who": _who(again)}


def _teller(fact: Fact) -> str:
    if fact.person_id is not None:
        return f"person {fact.person_id}"
    return f"login {fact.command.user_id}" if fact.command is not None and fact.command.user_id is not None else ""
