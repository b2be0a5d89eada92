"""What a weighing tells of a mould, and what another air does to the moulds, in sentences."""

from __future__ import annotations

from collections.abc import Mapping

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from studio import words
from studio.models import Mould
from studio.queries.cards import local
from studio.translate.moulds_water import Waters, own_dry_g


def weighing_words(waters: Waters, row: Mould, now: int) -> str:
    """What the last weighing of a mould says, or what is missing for it to say anything."""
    stands, water = waters.stands(row), waters.of(row, now)
    if stands.grams and stands.grams[-1] in water.odd:
        return _("That is far from what its record says. Was it empty, and is the number right? Else take it back.")
    if own_dry_g(stands) is None:
        return _("Weigh it once more when it is dry, and say so: then its weight tells how damp it is.")
    if water.ready is None:
        return _("There is a pot in it.")
    said = [_("It is at constant weight.")] if water.constant else []
    if water.ready <= now:
        return " ".join([*said, _("It is dry enough to press in.")])
    return " ".join([*said, _("It can be pressed %(when)s.") % {"when": words.half_day_at(local(water.ready))}])


def readiness(waters: Waters, now: int) -> dict[str, int]:
    """By mould that is empty and neither gone nor put away, the minute from which it can be pressed."""
    left = [m for m in waters.rows if m.retired_at is None and waters.stands(m).gone is None]
    found = {m.public_id: waters.of(m, now).ready for m in left}
    return {mould: ready for mould, ready in found.items() if ready is not None}


def change_words(before: Mapping[str, int], after: Mapping[str, int], now: int) -> str:
    """What a change does to the moulds that rest: how many are ready later or sooner, and when the last of them is."""
    until = {m: (max(now, before[m]), max(now, after[m])) for m in before if m in after}
    later = [new for old, new in until.values() if new > old]
    sooner = [new for old, new in until.values() if new < old]
    said = []
    if later:
        text = ngettext(
            "%(n)d mould is ready later, %(when)s.", "%(n)d moulds are ready later, the last %(when)s.", len(later)
        )
        said.append(text % {"n": len(later), "when": words.half_day_at(local(max(later)))})
    if sooner:
        text = ngettext(
            "%(n)d mould is ready sooner, %(when)s.", "%(n)d moulds are ready sooner, the last %(when)s.", len(sooner)
        )
        said.append(text % {"n": len(sooner), "when": words.half_day_at(local(max(sooner)))})
    return " ".join(said) or _("That makes no mould ready later or sooner.")
