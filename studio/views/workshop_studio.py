"""The studio's name, time zone, units and this week's climate."""

from __future__ import annotations

from functools import lru_cache
from zoneinfo import available_timezones

from django.http import HttpRequest, HttpResponse

from studio.models import Studio
from studio.views.door import studio_page
from studio.views.filled import filled
from studio.views.refused import take_refused
from studio.views.workshop import part


@lru_cache(maxsize=1)
def time_zones() -> list[str]:
    """The zones that people know by a place, not the historical ones."""
    return sorted(z for z in available_timezones() if "/" in z and not z.startswith(("Etc/", "SystemV/", "posix/")))


@studio_page
def workshop_studio(request: HttpRequest, studio: Studio) -> HttpResponse:
    """One form."""
    start = {"name": studio.name, "time_zone": studio.time_zone, "units": studio.units, "week": studio.week,
             "enough": studio.enough}  # fmt: skip
    form = filled(take_refused(request, studio, "studio_save"), "studio_save", start, version=studio.version)
    context = {
        "form": form, "zones": time_zones(), "units": Studio.Units.choices, "weeks": Studio.Week.choices,
        "enough": Studio.Enough.choices,
    }  # fmt: skip
    return part(request, studio, "studio/workshop_studio.html", "studio", context)
