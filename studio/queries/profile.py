"""A form from its profile: volumes, weights, capacity, wall, the first ball, and the picture of its section."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from django.utils import timezone
from django.utils.translation import gettext as _

from planner.craft import solids
from planner.craft.ranges import OutOfRange
from planner.craft.trial import SPARE, first_ball
from studio import units
from studio.models import Form, FormProfile, Studio
from studio.queries.bodies import BodyShrinkage, body_of, shrinkage_of
from studio.queries.profile_picture import Picture, picture_of
from studio.queries.state import state_of

MOISTURE = 0.22  # of the wet weight, plastic clay: common practice, no source
LOST_IN_FIRE = 0.07  # of the dry weight; the usual of :func:`solids.weights`
BELOW_BRIM_MM = 10.0  # where a fill line is, while nobody says otherwise
EVERY_MM = 10.0


@dataclass(frozen=True)
class WallView:
    """The wall at one place along the inside; ``n`` is its number in the picture. Millimetres, of the fired pot."""

    n: int
    along_mm: float
    radius_mm: float
    height_mm: float
    fired_mm: float
    wet_mm: float


@dataclass(frozen=True)
class Reckoned:
    """All that follows from a profile. Sizes and capacities are of the fired pot, ``wet`` those in the mould."""

    width_mm: float
    height_mm: float
    wet_width_mm: float
    wet_height_mm: float
    clay_cm3: float
    weights: solids.Weights
    moisture_pct: float
    moisture_told: bool
    brim_ml: float
    line_ml: float | None
    below_mm: float
    surface_cm2: float
    ball_g: int
    spare_pct: float
    walls: tuple[WallView, ...]
    thinnest_mm: float
    thickest_mm: float
    wet_points: tuple[tuple[str, tuple[solids.Point, ...]], ...]
    picture: Picture


@dataclass(frozen=True)
class ProfileView:
    """The profile that holds, if there is one, in mm as it was entered, and what is reckoned from it."""

    row: FormProfile | None
    since: datetime | None
    points: dict[str, list[tuple[float, float]]]
    body: BodyShrinkage
    reckoned: Reckoned | None
    refusal: str = ""
    line_wrong: str = ""


def profile_of(studio: Studio, form: Form, below: str = "") -> ProfileView:
    """The profile of a form; ``below``: how far under the brim (mm or inches) the line is up to which it is filled."""
    row = FormProfile.objects.filter(form=form).order_by("valid_from", "pk").last()
    body = shrinkage_of(studio, body_of(studio, form))
    if row is None:
        return ProfileView(None, None, {"outer": [], "inner": []}, body, None)
    points = {line: [(r / 100, z / 100) for r, z in getattr(row, line)] for line in ("outer", "inner")}
    below_mm, wrong = _below(below)
    try:
        fired, wet = _sizes(row, points, body.shrinkage.total)
        found = _reckoned(studio, fired, wet, body, below_mm)
    except OutOfRange as fault:
        return ProfileView(row, timezone.localtime(row.valid_from), points, body, None, str(fault))
    return ProfileView(row, timezone.localtime(row.valid_from), points, body, found, "", wrong)


def _below(given: str) -> tuple[float, str]:
    if not given.strip():
        return BELOW_BRIM_MM, ""
    each = units.MM_PER_INCH if units.current() == units.US else 1.0
    try:
        value = float(given.replace(",", ".")) * each
    except ValueError:
        value = -1.0
    if not 0 <= value <= solids.MOST_MM:
        return BELOW_BRIM_MM, _("Enter how far below the brim, such as 10.")
    return value, ""


def _sizes(row: FormProfile, points: dict[str, list[solids.Point]], total: float) -> tuple[solids.Profile, ...]:
    """The profile fired and in the mould, whichever of them was entered."""
    there = solids.Profile(tuple(points["outer"]), tuple(points["inner"]))
    if row.size == FormProfile.Size.FIRED:
        return there, solids.scaled(there, 1 / (1 - total))
    return solids.scaled(there, 1 - total), there


def _reckoned(
    studio: Studio, fired: solids.Profile, wet: solids.Profile, body: BodyShrinkage, below_mm: float
) -> Reckoned:
    told = _water(studio, body.id)
    moisture = told if told is not None else MOISTURE
    weights = solids.weights(wet, moisture, body.shrinkage.total, LOST_IN_FIRE)
    brim, bottom = max(z for _r, z in fired.inner), min(z for _r, z in fired.inner)
    line = solids.filled_ml(fired, brim - below_mm) if bottom <= brim - below_mm else None
    walls = _walls(fired, body.shrinkage.total)
    thick = [w.fired_mm for w in walls[:-1]] or [w.fired_mm for w in walls]  # the rim may close in a point
    return Reckoned(
        solids.width_mm(fired), solids.height_mm(fired), solids.width_mm(wet), solids.height_mm(wet),
        solids.clay_volume_cm3(wet), weights, 100 * moisture, told is not None, solids.capacity_ml(fired), line,
        below_mm, solids.surface_cm2(fired), first_ball(weights.wet_g), 100 * SPARE, walls, min(thick), max(thick),
        (("outer", wet.outer), ("inner", wet.inner)), picture_of(fired, [(w.radius_mm, w.height_mm) for w in walls]),
    )  # fmt: skip


def _walls(fired: solids.Profile, total: float) -> tuple[WallView, ...]:
    found = solids.sections(fired, EVERY_MM)
    return tuple(
        WallView(n, s.along_mm, s.at[0], s.at[1], s.thick_mm, s.thick_mm / (1 - total)) for n, s in enumerate(found, 1)
    )


def _water(studio: Studio, body: str) -> float | None:
    """The water in the body's last batch of which somebody told it, as a share of the wet weight."""
    batches = [b for b in state_of(studio).clay.values() if b.body == body and b.water_pct is not None]
    last = max(batches, key=lambda b: b.nth, default=None)
    return last.water_pct / 100 if last is not None and last.water_pct is not None else None
