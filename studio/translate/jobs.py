"""Other work that must be done: once, or every week."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass

from planner.scenario import Job, Person, Span, Station, Window
from studio.models import Job as JobRow
from studio.record.state import State
from studio.translate.chances import has_room
from studio.translate.clock import Clock
from studio.translate.made import Notes
from studio.translate.rows import Rows


@dataclass(frozen=True)
class JobMaker:
    """Turns rows into jobs of the days to come."""

    rows: Rows
    state: State
    clock: Clock
    horizon: int
    people: dict[str, Person]
    stations: dict[str, Station]
    notes: Notes

    def all(self) -> tuple[Job, ...]:
        """Every job still to do within the horizon, and for which somebody has the time: one that nobody can do in
        its week is left out with a note, so that it does not make the whole plan impossible."""
        found = []
        for row in self.rows.jobs:
            for day, window in self._windows(row):
                job_id = f"{row.public_id}-{day.isoformat()}"
                if job_id in self.state.jobs_done:
                    continue
                job = self.notes.built(job_id, lambda: self._job(row, job_id, window))  # noqa: B023
                if job is not None:
                    found.append(job)
        return tuple(found)

    def _windows(self, row: JobRow) -> Iterator[tuple[dt.date, Span]]:
        if row.weekday is not None and row.starts is not None and row.ends is not None:
            for day in self.clock.days(self.horizon):
                a, b = self.clock.span(day, row.starts, row.ends)
                if day.weekday() == row.weekday and max(a, 0) < b <= self.horizon:
                    yield day, Span(max(a, 0), b)
        elif row.not_before is not None or row.not_after is not None:
            yield from self._once(row)

    def _once(self, row: JobRow) -> Iterator[tuple[dt.date, Span]]:
        """Within its time; one whose time has passed undone is still to do, as soon as it can be."""
        day = (row.not_before or row.not_after or self.clock.start).astimezone(self.clock.zone).date()
        a = 0 if row.not_before is None else max(0, self.clock.minute(row.not_before))
        b = self.horizon if row.not_after is None else self.clock.minute(row.not_after)
        if a >= self.horizon:
            return
        if b < a + row.minutes or not self._room(row, Span(a, min(b, self.horizon))):
            b = self.horizon
        if min(b, self.horizon) > a:
            yield day, Span(a, min(b, self.horizon))

    def _job(self, row: JobRow, job_id: str, span: Span) -> Job | None:
        if not self._room(row, span):
            self.notes.leave_out(job_id, "no_chance")
            self.notes.name(job_id, row.name)
            return None
        person, station = self._who(row), self._where(row)
        name = self.notes.name(job_id, row.name)
        return Job(job_id, row.minutes, Window(span.a, span.b), person, station, name)

    def _who(self, row: JobRow) -> str | None:
        return row.person.public_id if row.person is not None and row.person.public_id in self.people else None

    def _where(self, row: JobRow) -> str | None:
        return row.station.public_id if row.station is not None and row.station.public_id in self.stations else None

    def _room(self, row: JobRow, span: Span) -> bool:
        who, where = self._who(row), self._where(row)
        people = [self.people[who]] if who is not None else list(self.people.values())
        closed = self.stations[where].closed if where is not None else ()
        return has_room(people, "job", row.minutes, span, closed)
