"""A new plan: ask for one, watch it, see what it would change, use it or leave it, go back."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone

from studio.models import Studio
from studio.queries.run import plan_page
from studio.views.door import studio_page


@studio_page
def plan(request: HttpRequest, studio: Studio) -> HttpResponse:
    """The page of one run (``?run=``) or of the last; htmx asks for its middle part while it works."""
    page = plan_page(studio, now=timezone.now(), run_id=request.GET.get("run", ""))
    part = "studio/_plan_stage.html" if request.headers.get("HX-Request") else "studio/plan.html"
    return render(request, part, {"page": page})
