"""How much glaze sits on a piece: by weighings of the same pieces before and after, else by the size of the form.

A weighing says far more than a size: pieces of one form differ by a tenth or so, a layer reckoned from the size of a
form by half. So one weighing of a few pieces puts the reckoning aside at once, and the two are never mixed.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from math import pi

from planner.craft.glaze import dry_by_surface_g
from planner.craft.ranges import OutOfRange, within

USUAL_LAYER_MM = 0.5  # dry glaze on bisque: common practice, no source
LAST = 5  # weighings of a form in a glaze that count: dipping and bucket change with the seasons


def straight_surface_cm2(width_mm: float, height_mm: float) -> float:
    """Inside and outside of a thin straight pot, such as a mug: 2 × (π d h + π d² / 4). 10 to 1000 mm each."""
    d, h = _size(width_mm, height_mm)
    return 2 * (pi * d * h + pi * d**2 / 4) / 100


def dished_surface_cm2(width_mm: float, height_mm: float) -> float:
    """Inside and outside of a thin bowl or plate, taken as part of a ball: 2 × π (r² + h²). 10 to 1000 mm wide.

    The area of a spherical cap (Archimedes, On the sphere and cylinder I.42).
    """
    d, h = _size(width_mm, height_mm)
    return 2 * pi * ((d / 2) ** 2 + h**2) / 100


def _size(width_mm: float, height_mm: float) -> tuple[float, float]:
    within(width_mm, 10, 1000, "the width", "mm")
    within(height_mm, 1, 1000, "the height", "mm")
    return width_mm, height_mm


@dataclass(frozen=True, slots=True)
class Weighed:
    """Pieces of a form weighed together: what dry glaze they took, in g."""

    form: str
    glaze: str
    pieces: int
    taken_g: float

    def __post_init__(self) -> None:
        within(self.pieces, 1, 100_000, "the pieces weighed", "pieces")
        within(self.taken_g, 0, 1e6, "the glaze on them", "g")


class Rests(StrEnum):
    """What a figure rests on."""

    WEIGHED = "weighed"  # this form in this glaze
    OTHER_GLAZE = "other_glaze"  # this form in other glazes
    OTHER_FORM = "other_form"  # this glaze on other forms, by their surfaces
    SIZE = "size"  # the form's surface and a usual layer


@dataclass(frozen=True, slots=True)
class OnPiece:
    """Dry glaze on a piece in g, what that rests on, and how many pieces were weighed for it."""

    dry_g: float
    rests: Rests
    pieces: int = 0


def on_a_piece(form: str, glaze: str, weighed: Iterable[Weighed], surfaces: Mapping[str, float]) -> OnPiece:
    """The dry glaze on a piece of a form. ``weighed`` are in the order of time, the last ones count.

    ``surfaces``: cm² by form, 1 to 50 000; the form itself must be among them.
    """
    if form not in surfaces:
        raise OutOfRange(f"the surface of {form} is not known")
    many = list(weighed)
    exact = [w for w in many if (w.form, w.glaze) == (form, glaze)][-LAST:]
    if exact:
        return OnPiece(_average(exact), Rests.WEIGHED, sum(w.pieces for w in exact))
    same_form = [w for w in many if w.form == form][-LAST:]
    if same_form:
        return OnPiece(_average(same_form), Rests.OTHER_GLAZE, sum(w.pieces for w in same_form))
    same_glaze = [w for w in many if w.glaze == glaze and w.form in surfaces][-LAST:]
    if same_glaze:
        area = sum(w.pieces * surfaces[w.form] for w in same_glaze)
        each = sum(w.taken_g for w in same_glaze) * surfaces[form] / area
        return OnPiece(each, Rests.OTHER_FORM, sum(w.pieces for w in same_glaze))
    return OnPiece(dry_by_surface_g(surfaces[form], USUAL_LAYER_MM), Rests.SIZE)


def _average(weighed: list[Weighed]) -> float:
    return sum(w.taken_g for w in weighed) / sum(w.pieces for w in weighed)
