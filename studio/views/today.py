"""Today: what cannot wait, what is next, what is drying, firing and resting."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.http import url_has_allowed_host_and_scheme

from studio.cautions import CAUTIONS
from studio.models import Studio
from studio.queries.today import today_of
from studio.queries.workshop import first_hour
from studio.views.door import studio_page


@studio_page
def today(request: HttpRequest, studio: Studio) -> HttpResponse:
    """The day's page: of the member's own work, of one person's (``?who=``) or of everybody's (``?who=all``)."""
    day = today_of(studio, request.member, now=timezone.localtime(), who=request.GET.get("who", ""))  # type: ignore[attr-defined]
    first = None if day.has_plan else first_hour(studio)
    return render(request, "studio/today.html", {"day": day, "first": first})


@studio_page(methods=("POST",))
def seen(request: HttpRequest, studio: Studio) -> HttpResponse:
    """Hide a caution for the rest of the day, in this browser only; nothing is recorded."""
    key = request.POST.get("caution", "")
    if key in CAUTIONS:
        kept = request.session.get("cautions", {})
        request.session["cautions"] = {**kept, key: timezone.localdate().isoformat()}
    back = request.POST.get("next", "")
    own = url_has_allowed_host_and_scheme(back, allowed_hosts=None)
    return redirect(back if own and back else reverse("studio:today", kwargs={"studio": studio.public_id}))
