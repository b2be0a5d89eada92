"""One order: a new one, or one from the book, to be changed, cancelled or sent off."""

from __future__ import annotations

from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone

from studio.models import Order, Studio
from studio.queries.allowing import to_start
from studio.queries.choices import order_choices
from studio.queries.lives import without_moulds
from studio.queries.orders import OrderView, order_view
from studio.queries.state import state_of
from studio.queries.workshop import first_hour
from studio.record.state import State
from studio.views.door import studio_page
from studio.views.filled import Filled, filled
from studio.views.refused import Refusal, take_refused

BLANK = 3  # empty lines on a form, so that it works without a script
EMPTY: dict[str, Any] = {"line": "", "form": "", "glaze": "", "qty": ""}


@studio_page
def order_new(request: HttpRequest, studio: Studio) -> HttpResponse:
    """A form for a new order; the address may bring what was asked for and its day."""
    refusal = take_refused(request, studio, "order_new")
    start = {"customer": "", "customer_name": "", "due": "", "weight": Order.Weight.ORDINARY.value, "note": ""}
    asked = {k: request.GET.get(k, "") for k in ("form", "glaze", "qty", "due")}
    start["told"] = request.GET.get("told", "")
    form = filled(refusal, "order_new", start | {"due": asked.pop("due")})
    lines = [EMPTY | asked] if any(asked.values()) else []
    return _page(request, studio, "studio/order_new.html", form, refusal, lines, {})


@studio_page
def order(request: HttpRequest, studio: Studio, order: str) -> HttpResponse:
    """One order of the book."""
    state = state_of(studio)
    view = order_view(studio, order, state)
    if view is None:
        raise Http404
    row = view.row
    refusal = take_refused(request, studio, "order_change", "order_cancel", "order_restore")
    start = {"customer": row.customer.public_id, "due": row.due.isoformat(), "weight": row.weight, "note": row.note}
    form = filled(refusal, "order_change", start, version=row.version, order=row.public_id)
    return _page(request, studio, "studio/order.html", form, refusal, _lines_of(view),
                 {"order": view, "no_mould": _without_moulds(studio, view, state)})  # fmt: skip


def _without_moulds(studio: Studio, view: OrderView, state: State) -> tuple[str, ...]:
    """What is to be said of the forms of an open order that nothing can be pressed in."""
    lines = view.lines if view.is_open else ()
    return without_moulds(studio, {x.row.form.public_id: x.row.form.name for x in lines if not x.is_made}, state)


def _page(
    request: HttpRequest, studio: Studio, template: str, form: Filled, refusal: Refusal | None,
    there: list[dict[str, Any]], more: dict[str, Any],
) -> HttpResponse:  # fmt: skip
    lines = _refused_lines(refusal.entries) if refusal is not None and form.is_refused else there
    blanks = [EMPTY] * BLANK
    rows = [_row(form, i, values) for i, values in enumerate([*lines, *blanks])]
    choices = order_choices(studio)
    context = {
        "form": form, "rows": rows, "choices": choices, "today": timezone.localdate(),
        "weights": Order.Weight.choices, **more,
    }  # fmt: skip
    if "order" not in more:
        context["to_start"] = to_start(studio, choices.forms, lines)
    if "first" in request.GET:
        first = first_hour(studio)
        context |= {"first": first, "place": first.at("orders"), "after": first.after("orders")}
    return render(request, template, context)


def _lines_of(view: OrderView) -> list[dict[str, Any]]:
    return [
        {"line": x.row.public_id, "form": x.row.form.public_id, "glaze": x.row.glaze.public_id, "qty": x.row.qty}
        for x in view.lines
    ]


def _refused_lines(entries: dict[str, Any]) -> list[dict[str, Any]]:
    """The lines as they were entered, in the places that the errors name: those that count, then the half-filled."""
    columns = {k: v if isinstance(v := entries.get(k, []), list) else [v] for k in EMPTY}
    many = max((len(c) for c in columns.values()), default=0)
    rows = [{k: c[i] if i < len(c) else "" for k, c in columns.items()} for i in range(many)]
    counted = [r for r in rows if counts(r)]
    return counted + [r for r in rows if not counts(r) and any(r[k] for k in ("line", "form", "glaze"))]


def counts(row: dict[str, Any]) -> bool:
    """Whether the order book reads a line: it has a count, or it is a new one with a form."""
    return row["qty"] != "" or (not row["line"] and row["form"] != "")


def _row(form: Filled, place: int, values: dict[str, Any]) -> Filled:
    """The fields of one line, with what is wrong in them."""
    named = (f"lines.{place}.", "")
    errors = {k: e for k in EMPTY for p in named[: 1 if place else 2] if (e := form.errors.get(f"{p}{k}"))}
    return Filled("line", values, str(place), errors=errors)
