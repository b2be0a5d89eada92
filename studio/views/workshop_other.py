"""Work beside the pots: weekly and single jobs, and time that teaching, office or a fair takes."""

from __future__ import annotations

from typing import Any

from django.db.models import Q
from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from django.utils.dates import WEEKDAYS

from studio.models import BlockedTime, Job, Kiln, Person, Station, Studio
from studio.queries.choices import choices_of
from studio.views.door import studio_page
from studio.views.filled import filled, things
from studio.views.refused import take_refused
from studio.views.workshop import part

JOB = {"name": "", "minutes": 60, "person": "", "station": "", "weekday": "", "starts": "", "ends": "",
       "not_before": "", "not_after": ""}  # fmt: skip
BLOCKED: dict[str, Any] = {"name": "", "weekday": "", "date": "", "starts": "", "ends": "", "people": [],
                           "stations": [], "kilns": []}  # fmt: skip


@studio_page
def workshop_other(request: HttpRequest, studio: Studio) -> HttpResponse:
    """Jobs and blocked time that are still to come."""
    refusal = take_refused(request, studio, "job_save", "blocked_save")
    now = timezone.localtime()
    jobs = Job.objects.filter(studio=studio, retired_at=None).filter(Q(not_after=None) | Q(not_after__gte=now))
    blocked = BlockedTime.objects.filter(studio=studio, retired_at=None)
    blocked = blocked.filter(Q(date=None) | Q(date__gte=now.date())).prefetch_related("people", "stations", "kilns")
    context = {
        "jobs": things(refusal, "job_save", "job", jobs.select_related("person", "station").order_by("pk"), _job),
        "new_job": filled(refusal, "job_save", JOB, job=""),
        "blocked": things(refusal, "blocked_save", "blocked", blocked.order_by("pk"), _blocked),
        "new_blocked": filled(refusal, "blocked_save", BLOCKED, blocked=""),
        "people": choices_of(Person, studio), "stations": choices_of(Station, studio),
        "kilns": choices_of(Kiln, studio), "weekdays": [(d, WEEKDAYS[d]) for d in range(7)],
    }  # fmt: skip
    return part(request, studio, "studio/workshop_other.html", "", context)


def _job(row: Job) -> dict[str, Any]:
    same = {k: getattr(row, k) for k in ("name", "minutes", "starts", "ends", "not_before", "not_after")}
    return {
        **same, "person": row.person.public_id if row.person else "",
        "station": row.station.public_id if row.station else "", "weekday": "" if row.weekday is None else row.weekday,
        "day": WEEKDAYS[row.weekday] if row.weekday is not None else "",
    }  # fmt: skip


def _blocked(row: BlockedTime) -> dict[str, Any]:
    taken = {k: [x.public_id for x in getattr(row, k).all()] for k in ("people", "stations", "kilns")}
    return {
        **taken, "name": row.name, "weekday": "" if row.weekday is None else row.weekday,
        "date": row.date or "", "starts": row.starts, "ends": row.ends,
        "day": WEEKDAYS[row.weekday] if row.weekday is not None else "",
    }  # fmt: skip
