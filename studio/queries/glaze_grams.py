"""Dry glaze on a piece of each form in each glaze: weighed, or reckoned from the size of the form."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cached_property

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from planner.craft import solids
from planner.craft.glaze_coat import OnPiece, Rests, Weighed, dished_surface_cm2, on_a_piece, straight_surface_cm2
from planner.craft.ranges import OutOfRange
from studio.models import Form, FormProfile, FormTimings, Studio
from studio.queries.record import settled_of

STRAIGHT = ("egg_cup", "beaker", "mug", "ramekin")  # kinds whose wall stands up; all others are dished
MOST_G = 1000  # of dry glaze on a piece: what says more is a slip of the pen
MOST_CM2 = 50_000  # of surface that a layer is reckoned for
AIR_MM = 5  # between a piece and the shelf above it, in the height that a form is given there


class Grams:
    """``of`` a form in a glaze, by their public ids."""

    def __init__(self, studio: Studio) -> None:
        self._studio = studio

    @cached_property
    def _surfaces(self) -> Mapping[str, float]:
        rows = FormTimings.objects.filter(studio=self._studio).order_by("valid_from").values_list("form_id", "glost")
        clearance = {form: glost.get("clearance_mm", 0) for form, glost in rows}
        rows = FormProfile.objects.filter(studio=self._studio).order_by("valid_from", "pk")
        drawn = {row.form_id: row for row in rows}
        forms = Form.objects.filter(studio=self._studio)
        return {f.public_id: surface_cm2(f, clearance.get(f.pk, 0), drawn.get(f.pk)) for f in forms}

    @cached_property
    def weighed(self) -> list[Weighed]:
        """All weighings that count, in the order of time."""
        told = [f.data for f in settled_of(self._studio, "glaze_on_ware")]
        found = [Weighed(d["form"], d["glaze"], d["count"], d["glazed_g"] - d["bisqued_g"]) for d in told]
        return [w for w in found if w.taken_g <= MOST_G * w.pieces]

    def of(self, form: str, glaze: str) -> OnPiece:
        """Raises OutOfRange for a form that is not the studio's."""
        return on_a_piece(form, glaze, self.weighed, self._surfaces)


def surface_cm2(form: Form, clearance_mm: int, drawn: FormProfile | None = None) -> float:
    """Inside and outside: of its drawing in the fired width, else by that and the height it has on a kiln shelf."""
    width = min(1000, max(10, form.fired_mm))
    high = min(1000, max(1, clearance_mm - AIR_MM))
    usual = straight_surface_cm2 if form.kind in STRAIGHT else dished_surface_cm2
    return min(MOST_CM2, max(1.0, _drawn_cm2(drawn, width) or usual(width, high)))


def _drawn_cm2(drawn: FormProfile | None, width: int) -> float | None:
    if drawn is None:
        return None
    try:
        there = solids.Profile(*(tuple((r / 100, z / 100) for r, z in line) for line in (drawn.outer, drawn.inner)))
        return solids.surface_cm2(solids.scaled(there, width / solids.width_mm(there)))
    except OutOfRange:
        return None


def rests_on(found: OnPiece) -> str:
    """What a figure rests on, for people."""
    if found.rests is Rests.SIZE:
        return _("reckoned from its size and a layer of half a millimetre: weigh a few")
    pieces = ngettext("%(n)d piece weighed", "%(n)d pieces weighed", found.pieces) % {"n": found.pieces}
    if found.rests is Rests.WEIGHED:
        return pieces
    where = _("in other glazes") if found.rests is Rests.OTHER_GLAZE else _("of other forms, by their size")
    return f"{pieces} {where}"
