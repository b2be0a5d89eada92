"""Something's wrong: six pictures, each of which leads to a fact on record and a plan that moves little."""

from __future__ import annotations

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone

from studio.models import Studio
from studio.queries.wrong import WHAT, wrong_of
from studio.views.door import studio_page


@studio_page
def wrong(request: HttpRequest, studio: Studio, what: str = "") -> HttpResponse:
    """The six pictures, or what one of them asks."""
    if what and what not in WHAT:
        raise Http404
    page = wrong_of(studio, request.member, what, now=timezone.localtime())  # type: ignore[attr-defined]
    return render(request, "studio/wrong.html", {"page": page})
