"""A mix of plaster, and the session in which moulds are poured, as a list to go by."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone

from studio.defaults import CAST
from studio.models import Studio
from studio.queries.moulds import moulds_of
from studio.queries.plaster import SHAPES, WAYS, plaster_asked
from studio.views.door import studio_page
from studio.views.filled import Filled


@studio_page
def plaster(request: HttpRequest, studio: Studio) -> HttpResponse:
    """What the address asks, answered; ``?form=`` names the form whose mould it is."""
    asked = plaster_asked(request.GET.dict())
    wrong = bool(asked.errors or asked.refusal)
    form = Filled("plaster", asked.values, errors=asked.errors, message=asked.refusal, is_refused=wrong)
    of = request.GET.get("form", "")
    found = moulds_of(studio, now=timezone.localtime(), form=of) if of else ()
    context = {
        "asked": asked, "form": form, "ways": WAYS.items(), "cast": CAST, "view": found[0] if found else None,
        "shapes": [(key, name) for key, (name, _fills) in SHAPES.items()],
    }  # fmt: skip
    return render(request, "studio/plaster.html", context)
