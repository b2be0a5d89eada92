"""Plaster for moulds: how much to mix, what sets into it, and how much water a mould must still lose.

*Consistency* is parts of water to 100 parts of plaster by weight, as on a bag. Plaster is hemihydrate, CaSO4·½H2O; it
sets to gypsum, CaSO4·2H2O, by taking up 1½ H2O. Setting expansion (some 0.2 % of length) is left out.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, pi

from planner.craft.ranges import OutOfRange, within

_HEMIHYDRATE, _GYPSUM, _WATER = 145.14, 172.16, 18.015  # g/mol, from the standard atomic masses
COMBINED = 1.5 * _WATER / _HEMIHYDRATE  # kg of water that a kg of plaster takes up as it sets
PLASTER_DENSITY = 2680.0  # kg/m³, effective; backed out of makers' wet densities, which give 2640 to 2720
WATER_DENSITY = 998.0  # kg/m³ at 20 °C
MOULD_CONSISTENCY = 70.0  # for moulds to press in; makers' sheets give 68 to 74
OVER_MODEL_MM = 38.0  # plaster over and around a model: common practice, no source
WASTE = 0.08  # what stays in bucket and on hands: common practice, no source
BUCKET_FILL = 0.65  # of a bucket, so that it can be stirred: common practice, no source
LEAST_C, MOST_C = 20.0, 100.0


def _consistency(consistency: float) -> float:
    return within(consistency, LEAST_C, MOST_C, "the consistency", "parts of water to 100 of plaster")


def consistency_of(plaster_g: float, water_g: float) -> float:
    """The consistency of a mix: 100 × water / plaster. The answer from 20 to 100."""
    within(plaster_g, 1, 1e7, "the plaster", "g")
    return _consistency(100 * within(water_g, 0, 1e7, "the water", "g") / plaster_g)


def combined_water_g(plaster_g: float) -> float:
    """Grams of water that this plaster binds as it sets: 18.6 to 100, the stoichiometry of hemihydrate to gypsum."""
    return COMBINED * within(plaster_g, 0, 1e7, "the plaster", "g")


def wet_density_kg_m3(consistency: float) -> float:
    """The density of slurry and fresh cast where the bag does not tell it: (1 + c) / (1/2680 + c/998), c in kg/kg.

    Volumes add up; within 1 % of makers' sheets from 22 to 74.
    """
    c = _consistency(consistency) / 100
    return (1 + c) / (1 / PLASTER_DENSITY + c / WATER_DENSITY)


@dataclass(frozen=True, slots=True)
class Mix:
    """Plaster and water to weigh out, and the litres of slurry that they make."""

    plaster_g: float
    water_g: float
    litres: float


def mix_for(litres: float, consistency: float = MOULD_CONSISTENCY, wet_kg_m3: float | None = None) -> Mix:
    """Plaster and water for a volume of slurry (0.01 to 500 l): density × volume shared out by the consistency.

    ``wet_kg_m3`` (1300 to 2300) is the wet density from the bag's sheet, else ``wet_density_kg_m3``. A litre of slurry
    makes a litre of mould.
    """
    within(litres, 0.01, 500, "the volume", "l")
    grams = litres * _wet(consistency, wet_kg_m3)
    plaster = grams / (1 + consistency / 100)
    return Mix(plaster, grams - plaster, litres)


def litres_from(plaster_g: float, consistency: float = MOULD_CONSISTENCY, wet_kg_m3: float | None = None) -> float:
    """The litres of slurry that this much plaster (1 g to 1 t) makes: the mix turned round."""
    within(plaster_g, 1, 1e6, "the plaster", "g")
    return plaster_g * (1 + _consistency(consistency) / 100) / _wet(consistency, wet_kg_m3)


def _wet(consistency: float, wet_kg_m3: float | None) -> float:
    usual = wet_density_kg_m3(consistency)
    return usual if wet_kg_m3 is None else within(wet_kg_m3, 1300, 2300, "the wet density", "kg/m³")


def dry_density_kg_m3(consistency: float, wet_kg_m3: float | None = None) -> float:
    """The density of a mould at constant weight: the plaster of a cubic metre with the water that it bound."""
    return _wet(consistency, wet_kg_m3) / (1 + consistency / 100) * (1 + COMBINED)


def dry_weight_g(plaster_g: float) -> float:
    """What the moulds of this much plaster weigh at constant weight: 1.186 times the plaster, by stoichiometry."""
    return plaster_g + combined_water_g(plaster_g)


def plaster_in_g(dry_g: float) -> float:
    """The plaster that a mould of this dry weight was mixed from: the dry weight / 1.186, by stoichiometry."""
    return within(dry_g, 1, 400_000, "the dry weight of the mould", "g") / (1 + COMBINED)


def free_water_share(consistency: float) -> float:
    """Water that a fresh cast holds and did not bind, as a share of its dry weight: (c − 18.6) / 118.6, c 20 to 100."""
    c = _consistency(consistency) / 100
    return (c - COMBINED) / (1 + COMBINED)


def as_cast_loss(consistency: float) -> float:
    """The share of its weight that a fresh cast loses on drying to constant weight: (c − 18.6) / (100 + c)."""
    c = _consistency(consistency) / 100
    return (c - COMBINED) / (1 + c)


def dry_from_lifted_g(lifted_g: float, consistency: float = MOULD_CONSISTENCY) -> float:
    """The dry weight to expect of a mould that was weighed as it was lifted off its model, before it dried at all."""
    return within(lifted_g, 10, 400_000, "the weight of the mould", "g") * (1 - as_cast_loss(consistency))


@dataclass(frozen=True, slots=True)
class RoundFrame:
    """A round frame, inner diameter in mm (30 to 2000)."""

    diameter_mm: float

    def __post_init__(self) -> None:
        within(self.diameter_mm, 30, 2000, "the inner diameter of the frame", "mm")

    @property
    def area_mm2(self) -> float:
        """The area inside."""
        return pi / 4 * self.diameter_mm**2

    @property
    def narrowest_mm(self) -> float:
        """The widest round model that goes in."""
        return self.diameter_mm


@dataclass(frozen=True, slots=True)
class BoxFrame:
    """A frame of boards, inner length and width in mm (30 to 2000)."""

    length_mm: float
    width_mm: float

    def __post_init__(self) -> None:
        within(self.length_mm, 30, 2000, "the inner length of the frame", "mm")
        within(self.width_mm, 30, 2000, "the inner width of the frame", "mm")

    @property
    def area_mm2(self) -> float:
        """The area inside."""
        return self.length_mm * self.width_mm

    @property
    def narrowest_mm(self) -> float:
        """The widest round model that goes in."""
        return min(self.length_mm, self.width_mm)


@dataclass(frozen=True, slots=True)
class Model:
    """What the mould is poured over: greatest diameter and height in mm, volume in litres."""

    diameter_mm: float
    height_mm: float
    litres: float

    def __post_init__(self) -> None:
        within(self.diameter_mm, 10, 2000, "the diameter of the model", "mm")
        within(self.height_mm, 1, 1000, "the height of the model", "mm")
        around = pi / 4 * self.diameter_mm**2 * self.height_mm / 1e6
        within(self.litres, 0, around * (1 + 1e-9), "the volume of a model of that diameter and height", "l")


def mould_litres(frame: RoundFrame | BoxFrame, model: Model, over_mm: float = OVER_MODEL_MM) -> float:
    """The plaster's volume: frame area × (model height + thickness over it) − model. Thickness over it 10 to 200 mm.

    The model must stand at least 10 mm from the frame all round.
    """
    within(over_mm, 10, 200, "the plaster over the model", "mm")
    beside = (frame.narrowest_mm - model.diameter_mm) / 2
    if beside < 10:
        raise OutOfRange(
            f"between model and frame there are {beside:.0f} mm of plaster: take a frame at least "
            f"{model.diameter_mm + 20:.0f} mm wide"
        )
    return frame.area_mm2 * (model.height_mm + over_mm) / 1e6 - model.litres


def mixes_for(
    litres: float,
    bucket_litres: float,
    consistency: float = MOULD_CONSISTENCY,
    wet_kg_m3: float | None = None,
    waste: float = WASTE,
) -> tuple[int, Mix]:
    """How many equal mixes a volume takes with this bucket (1 to 100 l, filled to 65 %), and one of them.

    ``waste`` (0 to 0.5) is added to the volume. Whole pours are kept together by the person who pours.
    """
    within(litres, 0.01, 500, "the volume", "l")
    within(bucket_litres, 1, 100, "the bucket", "l")
    needed = litres * (1 + within(waste, 0, 0.5, "the share of waste"))
    mixes = max(1, ceil(needed / (BUCKET_FILL * bucket_litres) - 1e-9))
    return mixes, mix_for(needed / mixes, consistency, wet_kg_m3)


@dataclass(frozen=True, slots=True)
class Cast:
    """What to expect of one mould: weights as lifted and dry, the free water between the two, and that as a share."""

    lifted_g: float
    dry_g: float
    free_g: float
    free_share: float


def expected_cast(litres: float, consistency: float = MOULD_CONSISTENCY, wet_kg_m3: float | None = None) -> Cast:
    """The weights of a mould of this volume (0.01 to 500 l); what it sweats and loses before it is lifted is left out.

    Mass balance: what was poured is lifted, the plaster with its bound water stays, the rest is free.
    """
    mix = mix_for(litres, consistency, wet_kg_m3)
    lifted, dry = mix.plaster_g + mix.water_g, dry_weight_g(mix.plaster_g)
    return Cast(lifted, dry, lifted - dry, free_water_share(consistency))
