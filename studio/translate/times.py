"""When people are there, and when stations and kilns are taken."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property

from planner.scenario import Person, Span, Station
from studio.models import BlockedTime, KilnStart, WeeklyHours
from studio.record.state import State
from studio.translate.clock import Clock
from studio.translate.made import Notes
from studio.translate.rows import Rows
from studio.translate.spans import joined, without


@dataclass(frozen=True)
class Times:
    """The weeks of a studio as spans within [0, horizon)."""

    rows: Rows
    state: State
    clock: Clock
    horizon: int

    @cached_property
    def days(self) -> list[dt.date]:
        return list(self.clock.days(self.horizon))

    def weekly(self, rows: Iterable[WeeklyHours | KilnStart]) -> Iterator[tuple[int, int]]:
        """The stretches of every weekday that ``rows`` name."""
        for row in rows:
            for day in self.days:
                if day.weekday() == row.weekday:
                    yield self.clock.span(day, row.starts, row.ends)

    @cached_property
    def _blocked(self) -> list[tuple[BlockedTime, list[tuple[int, int]]]]:
        return [(b, list(self._stretches(b))) for b in self.rows.blocked]

    def _stretches(self, blocked: BlockedTime) -> Iterator[tuple[int, int]]:
        for day in self.days:
            if day == blocked.date or day.weekday() == blocked.weekday:
                yield self.clock.span(day, blocked.starts, blocked.ends)

    def blocked(self, what: str, thing: str) -> Iterator[tuple[int, int]]:
        """Stretches in which ``thing`` of ``what`` ("people", "stations", "kilns") is taken.

        Blocked time that names nothing at all takes everybody.
        """
        for row, stretches in self._blocked:
            taken = {x.public_id for x in getattr(row, what).all()}
            nothing = not (row.people.all() or row.stations.all() or row.kilns.all())
            if thing in taken or (nothing and what == "people"):
                yield from stretches

    def _cut(self, spans: Iterable[tuple[int, int]]) -> tuple[Span, ...]:
        return joined(spans, 0, self.horizon)

    def _absent(self, person_id: str, pk: int) -> tuple[Span, ...]:
        off = [
            (self.clock.wall(d.first, dt.time()), self.clock.wall(d.last + dt.timedelta(days=1), dt.time()))
            for d in self.rows.days_off
            if d.person_id == pk
        ]
        away = [
            (self.clock.of_record(a), self.clock.of_record(b))
            for person, a, b in self.state.away
            if person == person_id
        ]
        return self._cut([*off, *away, *self.blocked("people", person_id)])

    def people(self, notes: Notes) -> tuple[Person, ...]:
        """Everybody with hours less what is taken from them; evenings are extra."""
        found = []
        for row in self.rows.people:
            mine = [h for h in self.rows.hours if h.person_id == row.pk]
            absent = self._absent(row.public_id, row.pk)
            hours = without(self._cut(self.weekly(h for h in mine if not h.evening)), absent)
            evenings = without(self._cut(self.weekly(h for h in mine if h.evening)), absent)
            skills = None if row.skills is None else frozenset(row.skills)
            name = notes.name(row.public_id, row.name)
            person = notes.built(
                row.public_id,
                lambda: Person(row.public_id, hours, without(evenings, hours), skills, name),  # noqa: B023
            )
            if person is not None:
                found.append(person)
        return tuple(found)

    def stations(self, notes: Notes, tools: dict[str, str]) -> tuple[Station, ...]:
        """Every station; ``tools``: the tool of each form of the scenario, for what is mounted.

        A studio that makes something has a machine to make it on, even if nobody has written it down yet.
        """
        found = []
        for row in self.rows.stations:
            form, _at = self.state.mounted.get(row.public_id, ("", 0))
            closed = self._cut(self.blocked("stations", row.public_id))
            name = notes.name(row.public_id, row.name)
            station = notes.built(
                row.public_id,
                lambda: Station(row.public_id, frozenset(row.kinds), 0, tools.get(form), closed, name),  # noqa: B023
            )
            if station is not None:
                found.append(station)
        if tools and not any("press" in s.kinds for s in found):
            found.append(Station("jigger-jolley", frozenset({"press"}), 0, None, ()))
        return tuple(found)

    def kiln_closed(self, kiln: str) -> tuple[Span, ...]:
        """Stretches in which the kiln may hold nothing: blocked, or out of order (until nobody knows = throughout)."""
        spans = list(self.blocked("kilns", kiln))
        stands = self.state.kilns.get(kiln)
        if stands is not None and stands.out_since is not None:
            until = self.horizon if stands.out_until is None else self.clock.of_record(stands.out_until)
            spans.append((0, until))
        return self._cut(spans)

    def kiln_starts(self, kiln: str) -> tuple[Span, ...] | None:
        """Stretches in which the kiln may be lit, or None for any time."""
        rows = self.rows.kiln_starts.get(kiln)
        return self._cut(self.weekly(rows)) if rows else None
