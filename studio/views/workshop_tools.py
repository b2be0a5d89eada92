"""Machines and benches, and the racks with their ware boards."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django.http import HttpRequest, HttpResponse

from studio import units
from studio.defaults import BOARDS
from studio.models import Form, Rack, Station, Studio, Tool
from studio.queries.tools import tools_of
from studio.translate.air import cupboard_words, plaster_warning
from studio.views.door import studio_page
from studio.views.filled import filled, things
from studio.views.refused import take_refused
from studio.views.workshop import part
from studio.words import KINDS


@studio_page
def workshop_stations(request: HttpRequest, studio: Studio) -> HttpResponse:
    """Each station with the kinds of work done there, and the profile tools."""
    refusal = take_refused(request, studio, "station_save", "tool_save", "tool_checked")
    gauge = "wall_inch" if units.current() == units.US else "wall"
    rows = Station.objects.filter(studio=studio, retired_at=None).order_by("pk")
    tools = Tool.objects.filter(studio=studio, retired_at=None).order_by("name")
    context = {
        "stations": things(refusal, "station_save", "station", rows, _station),
        "new": filled(refusal, "station_save", {"name": "", "kinds": []}, station=""),
        "kinds": [(k, v.group) for k, v in KINDS.items() if k != "trim"],
        "tools": things(refusal, "tool_save", "tool", tools, _tool),
        "worn": tools_of(studio), "gauge": gauge, "gauge_unit": units.INCHES.name if gauge != "wall" else "mm",
        "checks": {t.public_id: filled(refusal, "tool_checked", {gauge: ""}, tool=t.public_id) for t in tools},
        "has_machine": any("press" in s.kinds for s in rows), "has_wheel": any("turn" in s.kinds for s in rows),
    }  # fmt: skip
    return part(request, studio, "studio/workshop_stations.html", "machine", context)


def _station(row: Station) -> dict[str, Any]:
    return {"name": row.name, "kinds": row.kinds}


def _tool(row: Tool) -> dict[str, Any]:
    return {k: getattr(row, k) for k in ("name", "setup_min", "recheck_min", "check_after")}


@studio_page
def workshop_racks(request: HttpRequest, studio: Studio) -> HttpResponse:
    """Each rack with its boards."""
    refusal = take_refused(request, studio, "rack_save", "cupboard_save")
    forms = Form.objects.filter(studio=studio, retired_at=None).order_by("name")
    rows = list(Rack.objects.filter(studio=studio, retired_at=None).order_by("use", "pk"))
    context = {
        "racks": things(refusal, "rack_save", "rack", rows, _rack),
        "new": filled(refusal, "rack_save", {"name": "", "use": "", "boards": ""}, rack=""),
        "uses": Rack.Use.choices, "missing": set(Rack.Use.values) - {r.use for r in rows}, "usual": BOARDS,
        "cupboard": filled(refusal, "cupboard_save", _cupboard(studio, forms), version=studio.version),
        "cupboard_said": cupboard_words(studio), "plaster": plaster_warning(studio),
        "forms": [(f.public_id, f.name) for f in forms],
    }  # fmt: skip
    return part(request, studio, "studio/workshop_racks.html", "racks", context)


def _cupboard(studio: Studio, forms: Iterable[Form]) -> dict[str, Any]:
    """The drying cupboard as it is put in; nothing where there is none."""
    tenths, humidity = studio.cupboard_tenths_c, studio.cupboard_humidity_pct
    warmth = "" if tenths is None else units.entered_c(tenths / 10)
    return {f"warmth_{units.degree()}": warmth, "humidity_pct": "" if humidity is None else humidity,
            "forms": [f.public_id for f in forms if f.in_cupboard]}  # fmt: skip


def _rack(row: Rack) -> dict[str, Any]:
    return {"name": row.name, "use": row.use, "boards": row.boards}
