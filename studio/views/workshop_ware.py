"""Ware that stands in the studio and that the book does not know of: at the beginning, or found later."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse

from studio.models import Form, OrderLine, Studio
from studio.queries.choices import choices_of, glaze_choices
from studio.queries.state import state_of
from studio.record.state import STAGES
from studio.views.door import studio_page
from studio.views.filled import filled
from studio.views.refused import take_refused
from studio.views.workshop import part
from studio.words import STAGES as NAMES

OPENING = ("leather", "bisqued", "glazed", "fired")


@studio_page
def workshop_ware(request: HttpRequest, studio: Studio) -> HttpResponse:
    """What is there by stage and form, and a form for more."""
    refusal = take_refused(request, studio, "opening_ware")
    start = {"form": "", "count": "", "stage": "bisqued", "glaze": "", "order": "", "dry_at": ""}
    open_lines = OrderLine.objects.filter(studio=studio, cancelled_at=None, order__cancelled_at=None,
                                          order__closed_at=None)  # fmt: skip
    orders = [(x.public_id, f"{x.order.customer.name}: {x.qty} × {x.form.name}, {x.glaze.name}")
              for x in open_lines.select_related("order__customer", "form", "glaze").order_by("order__due", "pk")]
    context = {
        "form": filled(refusal, "opening_ware", start), "forms": choices_of(Form, studio),
        "glazes": glaze_choices(studio), "orders": orders, "stages": [(s, NAMES[s]) for s in OPENING],
        "there": _there(studio),
    }  # fmt: skip
    return part(request, studio, "studio/workshop_ware.html", "ware", context)


def _there(studio: Studio) -> list[tuple[str, list[tuple[int, str]]]]:
    """By stage, how many of each form."""
    names = dict(Form.objects.filter(studio=studio).values_list("public_id", "name"))
    counts: dict[tuple[str, str], int] = {}
    for ware in state_of(studio).ware.values():
        counts[ware.stage, ware.form] = counts.get((ware.stage, ware.form), 0) + ware.count
    found = []
    for stage in STAGES:
        mine = sorted((names.get(form, form), n) for (s, form), n in counts.items() if s == stage and n)
        if mine:
            found.append((stage, [(n, name) for name, n in mine]))
    return found
