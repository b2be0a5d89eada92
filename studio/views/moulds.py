"""Moulds: by form how they stand; one form with each of its moulds, the cracked, the worn and the new ones."""

from __future__ import annotations

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone

from studio.defaults import CAST
from studio.models import Studio
from studio.queries.moulds import moulds_of
from studio.views.door import studio_page
from studio.views.filled import filled
from studio.views.refused import take_refused


@studio_page
def moulds(request: HttpRequest, studio: Studio) -> HttpResponse:
    """All forms with their moulds in short."""
    views = moulds_of(studio, now=timezone.localtime())
    return render(request, "studio/moulds.html", {"forms": views, "now": timezone.localtime()})


@studio_page
def moulds_form(request: HttpRequest, studio: Studio, form: str) -> HttpResponse:
    """One form: each mould, its uses, and all that can be done with it."""
    now = timezone.localtime()
    found = moulds_of(studio, now=now, form=form)
    if not found:
        raise Http404
    refusal = take_refused(request, studio, "mould_add", "cast_save", "weighed")
    add = {"count": 1, "ready": "", "uses_before": 0, "life": CAST.uses}
    context = {
        "view": found[0], "now": now, "cast": CAST,
        "add": filled(refusal, "mould_add", add, form=form),
        "scale": filled(refusal, "weighed", {"mould": "", "grams": "", "dry": False}),
        "pour": filled(refusal, "cast_save", {"count": 1, "required": False}, form=form),
    }  # fmt: skip
    return render(request, "studio/moulds_form.html", context)
