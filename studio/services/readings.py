"""What is read off a kiln: temperatures in °C or °F and the meter's kWh, kept in whole tenths."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.utils.translation import gettext as _

from planner.craft.ranges import OutOfRange
from studio import units
from studio.queries.asking import in_words
from studio.record.form import BENDS, CONES
from studio.record.state import FiringState
from studio.services.answers import Refused
from studio.services.context import Context
from studio.services.fields import Fault, Reader, choice, number, optional
from studio.translate.firings import LEAST_TOP_C, metered


def tenths(lo: float, hi: float, *, each: float = 1.0, zero: float = 0.0, parts: int = 10) -> Reader:
    """A number with decimals from ``lo`` to ``hi`` as whole tenths (or ``parts`` of one).

    ``each`` and ``zero``: it is entered in another unit, of which one is so many of ours, counted from ``zero``.
    """

    def read(value: Any) -> int:
        entered = (number(value) - zero) * each
        if not lo <= entered <= hi:
            bounds = {"lo": f"{lo / each + zero:.5g}", "hi": f"{hi / each + zero:.8g}"}
            raise Fault(_("Enter a number from %(lo)s to %(hi)s.") % bounds)
        return round(entered * parts)

    return read


def degrees(name: str, lo: float, hi: float) -> dict[str, Reader]:
    """The fields ``<name>_c`` and ``<name>_f`` of a temperature from ``lo`` to ``hi`` °C."""
    return {
        f"{name}_c": optional(tenths(lo, hi)),
        f"{name}_f": optional(tenths(lo, hi, each=units.C_PER_F, zero=units.F_AT_ZERO)),
    }


def in_tenths_c(data: Mapping[str, Any], name: str) -> int | None:
    """What was entered in either of the fields of :func:`degrees`."""
    celsius = data[f"{name}_c"]
    return celsius if celsius is not None else data[f"{name}_f"]


METER = optional(tenths(0, 10_000_000))
KWH = optional(tenths(0.1, 10_000))
AFTER = {
    **degrees("top", LEAST_TOP_C, 1400), "cone": optional(choice(CONES)), "bend": optional(choice(BENDS), "at"),
    "meter_after": METER, "kwh": KWH,
}  # fmt: skip
AT_DRAWING = {**degrees("open", 0, 1300), **AFTER}


def told_after(data: Mapping[str, Any]) -> dict[str, Any]:
    """The part of a fact that the fields of :data:`AFTER` tell; what was left out is missing in it."""
    said = {"top_tenths_c": in_tenths_c(data, "top"), "cone": data["cone"], "meter_after": data["meter_after"],
            "bend": data["bend"] if data["cone"] else None, "tenths_kwh": data["kwh"]}  # fmt: skip
    return {k: v for k, v in said.items() if v is not None}


def with_readings(ctx: Context, data: dict[str, Any]) -> None:
    """What was told along with the drawing of a kiln: how hot it was then, and what :data:`AFTER` has."""
    said, opened = told_after(data), in_tenths_c(data, "open")
    if opened is not None:
        said["read_tenths_c"] = opened
    for draft in tuple(ctx.drafts):
        if draft.kind == "drawn" and said:
            check_meter(ctx.state.firings.get(draft.data["firing"]), said)
            ctx.fact("fired", {"firing": draft.data["firing"], **said}, happened=draft.data["started"])


def check_meter(firing: FiringState | None, said: Mapping[str, Any]) -> None:
    """Refuse a meter that would have gone backwards."""
    before = said.get("meter_before", firing.meter_before if firing else None)
    after = said.get("meter_after", firing.meter_after if firing else None)
    try:
        metered(before, after)
    except OutOfRange as fault:
        name = "meter_after" if "meter_after" in said else "meter_before"
        raise Refused(in_words(fault), errors={name: _("Read it again, please.")}) from None
