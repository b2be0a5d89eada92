"""What goes between the planner at work and the run's row: progress and answers there, the wish to stop back."""

from __future__ import annotations

import contextlib
import datetime as dt
import threading
import time
from collections.abc import Callable
from dataclasses import asdict
from typing import Any, Protocol

from django.db import DatabaseError, InterfaceError

from planner.solve import Progress
from studio.models import PlanRun
from studio.services import runs

BEAT = 0.5  # seconds between notes of progress


class Holder(Protocol):
    """The worker that holds a run."""

    name: str
    stop: threading.Event
    clock: Callable[[], dt.datetime]


class Watch:
    """Carries progress from the solver into the run's row, and the wish to stop from there to the solver."""

    def __init__(self, run: PlanRun, worker: Holder) -> None:
        self._run, self._worker = run, worker
        self._progress: dict[str, Any] | None = None
        self._result: dict[str, Any] | None = None
        self._beaten = 0.0
        self.stopped = False
        self._answered = False
        self.gave_way = False  # a question that let a plan go first

    def note(self, progress: Progress) -> None:
        self._progress = asdict(progress)
        if not self._beaten or progress.phase == "done":
            self._beat()

    def answer(self, result: dict[str, Any]) -> None:
        """Note the best answer so far; the first one is there to read at once."""
        first = self._result is None and not self._answered
        self._result, self._answered = result, True
        if first:
            self._beat()

    def should_stop(self) -> bool:
        if self._worker.stop.is_set():
            self.stopped = True
        if not self.stopped and time.monotonic() - self._beaten >= BEAT:
            self._beat()
        return self.stopped

    def _beat(self) -> None:
        self._beaten = time.monotonic()
        # A database that is busy for a moment is no reason to lose a search: the next beat tells.
        with contextlib.suppress(DatabaseError, InterfaceError):
            worker = self._worker
            go_on = runs.beat(
                run=self._run, worker=worker.name, now=worker.clock(), progress=self._progress, result=self._result
            )
            self._progress = self._result = None
            self.gave_way = self._run.kind == PlanRun.Kind.WHEN and runs.plan_waits()
            self.stopped = self.stopped or self.gave_way or not go_on
