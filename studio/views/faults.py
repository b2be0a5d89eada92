"""Faults: which are the most, and what goes together with them."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone

from studio.models import Studio
from studio.queries.faults import faults_of
from studio.views.door import studio_page


@studio_page
def faults(request: HttpRequest, studio: Studio) -> HttpResponse:
    """One page to read."""
    return render(request, "studio/faults.html", {"faults": faults_of(studio, timezone.now())})
