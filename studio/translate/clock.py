"""Wall time and the planner's minutes. Summer time is settled here and nowhere else.

The planner counts elapsed minutes; a studio thinks in wall times of its own zone. A wall time that is skipped when the
clocks go forward means the first instant after the gap; one that comes twice when they go back means the first.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass
from zoneinfo import ZoneInfo

MINUTE = dt.timedelta(minutes=1)
DAY = dt.timedelta(days=1)
FAR = 9 * 365 * 1440
LAST_OF_DAY = dt.time(23, 59)  # as an end it means midnight, which a time of day cannot say


def within_years(minute: int) -> int:
    """``minute``, or the nearest that is safely within the ten years either way that the planner counts."""
    return max(-FAR, min(minute, FAR))


def instant(day: dt.date, time: dt.time, zone: ZoneInfo) -> dt.datetime:
    """The instant (UTC) at which clocks in ``zone`` show ``time`` on ``day``."""
    wall = dt.datetime.combine(day, time.replace(tzinfo=None))
    first = wall.replace(tzinfo=zone, fold=0).astimezone(dt.UTC)
    if first.astimezone(zone).replace(tzinfo=None, fold=0) == wall:
        return first
    return _end_of_gap(wall, zone)


def _end_of_gap(wall: dt.datetime, zone: ZoneInfo) -> dt.datetime:
    """The instant of the jump that skips ``wall``: the two readings of a skipped time lie on either side of it."""
    before = wall.replace(tzinfo=zone, fold=1).astimezone(dt.UTC)
    after = wall.replace(tzinfo=zone, fold=0).astimezone(dt.UTC)
    offset = before.astimezone(zone).utcoffset()
    while after - before > MINUTE:
        middle = before + MINUTE * ((after - before) // MINUTE // 2)
        if middle.astimezone(zone).utcoffset() == offset:
            before = middle
        else:
            after = middle
    return after


@dataclass(frozen=True)
class Clock:
    """Minutes from ``start`` (aware, to the minute) in a studio in ``zone``."""

    start: dt.datetime
    zone: ZoneInfo

    @classmethod
    def at(cls, now: dt.datetime, zone: str) -> Clock:
        """The clock whose minute 0 is ``now``, its seconds cut off."""
        return cls(now.astimezone(dt.UTC).replace(second=0, microsecond=0), ZoneInfo(zone))

    def minute(self, moment: dt.datetime) -> int:
        """Whole minutes from start to ``moment`` (aware), rounded down."""
        return (moment - self.start) // MINUTE

    def when(self, minute: int) -> dt.datetime:
        """The wall time of ``minute``, aware."""
        return (self.start + MINUTE * minute).astimezone(self.zone)

    def of_record(self, minute: int) -> int:
        """A minute of the record (since 1970 in UTC) as a minute from start, within what the planner can count."""
        return within_years(minute - int(self.start.timestamp()) // 60)

    @property
    def iso(self) -> str:
        """``start`` as the planner reads it: to the minute, with the zone's offset."""
        return self.when(0).isoformat(timespec="minutes")

    @property
    def today(self) -> dt.date:
        return self.when(0).date()

    def wall(self, day: dt.date, time: dt.time) -> int:
        """The minute at which clocks show ``time`` on ``day``."""
        return self.minute(instant(day, time, self.zone))

    def end(self, day: dt.date, time: dt.time) -> int:
        """The minute at which a stretch ends that ends at ``time``; 23:59 means midnight."""
        if time.replace(second=0, microsecond=0) >= LAST_OF_DAY:
            return self.wall(day + DAY, dt.time())
        return self.wall(day, time)

    def span(self, day: dt.date, starts: dt.time, ends: dt.time) -> tuple[int, int]:
        """The minutes of a stretch of ``day``; empty (a >= b) if the clocks skip it."""
        return self.wall(day, starts), self.end(day, ends)

    def midnight(self, days: int) -> int:
        """The minute of the local midnight that begins the day ``days`` after today."""
        return self.wall(self.today + DAY * days, dt.time())

    def days(self, horizon: int) -> Iterator[dt.date]:
        """The local days from today to the one in which ``horizon`` lies."""
        day, last = self.today, self.when(horizon).date()
        while day <= last:
            yield day
            day += DAY
