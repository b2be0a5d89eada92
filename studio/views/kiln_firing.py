"""How one program fires in one kiln: figures and where they come from, the curve, and the forms that set it."""

from __future__ import annotations

from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _

from studio import units
from studio.defaults import MOST_RAMPS
from studio.models import Kiln, Program, Studio
from studio.queries.kiln_firing import kiln_firing_of
from studio.views.door import is_owner, studio_page
from studio.views.filled import Filled, filled, lines
from studio.views.refused import Refusal, take_refused


@studio_page
def kiln_firing(request: HttpRequest, studio: Studio, kiln: str, program: str) -> HttpResponse:
    """One page to read, and to put in its steps, the kiln's plate and the price of a kWh."""
    found = kiln_firing_of(studio, kiln, program)
    if found is None:
        raise Http404
    refusal = take_refused(request, studio, "program_ramps", "kiln_plate", "kwh_price")
    ramps = _ramps(refusal, found.row.program)
    context = {
        "firing": found, "kiln": found.row.kiln, "program": found.row.program, "ramps": ramps,
        "steps": lines(ramps, _steps(found.row.program), _blank(), "ramps", _room(found.row.program)),
        "plate": _plate(refusal, found.row.kiln), "price": _price(refusal, studio),
        "owner": is_owner(request),
        "open_hint": units.said(_("Common practice: 100 °C, or the maker’s figure if that is lower.")),
        "rate_unit": _per_hour(), "degree": units.degree(),
    }  # fmt: skip
    return render(request, "studio/kiln_firing.html", context)


def _per_hour() -> str:
    return "°F/h" if units.current() == units.US else "°C/h"


def _room(program: Program) -> int:
    """Empty lines to put in more steps."""
    return max(0, min(3 if not program.ramps else 1, MOST_RAMPS - len(program.ramps)))


def _blank() -> dict[str, Any]:
    return {f"rate_{units.degree()}": "", f"target_{units.degree()}": "", "hold_min": ""}


def _steps(program: Program) -> list[dict[str, Any]]:
    return [
        {
            f"rate_{units.degree()}": _rate(step["rate"]), "hold_min": step["hold"] or "",
            f"target_{units.degree()}": units.entered_c(step["target"] / 10),
        }
        for step in program.ramps
    ]  # fmt: skip


def _rate(tenths_c: int) -> str:
    """A kept rate as it stands in a field: whole °F an hour, or °C with the tenth that it may have."""
    return f"{tenths_c / 10 / units.C_PER_F:.0f}" if units.current() == units.US else f"{tenths_c / 10:g}"


def _ramps(refusal: Refusal | None, row: Program) -> Filled:
    return filled(refusal, "program_ramps", {}, version=row.version, program=row.public_id)


def _plate(refusal: Refusal | None, row: Kiln) -> Filled:
    power = "" if row.power_tenths_kw is None else f"{row.power_tenths_kw / 10:g}"
    start = {"power_kw": power, f"open_{units.degree()}": units.entered_c(row.open_tenths_c / 10)}
    return filled(refusal, "kiln_plate", start, version=row.version, kiln=row.public_id)


def _price(refusal: Refusal | None, studio: Studio) -> Filled:
    price = "" if studio.kwh_price_thousandths is None else f"{studio.kwh_price_thousandths / 1000:g}"
    return filled(refusal, "kwh_price", {"price": price, "money": studio.money}, version=studio.version)
