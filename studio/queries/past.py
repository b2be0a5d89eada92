"""Ware whose time is over: somebody has to say whether it is still good."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING

from planner.scenario import Form
from studio.queries.cards import Names, local
from studio.record.state import IN_MOULD, LEATHER, State, Ware
from studio.translate.stages import mould_wait, softer, steps_behind, work_waits

if TYPE_CHECKING:
    from studio.queries.plans import Live
    from studio.translate.rows import Rows


@dataclass(frozen=True)
class Past:
    """Pieces that should have been out of the mould, or worked on, by ``since``."""

    id: str
    name: str
    pot: str
    count: int
    stage: str
    since: datetime


def past_its_time(live: Live, state: State, names: Names, rows: Rows, now: datetime) -> tuple[Past, ...]:
    """Ware in the moulds or leather-hard whose window has passed, the longest over first; the plan takes it as good."""
    minute, found = int(now.timestamp()) // 60, []
    for ware in state.ware.values():
        form = live.scenario.form.get(ware.form)
        latest = None if form is None else latest_of(ware, form, rows)
        if latest is not None and latest < minute and (ware.ask_at is None or ware.ask_at <= minute):
            found.append((latest, ware))
    return tuple(Past(w.id, names.form(w.form), names.pot(w.form), w.count, w.stage, local(latest))
                 for latest, w in sorted(found, key=lambda x: (x[0], x[1].id)))  # fmt: skip


def latest_of(ware: Ware, form: Form, rows: Rows) -> int | None:
    """The last minute of the record at which the next work on ``ware`` is in time; None if none waits."""
    if ware.stage == IN_MOULD:
        window, _covered = mould_wait(ware, form)
        begun, end = ware.first, ware.pressed[1] if ware.pressed else None
    elif ware.stage == LEATHER:
        todo = form.steps[steps_behind(ware, [s.kind for s in form.steps], rows) :]
        if not todo or ware.released is None:
            return None
        window, (begun, end) = work_waits(ware, todo)[0][0], ware.released
    else:
        return None
    if ware.until is not None or begun is None:
        return ware.until
    return begun + softer(ware.ask_at, begun if end is None else end, window.lo) + window.hi
