"""From which moulds the pieces came that show a fault, by the numbers that a person reads off the plaster."""

from __future__ import annotations

import re
from typing import Any

from django.utils.translation import gettext as _

from studio.models import Mould
from studio.record.state import IN_MOULD, Ware
from studio.services.answers import Refused
from studio.services.context import Context


def faulty_moulds(ctx: Context, ware: Ware, numbers: str, count: int) -> dict[str, Any]:
    """``from_moulds`` of a fact on ``count`` pieces of ``ware``: the moulds with these numbers, if any are said."""
    said = list(dict.fromkeys(int(n) for n in re.findall(r"\d{1,6}", numbers)))
    if not said or ware.stage != IN_MOULD:
        return {}
    rows = Mould.objects.filter(studio=ctx.studio, public_id__in=ware.moulds)
    known = dict(rows.values_list("number", "public_id"))
    strange = [n for n in said if n not in known]
    if strange:
        there = ", ".join(map(str, sorted(known)))
        raise Refused(
            _("Mould %(n)d was not filled with these.") % {"n": strange[0]},
            errors={"mould_numbers": _("They are in the moulds %(list)s.") % {"list": there}},
        )
    if len(said) > count:
        raise Refused(
            _("More moulds than pieces: each piece came from one."),
            errors={"mould_numbers": _("At most %(n)d numbers.") % {"n": count}},
        )
    return {"from_moulds": [known[n] for n in said]}
