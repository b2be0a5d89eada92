"""The order book: what is open by its day, or what was sent off and cancelled."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone

from studio.models import Studio
from studio.queries.orders import order_book
from studio.views.door import studio_page


@studio_page
def orders(request: HttpRequest, studio: Studio) -> HttpResponse:
    """All open orders; with ``?show=done`` those that are over."""
    book = order_book(studio, today=timezone.localdate(), done=request.GET.get("show") == "done")
    return render(request, "studio/orders.html", {"book": book})
