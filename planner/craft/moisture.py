"""Water in clay, with the basis that a figure is measured on: 20 % of the wet weight is 25 % of the dry weight."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from planner.craft.ranges import OutOfRange, within


class Basis(StrEnum):
    """What a moisture is a share of: the weight with its water, or the bone-dry weight."""

    WET = "wet"
    DRY = "dry"


@dataclass(frozen=True, slots=True)
class Moisture:
    """A share of water and its basis: 0 to 0.80 of the wet weight, 0 to 4 of the dry weight."""

    share: float
    basis: Basis

    def __post_init__(self) -> None:
        within(self.share, 0, 0.80 if self.basis is Basis.WET else 4, f"the water, of the {self.basis} weight,")

    @property
    def dry_basis(self) -> float:
        """Grams of water to a gram of dry clay: w / (1 − w) from the wet basis."""
        return self.share if self.basis is Basis.DRY else self.share / (1 - self.share)

    @property
    def wet_basis(self) -> float:
        """Grams of water in a gram of wet clay: d / (1 + d) from the dry basis."""
        return self.share if self.basis is Basis.WET else self.share / (1 + self.share)


def water_lost_g(wet_g: float, before: Moisture, after: Moisture) -> float:
    """Grams of water that a piece of ``wet_g`` (0 to 1 000 000) loses from one moisture to another, lower one.

    Mass balance: the dry clay stays, so wet_g (1 − (1 − before) / (1 − after)) on the wet basis.
    """
    within(wet_g, 0, 1_000_000, "the weight of the piece", "g")
    if after.wet_basis > before.wet_basis:
        raise OutOfRange(f"from {before.wet_basis:.1%} to {after.wet_basis:.1%} of water a piece takes water up")
    return wet_g * (1 - (1 - before.wet_basis) / (1 - after.wet_basis))
