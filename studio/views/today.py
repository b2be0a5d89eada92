"""Today: what cannot wait, what is next, what is drying, firing and resting."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_safe

from studio.models import Studio


@require_safe
def today(request: HttpRequest, studio: str) -> HttpResponse:
    """The day's page of one studio; 404 for everybody who is not its member."""
    members = {"member__user": request.user, "member__left_at": None}
    return render(request, "studio/today.html", {"studio": get_object_or_404(Studio, public_id=studio, **members)})
