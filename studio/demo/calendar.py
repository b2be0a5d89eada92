"""The demo's working days: Monday to Friday, counted back from the day on which it is loaded."""

from __future__ import annotations

import datetime as dt
from zoneinfo import ZoneInfo


class Calendar:
    """``day(-1)`` is the last working day before today, ``day(0)`` today if it is one."""

    def __init__(self, now: dt.datetime, zone: ZoneInfo) -> None:
        self.zone = zone
        self.now = now.astimezone(zone)
        self.today = self.now.date()
        self.works_today = self.today.weekday() < 5

    def day(self, back: int) -> dt.date:
        """The working day ``back`` (0 or negative) before today."""
        day = self.today
        for _i in range(-back):
            day -= dt.timedelta(days=1)
            while day.weekday() >= 5:
                day -= dt.timedelta(days=1)
        return day

    def at(self, back: int, clock: str) -> dt.datetime:
        """A wall time of that day, as an instant."""
        wall = dt.datetime.combine(self.day(back), dt.time.fromisoformat(clock), self.zone)
        return wall.astimezone(dt.UTC)

    @property
    def night_before_today(self) -> bool:
        """Whether today is a working day right after another one, so that moulds stood filled last night."""
        return self.works_today and self.today - self.day(-1) == dt.timedelta(days=1)

    @property
    def night_after_today(self) -> bool:
        """Whether tomorrow is a working day as well as today."""
        return self.works_today and self.today.weekday() < 4
