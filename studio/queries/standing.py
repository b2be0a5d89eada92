"""What is on its way by itself: kilns, drying ware, resting moulds; and what to cover for the night."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import TYPE_CHECKING

from django.utils import timezone

from planner.scenario import Scenario
from studio.models import KilnProgram, Mould, Studio
from studio.queries.cards import Card, Names, local
from studio.queries.record import minute_of
from studio.record.state import BISQUED, FIRED, GLAZED, IN_MOULD, LEATHER, FiringState, State, Ware
from studio.translate.firings import Known, known_of, opens_at
from studio.translate.moulds_water import Waters, waters_of

if TYPE_CHECKING:
    from studio.queries.plans import Live

SHEET_ON = timedelta(hours=12)


@dataclass(frozen=True)
class KilnLine:
    """A kiln with something in it. ``light_from`` is set while it is packed and not lit."""

    kiln: str
    name: str
    firing: str
    program: str
    stage: str
    pieces: int
    light_from: datetime | None = None
    lit: datetime | None = None
    tops: datetime | None = None
    opens: datetime | None = None


@dataclass(frozen=True)
class WareLine:
    """Pieces of one form that wait for the same thing; ``at`` is when it is ready."""

    name: str
    pot: str
    count: int
    at: datetime | None
    batches: tuple[str, ...] = ()
    uncover: bool = False  # it was finished under a sheet a short while ago


@dataclass(frozen=True)
class MouldLine:
    """Moulds of one form: dry enough now, filled, and resting with the times they are ready again."""

    form: str
    name: str
    pot: str
    ready: int
    filled: int
    resting: tuple[tuple[int, datetime], ...]


@dataclass(frozen=True)
class WrapLine:
    """Something to cover before going home; ``what`` is "mould" or "ware"."""

    what: str
    name: str
    pot: str
    count: int
    batch: str
    ready: bool  # it stands there already


@dataclass(frozen=True)
class Standing:
    kilns: tuple[KilnLine, ...]
    leather: tuple[WareLine, ...]
    drying: tuple[WareLine, ...]
    bisqued: tuple[WareLine, ...]
    glazed: tuple[WareLine, ...]
    fired: tuple[WareLine, ...]
    moulds: tuple[MouldLine, ...]


def standing(studio: Studio, live: Live, state: State, names: Names, forms: frozenset[str], now: datetime) -> Standing:
    """What is on its way at ``now``; moulds only of ``forms``, the ones that are about to be pressed."""
    wares = [w for w in state.ware.values() if w.count > 0]
    leather = [w for w in wares if w.stage == LEATHER]
    green = [w for w in leather if not _steps_left(w, live.scenario)]
    return Standing(
        kilns=_kiln_lines(studio, live, state),
        leather=_lines([w for w in leather if _steps_left(w, live.scenario)], names, lambda w: None),
        drying=_lines(green, names, lambda w: _dry_at(w, live.scenario)),
        bisqued=_lines([w for w in wares if w.stage == BISQUED], names, lambda w: None),
        glazed=_lines([w for w in wares if w.stage == GLAZED], names, lambda w: None),
        fired=_lines([w for w in wares if w.stage == FIRED], names, lambda w: None),
        moulds=mould_lines(studio, state, names, forms, now),
    )


def _steps_left(ware: Ware, scenario: Scenario) -> bool:
    form = scenario.form.get(ware.form)
    return form is not None and ware.dry_at is None and len(ware.steps) < len(form.steps)


def _dry_at(ware: Ware, scenario: Scenario) -> int | None:
    form = scenario.form.get(ware.form)
    if ware.dry_at is not None:
        return ware.dry_at
    return ware.last_end + form.dry if form is not None and ware.last_end is not None else None


def _lines(wares: list[Ware], names: Names, ready: Callable[[Ware], int | None]) -> tuple[WareLine, ...]:
    """One line for the pieces of a form that are ready in the same half day."""
    groups: dict[tuple[str, str], list[tuple[Ware, datetime | None]]] = {}
    for ware in wares:
        minute = ready(ware)
        at = local(minute) if minute is not None else None
        key = (ware.form, f"{at:%Y-%m-%d %p}" if at else "")
        groups.setdefault(key, []).append((ware, at))
    lines = [
        WareLine(
            name=names.form(form), pot=names.pot(form), count=sum(w.count for w, _at in found),
            at=max((at for _w, at in found if at), default=None), batches=tuple(w.id for w, _at in found),
            uncover=any(_just_wrapped(w) for w, _at in found),
        )
        for (form, _when), found in groups.items()
    ]  # fmt: skip
    return tuple(sorted(lines, key=lambda x: (x.at.timestamp() if x.at else 0, x.name)))


def _just_wrapped(ware: Ware) -> bool:
    """Whether its last leather-hard work was done under a sheet, so lately that the sheet may still be on."""
    finished = local(ware.last_end) if ware.last_end is not None else None
    return ware.wrapped and finished is not None and timezone.now() - finished < SHEET_ON


def _kiln_lines(studio: Studio, live: Live, state: State) -> tuple[KilnLine, ...]:
    inside = [f for f in state.firings.values() if f.drawn is None]
    if not inside:
        return ()
    rows = KilnProgram.objects.filter(studio=studio).select_related("kiln", "program")
    known = {(r.kiln.public_id, r.program.public_id): known_of(r, state.firings.values()) for r in rows}
    return tuple(_kiln_line(f, live, known.get((f.kiln, f.program))) for f in inside)


def _kiln_line(firing: FiringState, live: Live, known: Known | None) -> KilnLine:
    kiln = live.scenario.kiln.get(firing.kiln)
    program = kiln.program(firing.program) if kiln else None
    line = KilnLine(
        kiln=firing.kiln, name=(kiln.name if kiln else None) or firing.kiln, firing=firing.id,
        program=(program.name if program else None) or firing.stage, stage=firing.stage,
        pieces=sum(firing.pieces.values()),
    )  # fmt: skip
    if firing.lit is None:
        planned = live.plan.firing.get(firing.id)
        start = live.when(planned.fire) if planned is not None and planned.fire is not None else None
        return replace(line, light_from=start)
    told = opens_at(firing, known) if known is not None else None
    if told is None:
        return replace(line, lit=local(firing.lit))
    return replace(line, lit=local(firing.lit), tops=local(told[0]), opens=local(told[1]))


def mould_lines(
    studio: Studio, state: State, names: Names, forms: frozenset[str], now: datetime
) -> tuple[MouldLine, ...]:
    """How the moulds of ``forms`` stand at ``now``."""
    waters = waters_of(studio, state)
    by_form: dict[str, list[Mould]] = {}
    for row in waters.rows:
        if row.form.public_id in forms and row.retired_at is None:
            by_form.setdefault(row.form.public_id, []).append(row)
    lines = [_mould_line(form, found, waters, state, names, now) for form, found in by_form.items()]
    return tuple(sorted(lines, key=lambda x: x.name))


def _mould_line(form: str, moulds: list[Mould], waters: Waters, state: State, names: Names, now: datetime) -> MouldLine:
    ready, filled = 0, 0
    resting: dict[datetime, int] = {}
    for row in moulds:
        at = state.moulds.get(row.public_id)
        if at is not None and at.gone:
            continue
        if at is not None and at.filled_by:
            filled += 1
            continue
        ready_at = waters.of(row, minute_of(now)).ready
        dry = local(ready_at) if ready_at is not None else row.ready_from
        if dry <= now:
            ready += 1
        else:
            resting[dry] = resting.get(dry, 0) + 1
    times = tuple((n, local(int(at.timestamp()) // 60)) for at, n in sorted(resting.items()))
    return MouldLine(form, names.form(form), names.pot(form), ready, filled, times)


def to_wrap(cards: list[Card], state: State, names: Names) -> tuple[WrapLine, ...]:
    """What the plan wants covered overnight and is not yet: filled moulds, and leather-hard ware.

    :param cards: the day's cards; those that are not done yet are named too, since they will stand there by evening.
    """
    lines = []
    for card in cards:
        ware = state.ware.get(card.subject.id)
        if card.cover == "mould" and not (ware and (ware.covered_in_mould or ware.stage != IN_MOULD)):
            lines.append(_wrap("mould", card, names, ready=ware is not None))
        if card.cover == "ware" and not (ware and (ware.wrapped or ware.stage not in (IN_MOULD, LEATHER))):
            lines.append(_wrap("ware", card, names, ready=ware is not None and ware.stage == LEATHER))
    return tuple(lines)


def _wrap(what: str, card: Card, names: Names, *, ready: bool) -> WrapLine:
    return WrapLine(what, names.form(card.subject.form), card.pot, card.count, card.subject.id, ready)
