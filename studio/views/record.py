"""What happened: by day, newest first, with undo; what does not add up, and how to mend it."""

from __future__ import annotations

from datetime import date

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone

from studio.models import Studio
from studio.queries.happened import happened_of
from studio.views.door import studio_page


@studio_page
def record(request: HttpRequest, studio: Studio) -> HttpResponse:
    """A week of the record, up to today or to ``?to=``."""
    page = happened_of(studio, now=timezone.localtime(), last=_date(request.GET.get("to", "")))
    return render(request, "studio/record.html", {"page": page})


def _date(text: str) -> date | None:
    try:
        on = date.fromisoformat(text)
    except ValueError:
        return None
    return on if 2000 <= on.year <= 2100 else None
