"""Shrinkage of clay from the mould to the fired pot, with the basis that each figure was measured on.

Figures for firing shrinkage go about on three bases: of the wet, the dry or the fired length. A figure is never kept
without its basis. All shares are linear, 0.12 for 12 %.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from statistics import fmean

from planner.craft.ranges import OutOfRange, within

MOST_DRYING = 0.20
MOST_FIRING = 0.25
MOST_MM = 5000


class Basis(StrEnum):
    """The length that a share is of."""

    WET = "wet"
    DRY = "dry"
    FIRED = "fired"


def drying_shrinkage(wet_mm: float, dry_mm: float) -> float:
    """(wet − dry) / wet, of marks on a bar; ASTM C326 (from memory). From 0 to 0.20."""
    _lengths(wet_mm, dry_mm)
    return within((wet_mm - dry_mm) / wet_mm, 0, MOST_DRYING, "the drying shrinkage")


def firing_shrinkage(dry_mm: float, fired_mm: float) -> float:
    """(dry − fired) / dry: on the dry basis. From 0 to 0.25."""
    _lengths(dry_mm, fired_mm)
    return within((dry_mm - fired_mm) / dry_mm, 0, MOST_FIRING, "the firing shrinkage")


def total_shrinkage(wet_mm: float, fired_mm: float) -> float:
    """(wet − fired) / wet: on the wet basis. From 0 to 0.40."""
    _lengths(wet_mm, fired_mm)
    return within((wet_mm - fired_mm) / wet_mm, 0, 0.40, "the total shrinkage")


def _lengths(before_mm: float, after_mm: float) -> None:
    within(before_mm, 1, MOST_MM, "the length before", "mm")
    within(after_mm, 0.5, MOST_MM, "the length after", "mm")
    if after_mm > before_mm:
        raise OutOfRange(f"{after_mm} mm after {before_mm} mm: clay does not grow; are the two lengths swapped?")


@dataclass(frozen=True, slots=True)
class Shrinkage:
    """A body's drying share (wet basis) and firing share with its basis, as they were measured."""

    drying: float
    firing: float
    firing_basis: Basis = Basis.DRY

    def __post_init__(self) -> None:
        within(self.drying, 0, MOST_DRYING, "the drying shrinkage")
        within(self.firing, 0, 0.30, "the firing shrinkage")
        within(self.firing_of_dry, 0, MOST_FIRING, "the firing shrinkage, of the dry length,")

    @property
    def firing_of_dry(self) -> float:
        """The firing share on the dry basis.

        With d dry and f fired for a wet length of 1: a wet-basis share is d − f, a fired-basis one (d − f) / f.
        """
        if self.firing_basis is Basis.WET:
            return self.firing / (1 - self.drying)
        if self.firing_basis is Basis.FIRED:
            return self.firing / (1 + self.firing)
        return self.firing

    @property
    def total(self) -> float:
        """The whole share on the wet basis, 1 − (1 − drying)(1 − firing): 6 % and 6 % make 11.64 %, not 12 %."""
        return 1 - (1 - self.drying) * (1 - self.firing_of_dry)

    @property
    def total_volume(self) -> float:
        """The whole share of the volume, alike in all directions: 1 − (1 − total)³."""
        return volume_shrinkage(self.total)

    @classmethod
    def of_total(cls, total: float, drying: float) -> Shrinkage:
        """From a total (wet basis, as clay makers print it) and a drying share not above it."""
        within(total, 0, 0.40, "the total shrinkage")
        if drying > total:
            raise OutOfRange(f"a drying shrinkage of {drying} is more than the whole of {total}")
        return cls(drying, (1 - (1 - total) / (1 - drying)))


def mean_of_bars(bars: Sequence[Shrinkage]) -> Shrinkage:
    """The shrinkage of a body from 1 to 1000 bars: plain averages of drying and of firing, on the dry basis."""
    if not 1 <= len(bars) <= 1000:
        raise OutOfRange(f"{len(bars)} bars: 1 to 1000 are wanted")
    return Shrinkage(fmean(b.drying for b in bars), fmean(b.firing_of_dry for b in bars))


def volume_shrinkage(linear: float) -> float:
    """The share of the volume for a linear share (0 to 0.40), alike in all directions: 12 % makes 31.85 %."""
    within(linear, 0, 0.40, "the shrinkage")
    return 1 - (1 - linear) ** 3


def fired_mm(wet_mm: float, body: Shrinkage) -> float:
    """The fired size of what measures ``wet_mm`` in the mould."""
    return within(wet_mm, 0, MOST_MM, "the wet size", "mm") * (1 - body.total)


def dry_mm(wet_mm: float, body: Shrinkage) -> float:
    """The bone-dry size of what measures ``wet_mm`` in the mould."""
    return within(wet_mm, 0, MOST_MM, "the wet size", "mm") * (1 - body.drying)


def bisque_mm(fired_size_mm: float, body: Shrinkage, share_in_bisque: float = 0.1) -> float:
    """The size of ware that goes into the glost, for a fired size.

    ``share_in_bisque``: the part (0 to 1) of the firing shrinkage done in a low bisque; 0.1 is common practice for
    stoneware, no source.
    """
    within(fired_size_mm, 0, MOST_MM, "the fired size", "mm")
    within(share_in_bisque, 0, 1, "the part of the shrinkage done in the bisque")
    return fired_size_mm * (1 - share_in_bisque * body.firing_of_dry) / (1 - body.firing_of_dry)


def wet_mm(fired_size_mm: float, body: Shrinkage) -> float:
    """The size in the mould for a wanted fired size: fired / (1 − total)."""
    return within(fired_size_mm, 0, MOST_MM, "the fired size", "mm") / (1 - body.total)


def model_mm(fired_size_mm: float, body: Shrinkage, plaster_expansion: float = 0.0) -> float:
    """The size to turn the model for a wanted fired size.

    ``plaster_expansion``: how much the mould grows against its model in setting, in all steps from model to working
    mould together, 0 to 0.01; a pottery plaster's data sheet says up to some 0.002 a step.
    """
    within(plaster_expansion, 0, 0.01, "the expansion of the plaster")
    return wet_mm(fired_size_mm, body) / (1 + plaster_expansion)
