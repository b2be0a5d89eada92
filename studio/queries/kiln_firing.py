"""One program in one kiln: what it takes, where each figure comes from and how sure it is, and what was recorded."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from django.utils.formats import number_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from planner.craft.cones import nearest_rate
from planner.craft.cooling import SLOW_AT_C, SLOW_C_H, falls_c_h, hours_to
from planner.craft.firing import cone_of, cost, rate_over_last_100
from planner.craft.ranges import OutOfRange
from studio import units, words
from studio.models import KilnProgram, Studio
from studio.queries.cards import local
from studio.queries.kiln_curve import Curve, curve_of
from studio.queries.state import state_of
from studio.record.state import FiringState
from studio.translate.firings import (
    ENOUGH,
    ROOM_C,
    Figure,
    Known,
    known_of,
    kwh_of,
    off_of,
    reckoned_kwh,
    reckoned_minutes,
    segments_of,
    top_of,
)

PAST = 8


@dataclass(frozen=True)
class Line:
    """One figure: ``used`` is planned with, from ``source``; ``more`` says what else is known of it."""

    name: str
    used: str
    source: str
    more: tuple[str, ...]


@dataclass(frozen=True)
class PastFiring:
    """A firing on record; texts are empty where nobody said."""

    id: str
    at: datetime
    took: str
    kwh: str
    top: str
    cone: str
    opened: str


@dataclass(frozen=True)
class KilnFiring:
    """``can_keep``: the record has enough to plan with, so that the studio can choose."""

    row: KilnProgram
    lines: tuple[Line, ...]
    heat: tuple[str, ...]  # what is known of cones and of harsh cooling
    curve: Curve
    past: tuple[PastFiring, ...]
    can_keep: bool
    enough: int = ENOUGH


def kiln_firing_of(studio: Studio, kiln: str, program: str) -> KilnFiring | None:
    """All of it; None where the kiln has no such program, or was put away."""
    row = KilnProgram.objects.filter(
        studio=studio, kiln__public_id=kiln, program__public_id=program, kiln__retired_at=None
    ).select_related("kiln", "program").first()  # fmt: skip
    if row is None:
        return None
    firings = [f for f in state_of(studio).firings.values() if (f.kiln, f.program) == (kiln, program)]
    known = known_of(row, firings)
    figures = (known.fire, known.cool, known.kwh)
    past = sorted((f for f in firings if f.lit is not None), key=lambda f: f.lit or 0, reverse=True)[:PAST]
    return KilnFiring(
        row, (_fire(known), _cool(known), _energy(studio, known)), (*_cones(row, firings), *_harsh(known)),
        curve_of(known), tuple(_past(f) for f in past), any(f.firings >= ENOUGH for f in figures),
    )  # fmt: skip


def hours(minutes: float) -> str:
    """10.5 h."""
    return _("%(n)s h") % {"n": number_format(round(minutes / 60, 1), use_l10n=True).removesuffix(".0")}


def kwh_words(kwh: float) -> str:
    """105 kWh."""
    return _("%(n)s kWh") % {"n": number_format(round(kwh), use_l10n=True)}


def source_words(figure: Figure) -> str:
    """Where a figure that is planned with comes from."""
    if figure.by_record:
        said = ngettext("from %(n)d firing on record", "from %(n)d firings on record", figure.firings)
        return said % {"n": figure.firings}
    return _("your figure")


def _learned(figure: Figure, low: str, high: str, keeps: bool) -> list[str]:
    """What the record says, and why it is not planned with."""
    said = []
    if figure.firings:
        text = ngettext("%(n)d firing on record says", "%(n)d firings on record say", figure.firings)
        said.append(text % {"n": figure.firings} + " " + _("between %(low)s and %(high)s, 9 times in 10.") % {
            "low": low, "high": high})  # fmt: skip
        if figure.firings < ENOUGH and not keeps:
            said.append(_("It is planned with once %(n)d say it.") % {"n": ENOUGH})
    if figure.odd:
        text = ngettext("%(n)d reading cannot be and is left out.", "%(n)d readings cannot be and are left out.",
                        figure.odd)  # fmt: skip
        said.append(text % {"n": figure.odd})
    return said


def _fire(known: Known) -> Line:
    figure, more = known.fire, []
    by_steps = reckoned_minutes(known.row.program)
    if figure.by_record:
        more.append(_("You put in %(n)s.") % {"n": hours(figure.entered)})
    if by_steps is not None:
        more.append(_("Its steps take %(n)s where the kiln keeps up.") % {"n": hours(by_steps)})
    more += _learned(figure, hours(figure.between[0]), hours(figure.between[1]), known.row.keeps)
    return Line(_("Start to going off"), hours(figure.used), source_words(figure), tuple(more))


def _cool(known: Known) -> Line:
    figure, more = known.cool, []
    if figure.by_record:
        more.append(_("You put in %(n)s.") % {"n": hours(figure.entered)})
    usual = hours_to(known.open_c, off_of(known.row.program), ROOM_C, known.cooling)
    falls = {"n": hours(60 * known.cooling.hours), "usual": hours(60 * usual)}
    more.append(_("The difference to the room falls to 37 %% in %(n)s: that makes %(usual)s.") % falls)
    if figure.by_record:
        more.append(_("Planned with are the hours after which it is as cool 9 times in 10."))
    more += _learned(figure, hours(figure.between[0]), hours(figure.between[1]), known.row.keeps)
    name = _("Going off to %(open)s") % {"open": units.temperature(known.open_c)}
    return Line(name, hours(figure.used), source_words(figure), tuple(more))


def _energy(studio: Studio, known: Known) -> Line:
    figure, more = known.kwh, []
    if figure.by_record:
        more.append(_("You put in %(n)s.") % {"n": kwh_words(figure.entered)})
    plate = reckoned_kwh(known.row)
    if plate is not None:
        more.append(_("By the plate and the usual share of full power it would be %(n)s.") % {"n": kwh_words(plate)})
    more += _learned(figure, kwh_words(figure.between[0]), kwh_words(figure.between[1]), known.row.keeps)
    used = kwh_words(figure.used)
    if studio.kwh_price_thousandths is not None:
        used += " · " + units.money(cost(figure.used, studio.kwh_price_thousandths / 1000), studio.money)
    return Line(_("Energy"), used, source_words(figure), tuple(more))


def _cones(row: KilnProgram, firings: Iterable[FiringState]) -> list[str]:
    return [_cone(row), *_seen(firings)]


def _cone(row: KilnProgram) -> str:
    """The cone that its steps reach by the one table that there is."""
    segments = segments_of(row.program)
    if not segments:
        return _("Put in its steps below, and the cone that they reach stands here.")
    try:
        rate, reached = rate_over_last_100(segments, ROOM_C), cone_of(segments, ROOM_C)
    except OutOfRange:
        return _("Its top lies outside the chart of cones, which goes from 022 to 10.")
    given = {
        "cone": reached.nearest, "top": units.temperature(top_of(row.program)), "rate": units.ramp(rate),
        "taken": units.ramp(nearest_rate(rate)),
    }  # fmt: skip
    said = _("By its steps near cone %(cone)s: %(top)s, at %(rate)s over the last stretch, by the cone maker’s chart "
             "for large cones.") % given  # fmt: skip
    if nearest_rate(rate) != rate:
        said += " " + _("The chart ends at %(taken)s, so this is only about.") % given
    return said + " " + _("A hold at the top does more than the chart knows: a cone in the kiln tells it.")


def _seen(firings: Iterable[FiringState]) -> list[str]:
    told = [f for f in sorted(firings, key=lambda f: f.packed, reverse=True) if f.cone is not None][:3]
    return [_("Seen last: %(cones)s.") % {"cones": "; ".join(cone_words(f) for f in told)}] if told else []


def cone_words(firing: FiringState) -> str:
    """Cone 6: down, its tip touches."""
    if firing.cone is None:
        return ""
    return _("cone %(cone)s %(bend)s") % {"cone": firing.cone[0], "bend": words.BENDS[firing.cone[1]]}


def told_of(firing: FiringState) -> tuple[str, ...]:
    """What was read off a firing, a line each."""
    said = []
    if firing.off is not None:
        said.append(_("Went off %(when)s.") % {"when": words.around(local(firing.off))})
    if firing.reads:
        at, tenths = firing.reads[-1]
        said.append(_("Read %(c)s, %(when)s.") % {
            "c": units.temperature(tenths / 10), "when": words.around(local(at))})  # fmt: skip
    if firing.top is not None:
        said.append(_("Hottest %(c)s.") % {"c": units.temperature(firing.top / 10)})
    if firing.cone is not None:
        said.append(cone_words(firing).capitalize() + ".")
    kwh = kwh_of(firing)
    if kwh is not None:
        said.append(_("Used %(kwh)s.") % {"kwh": kwh_words(kwh)})
    elif firing.meter_before is not None:
        said.append(_("Meter before: %(n)s kWh.") % {"n": f"{firing.meter_before / 10:g}"})
    return tuple(said)


def _harsh(known: Known) -> list[str]:
    """How fast it falls through the heat at which quartz shrinks at once, where that is harsh."""
    if off_of(known.row.program) <= SLOW_AT_C:
        return []
    falls = falls_c_h(SLOW_AT_C, ROOM_C, known.cooling)
    if falls <= SLOW_C_H:
        return []
    given = {"at": units.temperature(SLOW_AT_C), "falls": units.ramp(falls), "most": units.ramp(SLOW_C_H)}
    return [_("By this cooling it falls by %(falls)s at %(at)s, where quartz shrinks at once. Handbooks advise "
              "%(most)s or less there: dunted ware would be a sign.") % given]  # fmt: skip


def _past(firing: FiringState) -> PastFiring:
    took, kwh = firing.off is not None and not firing.lit_guessed, kwh_of(firing)
    return PastFiring(
        firing.id, local(firing.lit or 0), hours((firing.off or 0) - (firing.lit or 0)) if took else "",
        kwh_words(kwh) if kwh is not None else "",
        units.temperature(firing.top / 10) if firing.top is not None else "", cone_words(firing),
        units.temperature(firing.reads[-1][1] / 10) if firing.reads else "",
    )  # fmt: skip
