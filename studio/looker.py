"""What a worker does while nobody waits: it looks closer at the plans in use, and stops as soon as somebody does."""

from __future__ import annotations

import contextlib
import logging
import time

from django.db import DatabaseError, InterfaceError

from planner.relief import Relief, relief
from planner.robust import sureness
from studio.models import Plan
from studio.services import looks
from studio.translate.looking import Look, helps_json, look_at, sure_json
from studio.watch import BEAT, Holder

log = logging.getLogger("studio.worker")

HELP_SECONDS = 20


class Looker:
    """Looks at one plan for a worker."""

    def __init__(self, worker: Holder) -> None:
        self._worker = worker
        self._looked = 0.0
        self._stopped = False

    def once(self) -> bool:
        """Look at one plan; False if there was none to look at."""
        row = looks.claim_look(now=self._worker.clock())
        if row is None:
            return False
        try:
            self._look(row)
        except (DatabaseError, InterfaceError):
            raise
        except Exception:
            log.exception("a plan could not be looked at")  # it is tried again a few times, and then left
        return True

    def _look(self, row: Plan) -> None:
        seq = row.studio.next_seq - 1
        seen = look_at(row.studio, row, self._worker.clock())
        if seen is None:
            looks.note_look(plan=row, now=self._worker.clock(), ended=True, sure={}, helps=_none(), looked_seq=seq)
            return
        self._sure(row, seen, seq)
        if row.is_current and not self._should_stop() and not (row.helps or {}).get("done"):
            self._helps(row, seen)
        if self._stopped:
            looks.let_go(plan=row)
        else:
            looks.note_look(plan=row, now=self._worker.clock(), ended=True)

    def _sure(self, row: Plan, seen: Look, seq: int) -> None:
        if row.sure is not None and row.looked_seq == seq:
            return
        rows = sureness(
            seen.scenario, seen.plan, spread=seen.spread, firsts=seen.firsts, should_stop=self._should_stop
        )  # fmt: skip
        if not self._stopped:
            now = self._worker.clock()
            looks.note_look(plan=row, now=now, sure=sure_json(seen, rows, now), rests=seen.rests, looked_seq=seq)

    def _helps(self, row: Plan, seen: Look) -> None:
        def told(rows: tuple[Relief, ...]) -> None:
            looks.note_look(plan=row, now=self._worker.clock(), helps=helps_json(rows, done=False))

        rows = relief(
            seen.scenario, seen.plan, seconds=HELP_SECONDS, on_progress=told, should_stop=self._should_stop
        )  # fmt: skip
        looks.note_look(plan=row, now=self._worker.clock(), helps=helps_json(rows, done=not self._stopped))

    def _should_stop(self) -> bool:
        self._stopped = self._stopped or self._worker.stop.is_set()
        if not self._stopped and time.monotonic() - self._looked >= BEAT:
            self._looked = time.monotonic()
            with contextlib.suppress(DatabaseError, InterfaceError):
                self._stopped = looks.somebody_waits()
        return self._stopped


def _none() -> dict[str, object]:
    return {"done": True, "items": []}
