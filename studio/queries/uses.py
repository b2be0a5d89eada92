"""How much of the boards, moulds and kilns a plan uses, day by day, against what there is."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from functools import lru_cache
from typing import TYPE_CHECKING

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from planner.checks.boards import rack_levels
from planner.facts import Facts
from studio.queries.cards import Names
from studio.queries.plans import read_plan
from studio.record.state import State

if TYPE_CHECKING:
    from studio.queries.plans import Live

RACKS = {
    "damp": gettext_lazy("damp cupboard"),
    "drying": gettext_lazy("drying rack"),
    "glazed": gettext_lazy("glazed ware"),
}
BOARDS, MOULDS, KILNS = "boards", "moulds", "kilns"


@dataclass(frozen=True)
class Bar:
    """One day: the most that is in use at once. Places for a drawing of ``Use.WIDE`` units a day, 20 high."""

    date: date
    used: int
    x: int
    y: float
    high: float
    over: bool


@dataclass(frozen=True)
class Use:
    """One rack, one form's moulds or one kiln through the days shown."""

    what: str
    name: str
    have: int
    bars: tuple[Bar, ...]

    @property
    def most(self) -> int:
        return max((b.used for b in self.bars), default=0)

    @property
    def peak(self) -> date | None:
        """The first day on which the most is used."""
        return next((b.date for b in self.bars if b.used == self.most and b.used), None)

    @property
    def wide(self) -> int:
        return 12 * len(self.bars)


def uses(live: Live, state: State, names: Names, days: list[date]) -> tuple[Use, ...]:
    """Racks, moulds of the forms pressed in ``days``, and kilns."""
    racks = [
        _use(BOARDS, str(RACKS[rack]), getattr(live.scenario.racks, rack), _daily(live, levels, days))
        for rack, levels in _rack_levels(live.row.pk, live.row.public_id).items()
        if getattr(live.scenario.racks, rack)
    ]
    return (*racks, *_moulds(live, state, names, days), *_kilns(live, days))


@lru_cache(maxsize=16)
def _rack_levels(pk: int, public_id: str) -> dict[str, tuple[tuple[int, int], ...]]:
    """Boards on each rack of a kept plan, as minutes of change with the boards from then on; by its lasting id."""
    kept, scenario = read_plan(pk)
    found = rack_levels(Facts(scenario, kept))
    return {rack: tuple((x.minute, x.boards) for x in levels) for rack, levels in found.items()}


def _use(what: str, name: str, have: int, daily: dict[date, int]) -> Use:
    top = max(have, *daily.values(), 1)
    bars = []
    for i, (on, used) in enumerate(daily.items()):
        high = round(20 * used / top, 1)
        bars.append(Bar(on, used, 12 * i, round(20 - high, 1), high, used > have))
    return Use(what, name, have, tuple(bars))


def _daily(live: Live, levels: Iterable[tuple[int, int]], days: list[date]) -> dict[date, int]:
    """The highest level of each day, the one carried over from the day before included."""
    most, held = dict.fromkeys(days, 0), 0
    changes = [(live.when(minute).date(), n) for minute, n in levels]
    for on in days:
        earlier = [n for day, n in changes if day < on]
        held = earlier[-1] if earlier else 0
        most[on] = max([held, *(n for day, n in changes if day == on)])
    return most


def _moulds(live: Live, state: State, names: Names, days: list[date]) -> Iterable[Use]:
    """By form, the most moulds that are filled at once."""
    forms = sorted({b.form for b in live.plan.batches if b.press}, key=names.form)
    for form in forms:
        have = sum(1 for m in live.scenario.moulds if m.form == form and not _gone(state, m.id))
        yield _use(MOULDS, _("moulds: %(form)s") % {"form": names.form(form)}, have, _filled(live, form, days))


def _gone(state: State, mould: str) -> bool:
    stands = state.moulds.get(mould)
    return stands is not None and stands.gone is not None


def _filled(live: Live, form: str, days: list[date]) -> dict[date, int]:
    changes = []
    for b in live.plan.batches:
        if b.form == form and b.release:
            start = live.plan.task[b.press].start if b.press else 0
            changes += [(start, b.count), (live.plan.task[b.release].end, -b.count)]
    level, levels = 0, []
    for minute, by in sorted(changes):
        level += by
        levels.append((minute, level))
    return _daily(live, levels, days)


def _kilns(live: Live, days: list[date]) -> Iterable[Use]:
    """By kiln, the hours of each day in which it is packed, fires, cools or is drawn."""
    for kiln in live.scenario.kilns:
        hours = dict.fromkeys(days, 0.0)
        for firing in live.plan.firings:
            if firing.kiln != kiln.id:
                continue
            start = live.plan.task[firing.load].start if firing.load else 0
            _add_hours(live, hours, start, live.plan.task[firing.unload].end)
        yield _use(KILNS, kiln.name or kiln.id, 24, {on: round(h) for on, h in hours.items()})


def _add_hours(live: Live, hours: dict[date, float], start: int, end: int) -> None:
    """Share a stretch among the days it lies in, by the hour."""
    for minute in range(start, end, 60):
        on = live.when(minute).date()
        if on in hours:
            hours[on] = min(24.0, hours[on] + min(60, end - minute) / 60)
