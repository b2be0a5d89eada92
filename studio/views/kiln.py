"""The kilns: what is in them and what comes next; one load shelf by shelf; a load packed outside the plan."""

from __future__ import annotations

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone

from studio.models import Stage, Studio
from studio.queries.kiln import kilns_of, load_view, packing_of
from studio.queries.kiln_drawn import COUNT, WIDTH
from studio.views.door import studio_page
from studio.views.filled import filled
from studio.views.refused import take_refused


@studio_page
def kiln(request: HttpRequest, studio: Studio) -> HttpResponse:
    """All kilns with the load that is in and those that are planned, and the last ones that were drawn."""
    now = timezone.localtime()
    return render(request, "studio/kiln.html", {"page": kilns_of(studio, now=now), "now": now})


@studio_page
def kiln_load(request: HttpRequest, studio: Studio, firing: str) -> HttpResponse:
    """What goes in, shelf by shelf; ``?by=width`` or ``count`` to have it drawn by the one or the other."""
    now = timezone.localtime()
    by = request.GET.get("by", "")
    view = load_view(studio, firing, now=now, by=by if by in (COUNT, WIDTH) else "")
    if view is None:
        raise Http404
    return render(request, "studio/kiln_load.html", {"view": view, "load": view.load, "now": now})


@studio_page
def kiln_pack(request: HttpRequest, studio: Studio, kiln: str) -> HttpResponse:
    """Say what was packed without a plan: ``?stage=`` bisque or glost."""
    stage = request.GET.get("stage", Stage.BISQUE.value)
    packing = packing_of(studio, kiln, stage, now=timezone.localtime()) if stage in Stage.values else None
    if packing is None:
        raise Http404
    refusal = take_refused(request, studio, "packed")
    start = {"program": "", **{f"n:{w.ware}": "" for w in packing.wares}}
    rows = [(w, f"n:{w.ware}") for w in packing.wares]
    form = filled(refusal, "packed", start, kiln=kiln)
    context = {"packing": packing, "form": form, "rows": rows, "stages": Stage.choices}
    return render(request, "studio/kiln_pack.html", context)
