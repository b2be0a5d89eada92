"""What a person can point at when something is wrong: moulds, ware, kilns, people."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from studio.faults import Fault, faults_at
from studio.models import Kiln, Member, Mould, Person, Plan, Studio
from studio.queries.cards import Bunch, Names, bunches, local, names_of
from studio.queries.deck import Deck
from studio.queries.plans import current_plan
from studio.queries.state import state_of
from studio.record.state import BISQUED, FIRED, GLAZED, IN_MOULD, KILN, LEATHER, State, Ware

WHAT = ("mould", "lost", "stuck", "late", "kiln", "me")
ORDER = (IN_MOULD, LEATHER, KILN, BISQUED, GLAZED, FIRED)


@dataclass(frozen=True)
class FormMoulds:
    """A form with the moulds that can crack: (public id, number, filled)."""

    form: str
    name: str
    pot: str
    moulds: tuple[tuple[str, int, bool], ...]


@dataclass(frozen=True)
class WareThere:
    """Ware that stands in the studio, to be pointed at."""

    id: str
    name: str
    pot: str
    count: int
    stage: str
    pressed: datetime | None
    faults: tuple[Fault, ...]
    moulds: str = ""  # the numbers of those that it is in


@dataclass(frozen=True)
class KilnThere:
    id: str
    name: str
    out: bool
    until: datetime | None


@dataclass(frozen=True)
class Wrong:
    """``what`` is one of WHAT, or nothing for the six pictures."""

    what: str
    now: datetime
    has_plan: bool = False
    forms: tuple[FormMoulds, ...] = ()
    wares: tuple[WareThere, ...] = ()
    kilns: tuple[KilnThere, ...] = ()
    people: tuple[Person, ...] = ()
    own: Person | None = None
    behind: tuple[Bunch, ...] = ()
    tonight: datetime | None = None
    tomorrow: datetime | None = None
    in_a_week: datetime | None = None


def wrong_of(studio: Studio, member: Member, what: str, *, now: datetime) -> Wrong:
    """What there is to point at; ``now`` is local."""
    has_plan = Plan.objects.filter(studio=studio, is_current=True).exists()
    if what in ("mould", "lost", "stuck"):
        names, state = names_of(studio), state_of(studio)
        forms = _moulds(studio, state, names) if what == "mould" else ()
        stages = (IN_MOULD,) if what == "stuck" else ORDER
        wares = () if what == "mould" else _wares(studio, state, names, stages)
        return Wrong(what, now, has_plan, forms=forms, wares=wares)
    if what == "kiln":
        return Wrong(what, now, has_plan, kilns=_kilns(studio))
    if what == "late":
        return Wrong(what, now, has_plan, behind=_behind(studio, now))
    if what == "me":
        people = tuple(Person.objects.filter(studio=studio, retired_at=None).order_by("name"))
        end = now.replace(hour=23, minute=59, second=0, microsecond=0)
        return Wrong(
            what, now, has_plan, people=people, own=member.person, tonight=end, tomorrow=end + timedelta(days=1),
            in_a_week=end + timedelta(days=7),
        )  # fmt: skip
    return Wrong("", now, has_plan)


def _moulds(studio: Studio, state: State, names: Names) -> tuple[FormMoulds, ...]:
    found: dict[str, list[tuple[str, int, bool]]] = {}
    rows = Mould.objects.filter(studio=studio, retired_at=None).order_by("number")
    for mould, number, form in rows.values_list("public_id", "number", "form__public_id"):
        stands = state.moulds.get(mould)
        if stands is None or stands.gone is None:
            found.setdefault(form, []).append((mould, number, bool(stands and stands.filled_by)))
    lines = [FormMoulds(form, names.form(form), names.pot(form), tuple(moulds)) for form, moulds in found.items()]
    return tuple(sorted(lines, key=lambda x: x.name))


def _wares(studio: Studio, state: State, names: Names, stages: tuple[str, ...]) -> tuple[WareThere, ...]:
    there = [w for w in state.ware.values() if w.count > 0 and w.stage in stages]
    there.sort(key=lambda w: (stages.index(w.stage), names.form(w.form), w.id))
    glost = {f.id for f in state.firings.values() if f.stage == "glost"}
    ids = [m for w in there if w.stage == IN_MOULD for m in w.moulds]
    numbers = dict(Mould.objects.filter(studio=studio, public_id__in=ids).values_list("public_id", "number"))
    return tuple(_ware(w, names, w.firing in glost, numbers) for w in there)


def _ware(ware: Ware, names: Names, glost: bool, numbers: dict[str, int]) -> WareThere:
    pressed = local(ware.pressed[0]) if ware.pressed else None
    moulds = ", ".join(map(str, sorted(numbers[m] for m in ware.moulds if m in numbers)))
    faults = faults_at(ware.stage, glost=glost)
    return WareThere(
        ware.id, names.form(ware.form), names.pot(ware.form), ware.count, ware.stage, pressed, faults,
        moulds if ware.stage == IN_MOULD else "",
    )  # fmt: skip


def _kilns(studio: Studio) -> tuple[KilnThere, ...]:
    state = state_of(studio)
    lines = []
    for kiln in Kiln.objects.filter(studio=studio, retired_at=None).order_by("name"):
        stands = state.kilns.get(kiln.public_id)
        out = stands is not None and stands.out_since is not None
        until = local(stands.out_until) if stands is not None and stands.out_until is not None else None
        lines.append(KilnThere(kiln.public_id, kiln.name, out, until))
    return tuple(lines)


def _behind(studio: Studio, now: datetime) -> tuple[Bunch, ...]:
    """What should be over by now and is not recorded."""
    live = current_plan(studio)
    if live is None:
        return ()
    cards = Deck(live, state_of(studio), names_of(studio)).cards(last=now)
    return bunches([c for c in cards if not c.done and c.end <= now])
