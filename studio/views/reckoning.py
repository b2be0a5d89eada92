"""How we reckon: formulas in words, where they come from, and the studio's own figures."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from studio.models import Studio
from studio.queries.reckoning import reckoning_of
from studio.views.door import studio_page


@studio_page
def reckoning(request: HttpRequest, studio: Studio) -> HttpResponse:
    """One page to read."""
    return render(request, "studio/reckoning.html", {"reckoning": reckoning_of(studio)})
