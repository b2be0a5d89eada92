"""The pages about what the studio has and owes: orders, moulds, kiln and the studio itself."""

from __future__ import annotations

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
