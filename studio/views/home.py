"""The door at `/`: on to the studio that this person works in."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_safe

from studio.models import Member


@require_safe
def home(request: HttpRequest) -> HttpResponse:
    """Redirect to Today of the studio joined first; a login without a studio is told what to do."""
    member = Member.objects.filter(user=request.user, left_at=None).order_by("pk").select_related("studio").first()
    if member is None:
        return render(request, "studio/no_studio.html")
    return redirect("studio:today", studio=member.studio.public_id)
