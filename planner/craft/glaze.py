"""Glaze in the bucket: dry glaze by density, water to add, grams a piece and what a week takes.

Brongniart's formula (Traité des arts céramiques 1854): a litre of slop of density D (g/l) holds G (D − 1000) / (G − 1)
grams of dry glaze whose particles are G times as dense as water.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from planner.craft.ranges import OutOfRange, within

SOLID = 2.6  # most glazes without lead: a potters' handbook; 2.5 is quoted as well
MOST_DENSITY = 2000  # g/l; beyond it nothing pours


def _refuse(density_g_l: float, solid: float) -> None:
    within(solid, 2.3, 4.5, "the density of dry glaze against water")
    within(density_g_l, 1001, MOST_DENSITY, "the density of the glaze", "g/l")


def dry_g_per_l(density_g_l: float, solid: float = SOLID) -> float:
    """Dry glaze (g) in a litre of glaze that weighs 1001 to 2000 g; ``solid`` 2.3 to 4.5."""
    _refuse(density_g_l, solid)
    return solid * (density_g_l - 1000) / (solid - 1)


def water_g_per_l(density_g_l: float, solid: float = SOLID) -> float:
    """Water (g) in a litre of glaze."""
    return density_g_l - dry_g_per_l(density_g_l, solid)


def density_g_l(dry_g: float, water_g: float, solid: float = SOLID) -> float:
    """The density (g/l) of dry glaze stirred into water: (dry + water) / (dry / solid + water) × 1000."""
    within(dry_g, 1, 1e6, "the dry glaze", "g")
    within(water_g, 1, 1e6, "the water", "g")
    within(solid, 2.3, 4.5, "the density of dry glaze against water")
    return 1000 * (dry_g + water_g) / (dry_g / solid + water_g)


def water_to_add_l(litres: float, density: float, wanted: float) -> float:
    """Litres of water that thin a bucket (0.1 to 1000 l) from its density to a lower one (g/l).

    Dry glaze stays the same, so litres × (density − 1000) does: litres × ((density − 1000) / (wanted − 1000) − 1).
    """
    _refuse(density, SOLID)
    _refuse(wanted, SOLID)
    within(litres, 0.1, 1000, "the glaze in the bucket", "l")
    if wanted > density:
        raise OutOfRange(
            f"glaze of {density:g} g/l is thinner than {wanted:g} already: take water off, or add dry glaze"
        )
    return litres * ((density - 1000) / (wanted - 1000) - 1)


def water_to_take_l(litres: float, density: float, wanted: float) -> float:
    """Litres of clear water to take off, after settling, for a higher density (g/l)."""
    _refuse(density, SOLID)
    _refuse(wanted, SOLID)
    within(litres, 0.1, 1000, "the glaze in the bucket", "l")
    if wanted < density:
        raise OutOfRange(f"glaze of {density:g} g/l is thicker than {wanted:g} already: add water")
    return litres * (1 - (density - 1000) / (wanted - 1000))


def dry_to_add_g(litres: float, density: float, wanted: float, solid: float = SOLID) -> float:
    """Dry glaze (g) that thickens a bucket to a higher density, the water staying the same."""
    _refuse(density, solid)
    _refuse(wanted, solid)
    within(litres, 0.1, 1000, "the glaze in the bucket", "l")
    if wanted < density:
        raise OutOfRange(f"glaze of {density:g} g/l is thicker than {wanted:g} already: add water")
    water = litres * water_g_per_l(density, solid)
    return water * dry_g_per_l(wanted, solid) / water_g_per_l(wanted, solid) - litres * dry_g_per_l(density, solid)


def dry_per_piece_g(bisqued_g: Iterable[float], glazed_dry_g: Iterable[float]) -> float:
    """Dry glaze on a piece (g): weighed glazed and dry, less the same pieces bisqued, on average."""
    before, after = list(bisqued_g), list(glazed_dry_g)
    if not before or len(before) != len(after):
        raise OutOfRange("weigh the same pieces before and after: as many weights of each, at least one")
    for b, a in zip(before, after, strict=True):
        within(b, 1, 50_000, "a bisqued piece", "g")
        within(a, b, 1.5 * b, "a piece with its dry glaze on", "g")
    return (sum(after) - sum(before)) / len(before)


def dry_by_surface_g(surface_cm2: float, dry_mm: float, packed: float = 1.4) -> float:
    """Dry glaze (g) of a layer 0.1 to 3 mm thick on a surface; ``packed`` 1.0 to 2.0 g/cm³ (from memory)."""
    within(surface_cm2, 1, 50_000, "the surface", "cm²")
    within(dry_mm, 0.1, 3, "the dry layer", "mm")
    return surface_cm2 * dry_mm / 10 * within(packed, 1, 2, "the density of the dry layer", "g/cm³")


@dataclass(frozen=True, slots=True)
class Take:
    """Glaze for some pieces: dry weight in g and litres at the bucket's density."""

    dry_g: float
    litres: float


DRIPPED = 0.1  # lost on floor and sponge: common practice, no source


def take(pieces: int, dry_g_a_piece: float, density: float, dripped: float = DRIPPED, solid: float = SOLID) -> Take:
    """The glaze that so many pieces take; ``dripped`` (0 to 0.5) is lost on floor and sponge: practice, no source."""
    within(pieces, 0, 1_000_000, "the pieces", "pieces")
    within(dry_g_a_piece, 0, 5000, "the dry glaze on a piece", "g")
    within(dripped, 0, 0.5, "the share dripped")
    dry = pieces * dry_g_a_piece / (1 - dripped)
    return Take(dry, dry / dry_g_per_l(density, solid))


def left_in(litres: float, density: float, taken_g: float, solid: float = SOLID) -> Take:
    """What is still in a bucket (0.001 to 1000 l) after so much dry glaze (g) was taken from it; never below 0."""
    within(litres, 0.001, 1000, "the glaze in the bucket", "l")
    within(taken_g, 0, 1e7, "the glaze taken", "g")
    each = dry_g_per_l(density, solid)
    dry = max(0.0, litres * each - taken_g)
    return Take(dry, dry / each)
