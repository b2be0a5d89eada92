"""Which moulds to replace when: the studio's own lives of moulds against the pressings planned."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone

from studio.models import Studio
from studio.queries.mould_lives import AHEAD, WEEKS, mould_lives
from studio.views.door import is_owner, studio_page


@studio_page
def moulds_lives(request: HttpRequest, studio: Studio) -> HttpResponse:
    """By form, so many weeks ahead (``?weeks=``)."""
    asked = request.GET.get("weeks", "")
    weeks = int(asked) if asked in {str(w) for w in WEEKS} else AHEAD
    context = {"lives": mould_lives(studio, timezone.localtime(), weeks), "weeks": WEEKS, "owner": is_owner(request)}
    return render(request, "studio/moulds_lives.html", context)
