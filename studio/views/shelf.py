"""Finished pots that are nobody's: what stands there, and how it leaves the shelf."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from studio import words
from studio.models import Studio
from studio.queries.shelf import on_shelf
from studio.views.door import studio_page


@studio_page
def shelf(request: HttpRequest, studio: Studio) -> HttpResponse:
    """All forms and glazes of which something is nobody's."""
    return render(request, "studio/shelf.html", {"there": on_shelf(studio), "ways": tuple(words.LEFT.items())})
