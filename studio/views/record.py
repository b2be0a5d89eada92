"""What happened: by day, newest first, with undo; what does not add up, and how to mend it."""

from __future__ import annotations

from datetime import date

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.translation import gettext_lazy

from studio.models import Studio
from studio.queries.cards import local
from studio.queries.happened import happened_of
from studio.queries.record import settled_fact
from studio.queries.state import state_of
from studio.queries.telling import teller
from studio.record.recount import COUNTED
from studio.views.door import studio_page
from studio.views.filled import filled
from studio.views.refused import take_refused

LABELS = {
    "count": gettext_lazy("How many"), "good": gettext_lazy("Good"), "lost": gettext_lazy("Lost"),
    "firsts": gettext_lazy("Firsts"), "seconds": gettext_lazy("Seconds"), "grams": gettext_lazy("It weighs"),
}  # fmt: skip


@studio_page
def record(request: HttpRequest, studio: Studio) -> HttpResponse:
    """A week of the record, up to today or to ``?to=``."""
    page = happened_of(studio, now=timezone.localtime(), last=_date(request.GET.get("to", "")))
    return render(request, "studio/record.html", {"page": page})


@studio_page
def record_fact(request: HttpRequest, studio: Studio, fact: str) -> HttpResponse:
    """One fact whose counts, reason and time can be corrected."""
    found = settled_fact(studio, fact)
    if found is None or found.kind not in COUNTED:
        raise Http404
    start = {k: found.data[k] for k in COUNTED[found.kind]} | {"ended_at": "", "why": found.data.get("why", "")}
    if "ended" in found.data:
        start["ended_at"] = local(found.data["ended"])
    form = filled(take_refused(request, studio, "recount"), "recount", start, fact=fact)
    labels = [(k, LABELS[k]) for k in COUNTED[found.kind]]
    said = teller(studio, [found], state_of(studio)).say(found.kind, found.data)
    context = {"form": form, "fact": found, "labels": labels, "said": said}
    return render(request, "studio/record_fact.html", context)


def _date(text: str) -> date | None:
    try:
        on = date.fromisoformat(text)
    except ValueError:
        return None
    return on if 2000 <= on.year <= 2100 else None
