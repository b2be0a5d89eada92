"""The workshop's air: what it does to the rest of moulds and the drying of ware.

A form's timings say how long its moulds rest and its ware dries in an ordinary and in a damp week, as the studio knows
them. In other air, water leaves in proportion to the vapour-pressure deficit (:mod:`planner.craft.air`), so the times
of an ordinary week are divided by how much thirstier the air is.
"""

from __future__ import annotations

from math import ceil

from django.utils.formats import number_format
from django.utils.translation import gettext as _

from planner.craft.air import WEEKS, Air, gypsum_warning, times_ordinary
from studio import units
from studio.models import FormTimings, Studio

SLOWEST, FASTEST = 4.0, 0.5  # times an ordinary week's; beyond, a figure would rather be a slip of the pen
STEP = 10  # minutes that a reckoned time is rounded up to: it is no more exact than that


def reading_of(studio: Studio) -> Air | None:
    """What instruments say of the air, if somebody has read them."""
    if studio.air_tenths_c is None or studio.air_humidity_pct is None:
        return None
    return Air(studio.air_tenths_c / 10, studio.air_humidity_pct / 100)


def air_of(studio: Studio) -> Air:
    """The air as read, else that of this kind of week."""
    return reading_of(studio) or WEEKS[studio.week]


def slowness(studio: Studio) -> float:
    """How many times as long as in an ordinary week moulds rest and ware dries, within bounds."""
    return _slowness(air_of(studio))


def _slowness(air: Air) -> float:
    return min(SLOWEST, max(FASTEST, 1 / times_ordinary(air)))


def cupboard_of(studio: Studio) -> Air | None:
    """The air in the drying cupboard, where there is one."""
    if studio.cupboard_tenths_c is None or studio.cupboard_humidity_pct is None:
        return None
    return Air(studio.cupboard_tenths_c / 10, studio.cupboard_humidity_pct / 100)


def rest_minutes(studio: Studio, timings: FormTimings) -> int:
    """Minutes for which a mould of the form rests between two pressings: in this air, or in the drying cupboard."""
    cupboard = cupboard_of(studio) if timings.form.in_cupboard else None
    if cupboard is not None:
        return ceil(timings.mould_rest_min * _slowness(cupboard) / STEP) * STEP
    return _in_air(studio, timings.mould_rest_min, timings.mould_rest_damp_min)


def dry_minutes(studio: Studio, timings: FormTimings) -> int:
    """Minutes from the last leather-hard work to bone-dry in this air."""
    return _in_air(studio, timings.dry_min, timings.dry_damp_min)


def slow_pct(studio: Studio, timings: FormTimings) -> int:
    """How long the form's ware takes to dry in this air, in percent of an ordinary week's time: 100 in one.

    In a damp week by the form's own two figures, so that all its times tell of the same air.
    """
    if reading_of(studio) is None and studio.week == Studio.Week.DAMP:
        slow = timings.dry_damp_min / timings.dry_min if timings.dry_min else 1.0
        return round(100 * min(SLOWEST, max(1.0, slow)))
    if reading_of(studio) is None and studio.week == Studio.Week.ORDINARY:
        return 100
    return round(100 * slowness(studio))


def _in_air(studio: Studio, ordinary: int, damp: int) -> int:
    """The studio's own figure where this kind of week has one."""
    if reading_of(studio) is None and studio.week != Studio.Week.DRY:
        return damp if studio.week == Studio.Week.DAMP else ordinary
    return ceil(ordinary * slowness(studio) / STEP) * STEP


def cupboard_words(studio: Studio) -> str:
    """What the drying cupboard's air does to moulds, in a sentence; nothing where there is none."""
    cupboard = cupboard_of(studio)
    if cupboard is None:
        return ""
    given = {
        "c": units.temperature(cupboard.temperature_c), "humidity": round(cupboard.humidity * 100),
        "times": number_format(round(_slowness(cupboard), 1), use_l10n=True),
    }  # fmt: skip
    return _("In the drying cupboard, at %(c)s and %(humidity)d %% humidity, moulds rest %(times)s times as long as in "
             "an ordinary week.") % given  # fmt: skip


def plaster_warning(studio: Studio) -> str:
    """What to say where the drying cupboard is so warm that it harms plaster, or moulds in their first day."""
    cupboard = cupboard_of(studio)
    if cupboard is None:
        return ""
    c = cupboard.temperature_c
    return units.said(gypsum_warning(c) or gypsum_warning(c, fresh=True) or "")


def air_words(studio: Studio) -> str:
    """What the air does, in a sentence."""
    slow = slowness(studio)
    if 0.95 < slow < 1.05:
        return _("Moulds rest and ware dries about as long as in an ordinary week.")
    times = {"times": number_format(round(slow, 1), use_l10n=True)}
    if slow > 1:
        return _("Moulds rest and ware dries about %(times)s times as long as in an ordinary week.") % times
    return _("Moulds rest and ware dries in about %(times)s of the time of an ordinary week.") % times
