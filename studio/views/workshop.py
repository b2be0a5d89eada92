"""The studio at a glance, and its first hour: the steps from nothing to a first plan."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from studio.models import Studio
from studio.queries.air import air_seen
from studio.queries.workshop import first_hour, workshop_of
from studio.views.door import is_owner, studio_page
from studio.views.filled import filled
from studio.views.refused import take_refused


@studio_page
def workshop(request: HttpRequest, studio: Studio) -> HttpResponse:
    """Its parts, this week's climate, and how far it is set up."""
    air = air_seen(studio)
    entered = filled(take_refused(request, studio, "air_set"), "air_set", air.entered)
    context = {"shop": workshop_of(studio), "weeks": Studio.Week.choices, "air": air, "air_form": entered}
    return render(request, "studio/workshop.html", context)


@studio_page
def workshop_first(request: HttpRequest, studio: Studio) -> HttpResponse:
    """All steps of the first hour."""
    return render(request, "studio/workshop_first.html", {"first": first_hour(studio)})


def part(request: HttpRequest, studio: Studio, template: str, step: str, context: dict[str, Any]) -> HttpResponse:
    """The page of one part: by itself, or as a ``step`` of the first hour (``?first=1``).

    Whoever is no owner sees it and cannot change it.
    """
    owner = is_owner(request)
    more: dict[str, Any] = {"owner": owner, "locked": not owner}
    if step and "first" in request.GET:
        first = first_hour(studio)
        more |= {"first": first, "place": first.at(step), "after": first.after(step)}
    return render(request, template, {**context, **more})
