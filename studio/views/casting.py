"""A casting session as a checklist, and the stock of plaster."""

from __future__ import annotations

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone

from studio import units
from studio.models import Studio
from studio.queries.bags_seen import bags_seen
from studio.queries.casting import casting_of
from studio.views.door import studio_page
from studio.views.filled import filled
from studio.views.refused import take_refused


@studio_page
def casting(request: HttpRequest, studio: Studio, cast: str) -> HttpResponse:
    """One mould, step by step, ticked as it is done."""
    found = casting_of(studio, cast, timezone.localtime())
    if found is None:
        raise Http404
    unit = _unit()
    entered = filled(take_refused(request, studio, "poured"), "poured", {unit: ""}, cast=cast)
    return render(request, "studio/casting.html", {
        "casting": found, "unit": unit, "other": entered,
        "scale": filled(None, "weighed", {"grams": ""}),
    })  # fmt: skip


@studio_page
def plaster_stock(request: HttpRequest, studio: Studio) -> HttpResponse:
    """Bags, oldest first."""
    unit = _unit()
    refusal = take_refused(request, studio, "plaster_in", "plaster_left")
    new = {unit: "50" if unit == "lb" else "25", "count": 1, "made": "", "best": ""}
    context = {
        "seen": bags_seen(studio, timezone.localtime()), "unit": unit, "new": filled(refusal, "plaster_in", new),
        "left": filled(refusal, "plaster_left", {"bag": "", unit: ""}),
    }  # fmt: skip
    return render(request, "studio/plaster_stock.html", context)


def _unit() -> str:
    return "lb" if units.current() == units.US else "kg"
