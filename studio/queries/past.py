"""Ware whose time is over: somebody has to say whether it is still good."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING

from planner.scenario import Form
from studio.queries.cards import Names, local
from studio.record.state import IN_MOULD, LEATHER, State, Ware

if TYPE_CHECKING:
    from studio.queries.plans import Live


@dataclass(frozen=True)
class Past:
    """Pieces that should have been out of the mould, or worked on, by ``since``."""

    id: str
    name: str
    pot: str
    count: int
    stage: str
    since: datetime


def past_its_time(live: Live, state: State, names: Names, now: datetime) -> tuple[Past, ...]:
    """Ware in the moulds or leather-hard whose window has passed, the longest over first; the plan takes it as good."""
    minute, found = int(now.timestamp()) // 60, []
    for ware in state.ware.values():
        form = live.scenario.form.get(ware.form)
        latest = None if form is None else _latest(ware, form)
        if latest is not None and latest < minute and (ware.ask_at is None or ware.ask_at <= minute):
            found.append((latest, ware))
    return tuple(Past(w.id, names.form(w.form), names.pot(w.form), w.count, w.stage, local(latest))
                 for latest, w in sorted(found, key=lambda x: (x[0], x[1].id)))  # fmt: skip


def _latest(ware: Ware, form: Form) -> int | None:
    """The last minute of the record at which the next work on ``ware`` is in time; None if none waits."""
    if ware.stage == IN_MOULD:
        window = (form.release_after_covered if ware.covered_in_mould else None) or form.release_after
        start = ware.first
    elif ware.stage == LEATHER and ware.dry_at is None:
        step = next((s for s in form.steps if s.kind not in ware.steps), None)
        if step is None or ware.released is None:
            return None
        window = (step.after_covered if ware.wrapped else None) or step.after
        start = ware.released[0]
    else:
        return None
    if ware.until is not None:
        return ware.until
    return None if start is None else start + window.hi
