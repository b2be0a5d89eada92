"""Today: what cannot wait, what is next, what is drying, firing and resting."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from studio.models import Studio
from studio.views.door import studio_page


@studio_page
def today(request: HttpRequest, studio: Studio) -> HttpResponse:
    """The day's page of one studio."""
    return render(request, "studio/today.html", {"studio": studio})
