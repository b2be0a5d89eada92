"""Amounts of clay and plaster as people enter them: kilograms or pounds, with decimals."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext as _

from studio import units
from studio.services.answers import Refused
from studio.services.fields import Fault, Reader, number, optional

MOST_G = 50_000_000


def kilos(entry: units.Entry) -> Reader:
    """An amount in ``entry`` (kilograms or pounds) as whole grams, from 0 to 50 t."""

    def read(value: Any) -> int:
        try:
            grams = entry.kept(number(value))
        except (ValueError, OverflowError):
            grams = -1
        if not 0 <= grams <= MOST_G:
            most = entry.shown(MOST_G)
            raise Fault(_("Enter %(unit)s from 0 to %(most)s.") % {"unit": entry.name, "most": most})
        return grams

    return read


AMOUNT = {"kg": optional(kilos(units.KILOS)), "lb": optional(kilos(units.POUNDS))}


def grams_of(data: dict[str, Any], least: int = 1) -> int:
    """What was entered as ``kg`` or ``lb``, in grams."""
    grams = data["kg"] if data["kg"] is not None else data["lb"]
    if grams is None or grams < least:
        raise Refused(_("How much is it?"), errors={"kg": _("Enter how much."), "lb": _("Enter how much.")})
    return int(grams)
