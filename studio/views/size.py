"""How large to turn the model for a fired size, and back."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from studio.models import ClayBody, Form, Studio
from studio.queries.bodies import body_of, shrinkage_of
from studio.queries.size import BAR, BASES, WAYS, SizeAsked, size_asked
from studio.views.door import studio_page
from studio.views.filled import Filled
from studio.views.refused import take_refused


@studio_page
def size(request: HttpRequest, studio: Studio) -> HttpResponse:
    """What the address asks, answered; ``?form=`` names the form whose fired width the question begins with."""
    of, which = request.GET.get("form", ""), request.GET.get("clay", "")
    forms = Form.objects.filter(studio=studio, public_id=of, retired_at=None).select_related("clay")
    row = forms.first() if of else None
    bodies = list(ClayBody.objects.filter(studio=studio, retired_at=None).order_by("-usual", "name"))
    body = shrinkage_of(studio, next((b for b in bodies if b.public_id == which), None) or body_of(studio, row))
    asked = size_asked(request.GET.dict(), body.shrinkage)
    values = dict(asked.values)
    if row is not None and asked.way == "model" and not values.get("size_mm"):
        values["size_mm"] = row.fired_mm
    wrong = bool(asked.errors or asked.refusal)
    form = Filled("size", values, errors=asked.errors, message=asked.refusal, is_refused=wrong)
    refusal = take_refused(request, studio, "shrinkage_bar", "shrinkage_said")
    context = {
        "asked": asked, "form": form, "row": row, "ways": WAYS.items(), "bases": list(BASES.items()), "body": body,
        "bodies": [(b.public_id, b.name) for b in bodies],
        "keep": Filled("keep", {"clay": body.id, **(refusal.entries if refusal else {})},
                       errors=refusal.errors if refusal else {}, message=refusal.message if refusal else "",
                       is_refused=refusal is not None),
        "told": _told(asked) if asked.shares else (),
    }  # fmt: skip
    return render(request, "studio/size.html", context)


def _told(asked: SizeAsked) -> tuple[tuple[str, Any], ...]:
    """The fields that keep what was asked: a bar's lengths, or the shares as they were told, with their basis."""
    v = asked.values
    if asked.way == BAR:
        return tuple((k, v[k]) for k in ("wet_mm", "dry_mm", "fired_mm"))
    if v.get("firing_pct") not in ("", None):
        return (("drying_pct", v["drying_pct"]), ("firing_pct", v["firing_pct"]), ("basis", v["basis"]))
    return (("drying_pct", v["drying_pct"]), ("total_pct", v["total_pct"]))
