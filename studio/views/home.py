"""The door at `/`: on to the studio that this person works in."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_safe

from studio.models import Member


@require_safe
def home(request: HttpRequest) -> HttpResponse:
    """Redirect to Today of the only studio, or ask which; a login without a studio is told what to do."""
    members = list(Member.objects.filter(user=request.user, left_at=None).select_related("studio")[:2])
    if not members:
        return render(request, "studio/no_studio.html")
    if len(members) > 1:
        return redirect("choose_studio")
    return redirect("studio:today", studio=members[0].studio.public_id)
