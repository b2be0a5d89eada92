"""The people, their weekly hours and their days off."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.utils import timezone
from django.utils.dates import WEEKDAYS
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from studio.models import DayOff, Person, Studio, WeeklyHours
from studio.services.commands_start import WEEKS
from studio.views.door import studio_page
from studio.views.filled import Filled, filled
from studio.views.refused import Refusal, take_refused
from studio.views.workshop import part
from studio.words import KINDS

SKILLS = [k for k in KINDS if k != "trim"]
SHORT = {
    "full": gettext_lazy("8 to 17 with a break"), "mornings": gettext_lazy("mornings, 8 to 12:30"),
    "afternoons": gettext_lazy("afternoons, 13 to 17"), "none": gettext_lazy("no fixed hours"),
}  # fmt: skip


@dataclass(frozen=True)
class PersonView:
    row: Person
    hours_a_week: float
    evenings: int


@studio_page
def workshop_people(request: HttpRequest, studio: Studio) -> HttpResponse:
    """All people, and a form for one more."""
    rows = Person.objects.filter(studio=studio, retired_at=None).order_by("pk").prefetch_related("weekly_hours")
    views = [_view(p) for p in rows]
    me = request.member  # type: ignore[attr-defined]
    first = not views
    start = {"name": request.user.get_username().capitalize() if first else "", "week": "full", "me": first}
    form = filled(take_refused(request, studio, "start_person"), "start_person", start)
    weeks = [(w, SHORT[w]) for w in WEEKS]
    context = {"people": views, "form": form, "weeks": weeks, "can_be_me": me.person_id is None}
    return part(request, studio, "studio/workshop_people.html", "people", context)


def _view(person: Person) -> PersonView:
    spans = [(h, (h.ends.hour - h.starts.hour) * 60 + h.ends.minute - h.starts.minute)
             for h in person.weekly_hours.all()]  # fmt: skip
    day = sum(m for h, m in spans if not h.evening)
    return PersonView(person, day / 60, sum(1 for h, _m in spans if h.evening))


@dataclass(frozen=True)
class Slot:
    """A stretch of a day's form; ``error`` is what is wrong with it."""

    weekday: int
    evening: bool
    label: str
    starts: str
    ends: str
    error: str = ""


@dataclass(frozen=True)
class Day:
    name: str
    slots: tuple[Slot, ...]


@studio_page
def workshop_person(request: HttpRequest, studio: Studio, person: str) -> HttpResponse:
    """One person: name and skills, the week's hours, days off."""
    row = Person.objects.filter(studio=studio, public_id=person, retired_at=None).first()
    if row is None:
        raise Http404
    refusal = take_refused(request, studio, "person_save", "hours_save", "day_off")
    start = {"name": row.name, "skills": row.skills or []}
    hours = filled(refusal, "hours_save", {}, version=row.version, person=person)
    context = {
        "row": row, "form": filled(refusal, "person_save", start, version=row.version, person=person),
        "hours": hours, "days": _days(row, hours, refusal), "skills": [(k, KINDS[k].group) for k in SKILLS],
        "off": filled(refusal, "day_off", {"first": "", "last": ""}, person=person),
        "days_off": DayOff.objects.filter(person=row, last__gte=timezone.localdate()).order_by("first"),
        "own": request.member.person_id == row.pk,  # type: ignore[attr-defined]
    }  # fmt: skip
    return part(request, studio, "studio/workshop_person.html", "people", context)


def _days(person: Person, form: Filled, refusal: Refusal | None) -> list[Day]:
    slots = _entered(form) if form.is_refused else _kept(person)
    return [Day(str(WEEKDAYS[d]), tuple(s for s in slots if s.weekday == d)) for d in range(7)]


def _kept(person: Person) -> list[Slot]:
    """The hours as they are, with room for two stretches and an evening on each day."""
    rows = list(WeeklyHours.objects.filter(person=person).order_by("weekday", "starts"))
    slots = []
    for day in range(7):
        for evening, least in ((False, 2), (True, 1)):
            mine = [h for h in rows if h.weekday == day and h.evening is evening]
            spans = [(h.starts.strftime("%H:%M"), h.ends.strftime("%H:%M")) for h in mine]
            spans += [("", "")] * max(0, least - len(spans))
            slots += [Slot(day, evening, _label(evening, i), a, b) for i, (a, b) in enumerate(spans)]
    return slots


def _label(evening: bool, place: int) -> str:
    return _("evening, if it helps") if evening else (_("hours") if place == 0 else _("and"))


def _entered(form: Filled) -> list[Slot]:
    """The hours as they were entered, with what is wrong at each; empty stretches do not count there."""
    columns: dict[str, Any] = {k: form.values.get(k, []) for k in ("weekday", "evening", "starts", "ends")}
    table = zip(*(v if isinstance(v, list) else [v] for v in columns.values()), strict=False)
    slots, place = [], 0
    for weekday, evening, starts, ends in table:
        counted = bool(starts or ends)
        wrong = [e for k in ("starts", "ends") if (e := form.errors.get(f"hours.{place}.{k}"))] if counted else []
        place += counted
        if str(weekday).isdecimal() and int(weekday) < 7:
            label = _label(evening == "true", 0)
            slots.append(Slot(int(weekday), evening == "true", label, starts, ends, " ".join(wrong)))
    return slots
