"""When could it be ready? A question about a form, a glaze and a number, and its answer while it gets better."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone

from studio.models import Studio
from studio.queries.choices import order_choices
from studio.queries.when import asked
from studio.views.door import studio_page
from studio.views.filled import filled
from studio.views.refused import take_refused


@studio_page
def when(request: HttpRequest, studio: Studio) -> HttpResponse:
    """The form, filled with what the address brings, and the answer to ``?run=``; htmx asks for the answer alone."""
    found = asked(studio, request.GET.get("run", ""), now=timezone.now())
    if request.headers.get("HX-Request") and found is not None:
        return render(request, "studio/_when_stage.html", {"asked": found})
    start = {k: request.GET.get(k, "") for k in ("form", "glaze", "qty")}
    if found is not None:
        start = {k: found.run.about.get(k, "") for k in start}
    form = filled(take_refused(request, studio, "when_ask"), "when_ask", start)
    return render(request, "studio/when.html", {"asked": found, "form": form, "choices": order_choices(studio)})
