"""Which studio: for a login that belongs to several."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from studio.models import Member


@require_safe
def choose_studio(request: HttpRequest) -> HttpResponse:
    """The studios of this login, by name."""
    members = Member.objects.filter(user=request.user, left_at=None).select_related("studio").order_by("studio__name")
    return render(request, "studio/choose_studio.html", {"members": members})
