"""The demo's hands: they do nothing that a person could not do, and do it by the same commands."""

from __future__ import annotations

import datetime as dt
import uuid
from typing import Any

from django.contrib.auth.models import User

from studio.demo.calendar import Calendar
from studio.models import Studio
from studio.services.commands import run_command


class Hands:
    """Sends commands at ``clock``. ``ids`` are by name, ``lines`` order lines by form and glaze."""

    def __init__(self, studio: Studio, owner: User, calendar: Calendar) -> None:
        self.studio, self.owner, self.calendar = studio, owner, calendar
        self.second: User | None = None
        self.clock = calendar.now
        self.ids: dict[str, str] = {}
        self.lines: dict[tuple[str, str], list[str]] = {}
        self.orders: list[str] = []
        self.batches: dict[str, str] = {}
        self.lit: dict[str, dt.datetime] = {}  # by program, the last time

    def do(self, kind: str, **payload: Any) -> dict[str, Any]:
        """Send one command as the owner; what it answered. Raises if it was refused: then the tables are wrong."""
        return self._send(self.owner, kind, payload)

    def do_second(self, kind: str, **payload: Any) -> dict[str, Any]:
        """The same by the second login."""
        return self._send(self.second or self.owner, kind, payload)

    def _send(self, user: User, kind: str, payload: dict[str, Any]) -> dict[str, Any]:
        answer = run_command(
            studio=self.studio, user=user, client_id=uuid.uuid4().hex, kind=kind, payload=payload, now=self.clock
        )
        if not answer.ok:
            raise ValueError(f"the demo's {kind} was refused: {answer.message} {answer.errors}")
        return answer.data

    def at(self, back: int, clock: str) -> bool:
        """Go to a wall time of a working day; False, and stay, if that is not over yet or no working day."""
        moment = self.calendar.at(back, clock)
        if moment > self.calendar.now or (back == 0 and not self.calendar.works_today):
            return False
        self.clock = moment.astimezone(dt.UTC)
        return True
