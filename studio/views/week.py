"""The week: half-day boxes, what is in use, and what will be late; made to be printed on one sheet."""

from __future__ import annotations

from datetime import date, timedelta

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone

from studio.models import Studio
from studio.queries.week import week_of
from studio.views.door import studio_page


@studio_page
def week(request: HttpRequest, studio: Studio) -> HttpResponse:
    """One week of the plan (``?from=`` any day of it), by person or by kind of work (``?by=kind``)."""
    monday = _monday(request.GET.get("from", ""))
    found = week_of(studio, now=timezone.localtime(), monday=monday, by=request.GET.get("by", ""))
    return render(request, "studio/week.html", {"week": found})


def _monday(text: str) -> date | None:
    """The Monday of the week of an ISO date; None for this week, and for what is no date."""
    try:
        on = date.fromisoformat(text)
        return on - timedelta(days=on.weekday()) if 2000 <= on.year <= 2100 else None
    except ValueError:
        return None
