"""The shopping list of the days to come, on one sheet."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone

from studio.models import Studio
from studio.queries.shopping import SPANS, shopping_of
from studio.views.door import studio_page


@studio_page
def shopping(request: HttpRequest, studio: Studio) -> HttpResponse:
    """``?for=`` says for how long."""
    found = shopping_of(studio, now=timezone.localtime(), span=request.GET.get("for", ""))
    return render(request, "studio/shopping.html", {"list": found, "spans": [(k, n) for k, (n, _d) in SPANS.items()]})
