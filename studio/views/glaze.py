"""A glaze: its buckets, test tiles, grams on a piece, and what is on file for food."""

from __future__ import annotations

from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone

from studio.faults import TILE
from studio.models import Glaze, Studio
from studio.queries.glaze import GlazeView, glaze_of
from studio.views.door import is_owner, studio_page
from studio.views.filled import Filled, filled
from studio.views.refused import take_refused

KINDS = ("glaze_mixed", "glaze_weighed", "glaze_on_ware", "test_tile", "food_result")


@studio_page
def glaze(request: HttpRequest, studio: Studio, glaze: str) -> HttpResponse:
    """All of one glaze; ``?to=`` asks what brings the bucket to a density."""
    row = Glaze.objects.filter(studio=studio, public_id=glaze).first()
    if row is None:
        raise Http404
    view = glaze_of(studio, row, request.GET.dict())
    refusal = take_refused(request, studio, *KINDS)
    forms = {kind: filled(refusal, kind, start, **match) for kind, start, match in _starts(view)}
    asked = Filled("to", view.asked.values, errors=view.asked.errors, is_refused=bool(view.asked.errors))
    context = {
        "view": view, "f": forms, "asked": asked, "words": [(t.key, t.name) for t in TILE],
        "forms": [(x.form.public_id, x.form.name) for x in view.forms], "firings": view.firings,
        "owner": is_owner(request),
    }  # fmt: skip
    return render(request, "studio/glaze.html", context)


def _starts(view: GlazeView) -> list[tuple[str, dict[str, Any], dict[str, str]]]:
    """Each form with what it starts from, and what tells it from others of its kind."""
    now, mine = view.now, {"glaze": view.row.public_id}
    last = now or next(iter(view.buckets), None)
    recipe = last.recipe if last else ""
    litres = f"{now.left_l:.1f}" if now else ""
    batch = {"glaze_batch": now.id} if now else {}
    fired = view.firings[0][0] if view.firings else ""
    return [
        ("glaze_mixed", {"bucket_l": "", "hundred": "", "recipe": recipe}, mine),
        ("glaze_weighed", {"bucket_l": litres, "hundred": ""}, batch),
        ("glaze_on_ware", {"form": "", "count": 3, "bisqued_g": "", "glazed_g": ""}, mine),
        ("test_tile", {"fired": fired, "seen": [], "note": ""}, mine),
        ("food_result", {"on": timezone.localdate().isoformat(), "laboratory": "", "tested": "", "reference": "",
                         "recipe": recipe}, mine),
    ]  # fmt: skip
