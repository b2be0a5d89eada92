"""How large to turn the model for a fired size, and back."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from studio.models import Form, Studio
from studio.queries.size import BASES, WAYS, size_asked
from studio.views.door import studio_page
from studio.views.filled import Filled


@studio_page
def size(request: HttpRequest, studio: Studio) -> HttpResponse:
    """What the address asks, answered; ``?form=`` names the form whose fired width the question begins with."""
    asked = size_asked(request.GET.dict())
    of = request.GET.get("form", "")
    row = Form.objects.filter(studio=studio, public_id=of, retired_at=None).first() if of else None
    values = dict(asked.values)
    if row is not None and asked.way == "model" and not values.get("size_mm"):
        values["size_mm"] = row.fired_mm
    wrong = bool(asked.errors or asked.refusal)
    form = Filled("size", values, errors=asked.errors, message=asked.refusal, is_refused=wrong)
    context = {"asked": asked, "form": form, "row": row, "ways": WAYS.items(), "bases": list(BASES.items())}
    return render(request, "studio/size.html", context)
