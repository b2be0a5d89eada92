"""The studio's own figures of firings and of its drying cupboard, in sentences for the page "how we reckon"."""

from __future__ import annotations

from django.utils.translation import gettext as _

from studio import units
from studio.models import KilnProgram, Studio
from studio.queries.kiln_firing import hours, kwh_words, source_words
from studio.queries.state import state_of
from studio.translate.air import cupboard_words, plaster_warning
from studio.translate.firings import AGAIN, ENOUGH, Known, known_of


def own_kilns(studio: Studio) -> tuple[str, ...]:
    """A sentence a program in its kiln, then what a firing on record counts; nothing where there is no kiln."""
    rows = KilnProgram.objects.filter(studio=studio, kiln__retired_at=None, program__retired_at=None)
    rows = rows.select_related("kiln", "program").order_by("kiln__name", "program__name")
    firings = list(state_of(studio).firings.values())
    said = [_said(known_of(row, firings)) for row in rows]
    if said:
        said.append(_("Firings on record are planned with from %(n)d on. A kiln is planned to be opened when it is as "
                      "cool 9 times in 10, one firing differing from the next by some %(again)d in 100: common "
                      "practice, no source.") % {"n": ENOUGH, "again": round(100 * AGAIN)})  # fmt: skip
    if studio.kwh_price_thousandths is not None:
        price = units.money(studio.kwh_price_thousandths / 1000, studio.money, 3)
        said.append(_("A kWh costs %(price)s.") % {"price": price})
    return tuple(said)


def _said(known: Known) -> str:
    row = known.row
    return _(
        "%(kiln)s, %(program)s: %(fire)s to going off (%(fire_source)s); its difference to the room falls to 37 %% in "
        "%(constant)s, and it is planned to be opened at %(open)s after %(cool)s (%(cool_source)s); %(kwh)s "
        "(%(kwh_source)s)."
    ) % {
        "kiln": row.kiln.name, "program": row.program.name, "fire": hours(known.fire.used),
        "fire_source": source_words(known.fire), "constant": hours(60 * known.cooling.hours),
        "open": units.temperature(known.open_c), "cool": hours(known.cool.used),
        "cool_source": source_words(known.cool), "kwh": kwh_words(known.kwh.used),
        "kwh_source": source_words(known.kwh),
    }  # fmt: skip


def own_cupboard(studio: Studio) -> tuple[str, ...]:
    """What its air does to moulds, and a warning where it is too warm."""
    return tuple(s for s in (cupboard_words(studio), plaster_warning(studio)) if s)
