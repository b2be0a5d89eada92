"""The studio's rows that a scenario is made of, read at once."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from studio.models import (
    BlockedTime,
    Cast,
    DayOff,
    Form,
    FormProfile,
    FormTimings,
    Glaze,
    Job,
    Kiln,
    KilnProgram,
    KilnStart,
    Mould,
    OrderLine,
    Person,
    Rack,
    Station,
    Studio,
    WeeklyHours,
)
from studio.queries.record import minute_of
from studio.translate.allowing import Way, ways_of


def latest_timings(studio: Studio) -> dict[int, FormTimings]:
    """By a form's key its last timings, with the form."""
    rows = FormTimings.objects.filter(studio=studio).select_related("form").order_by("valid_from")
    return {t.form_id: t for t in rows}


@dataclass(frozen=True)
class Rows:
    """All of one studio; each list is read when it is first asked for."""

    studio: Studio

    @cached_property
    def people(self) -> list[Person]:
        return list(Person.objects.filter(studio=self.studio, retired_at=None).order_by("pk"))

    @cached_property
    def hours(self) -> list[WeeklyHours]:
        return list(WeeklyHours.objects.filter(studio=self.studio).order_by("pk"))

    @cached_property
    def days_off(self) -> list[DayOff]:
        return list(DayOff.objects.filter(studio=self.studio))

    @cached_property
    def blocked(self) -> list[BlockedTime]:
        rows = BlockedTime.objects.filter(studio=self.studio, retired_at=None)
        return list(rows.prefetch_related("people", "stations", "kilns"))

    @cached_property
    def stations(self) -> list[Station]:
        return list(Station.objects.filter(studio=self.studio, retired_at=None).order_by("pk"))

    @cached_property
    def racks(self) -> list[Rack]:
        return list(Rack.objects.filter(studio=self.studio, retired_at=None))

    @cached_property
    def forms(self) -> list[Form]:
        """All forms, retired ones too: ware of theirs may stand there."""
        return list(Form.objects.filter(studio=self.studio).select_related("tool").order_by("pk"))

    @cached_property
    def timings(self) -> dict[str, list[FormTimings]]:
        """By form id, the earliest first."""
        found: dict[str, list[FormTimings]] = {}
        rows = FormTimings.objects.filter(studio=self.studio).select_related("form").order_by("valid_from")
        for row in rows:
            found.setdefault(row.form.public_id, []).append(row)
        return found

    @cached_property
    def drawn(self) -> dict[int, int]:
        """By the key of a form, when its first profile was entered (a minute of the record)."""
        rows = FormProfile.objects.filter(studio=self.studio).order_by("-valid_from")
        return {form: minute_of(at) for form, at in rows.values_list("form_id", "valid_from")}

    @cached_property
    def ways(self) -> dict[str, Way]:
        """By form id, what is lost on its way to firsts."""
        return ways_of(self.studio, self.timings)

    def timings_at(self, form: str, minute: int) -> FormTimings | None:
        """The timings of ``form`` at a minute of the record; before the first ones, the first."""
        rows = self.timings.get(form, [])
        return next((t for t in reversed(rows) if minute_of(t.valid_from) <= minute), rows[0] if rows else None)

    @cached_property
    def moulds(self) -> list[Mould]:
        """All moulds, retired ones too: they may be filled."""
        return list(Mould.objects.filter(studio=self.studio).select_related("form").order_by("pk"))

    @cached_property
    def casts(self) -> list[Cast]:
        return list(Cast.objects.filter(studio=self.studio).select_related("form").order_by("pk"))

    @cached_property
    def glazes(self) -> list[Glaze]:
        return list(Glaze.objects.filter(studio=self.studio).prefetch_related("programs").order_by("pk"))

    @cached_property
    def kilns(self) -> list[Kiln]:
        return list(Kiln.objects.filter(studio=self.studio).order_by("pk"))

    @cached_property
    def programs(self) -> dict[str, list[KilnProgram]]:
        """By kiln id."""
        found: dict[str, list[KilnProgram]] = {}
        for row in KilnProgram.objects.filter(studio=self.studio).select_related("kiln", "program").order_by("pk"):
            found.setdefault(row.kiln.public_id, []).append(row)
        return found

    @cached_property
    def kiln_starts(self) -> dict[str, list[KilnStart]]:
        """By kiln id."""
        found: dict[str, list[KilnStart]] = {}
        for row in KilnStart.objects.filter(studio=self.studio).select_related("kiln"):
            found.setdefault(row.kiln.public_id, []).append(row)
        return found

    @cached_property
    def jobs(self) -> list[Job]:
        rows = Job.objects.filter(studio=self.studio, retired_at=None).select_related("person", "station")
        return list(rows.order_by("pk"))

    @cached_property
    def lines(self) -> list[OrderLine]:
        """Open lines of open orders, those due first before the others."""
        rows = OrderLine.objects.filter(
            studio=self.studio, cancelled_at=None, order__cancelled_at=None, order__closed_at=None
        )
        rows = rows.select_related("order", "order__customer", "form", "glaze")
        return list(rows.order_by("order__due", "order__pk", "pk"))
