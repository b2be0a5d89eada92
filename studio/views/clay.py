"""Clay: what stands pugged, what the week takes, and the batches."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone

from studio import units
from studio.models import Studio
from studio.queries.clay_seen import clay_seen
from studio.views.door import is_owner, studio_page
from studio.views.filled import filled
from studio.views.refused import take_refused

KINDS = ("clay_in", "clay_save", "clay_left", "reclaim_left", "form_clay")


@studio_page
def clay(request: HttpRequest, studio: Studio) -> HttpResponse:
    """Each body, and the forms to tell of batches."""
    seen = clay_seen(studio, timezone.localtime())
    refusal = take_refused(request, studio, *KINDS)
    unit = "lb" if units.current() == units.US else "kg"
    new = {"clay": seen.bodies[0].row.public_id if seen.bodies else "", "clay_name": "", unit: "", "water_pct": "",
           f"reclaim_{unit}": ""}  # fmt: skip
    context = {
        "seen": seen, "unit": unit, "reclaim_field": f"reclaim_{unit}",
        "bodies": [(b.row.public_id, b.row.name) for b in seen.bodies],
        "new": filled(refusal, "clay_in", new), "body": filled(refusal, "clay_save", {"name": "", "usual": False}),
        "left": filled(refusal, "clay_left", {"batch": "", unit: ""}),
        "reclaim": filled(refusal, "reclaim_left", {"clay": new["clay"], unit: ""}),
        "owner": is_owner(request),
    }  # fmt: skip
    return render(request, "studio/clay.html", context)
