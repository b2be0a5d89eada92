"""Done without a plan: pressed, taken out, worked on, glazed, sorted."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from studio.models import Studio
from studio.queries.unplanned import unplanned_of
from studio.views.door import studio_page


@studio_page
def unplanned(request: HttpRequest, studio: Studio) -> HttpResponse:
    """What stands there, each with what may be recorded of it."""
    return render(request, "studio/unplanned.html", {"page": unplanned_of(studio)})
