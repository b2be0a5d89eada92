"""Where the formulas for plaster come from."""

from __future__ import annotations

from planner.craft.rows import Row, Tag

STOICHIOMETRY = "stoichiometry of CaSO4·½H2O + 1½ H2O → CaSO4·2H2O, standard atomic masses"

ROWS: tuple[Row, ...] = (
    Row(
        "Plaster",
        "Consistency",
        "100 × water / plaster, by weight.",
        "as printed on bags and makers' sheets",
        "20 to 100",
        Tag.PUBLISHED,
        ("plaster.consistency_of",),
    ),
    Row(
        "Plaster",
        "Water that sets into it",
        "18.6 to 100 of plaster; dry moulds weigh 1.186 times the plaster.",
        STOICHIOMETRY,
        "pure hemihydrate",
        Tag.PUBLISHED,
        ("plaster.combined_water_g", "plaster.dry_weight_g", "plaster.plaster_in_g"),
    ),
    Row(
        "Plaster",
        "Plaster and water for a volume",
        "Wet density × volume, shared out by the consistency; without a sheet the density of plaster (2680) and water "
        "(998 kg/m³) mixed.",
        "mass balance; within 1 % of seven makers' sheets",
        "consistency 20 to 100, up to 500 l",
        Tag.PUBLISHED,
        ("plaster.mix_for", "plaster.litres_from", "plaster.wet_density_kg_m3"),
    ),
    Row(
        "Plaster",
        "Dry density",
        "Plaster in a cubic metre × 1.186.",
        f"{STOICHIOMETRY}; within 1.4 % of seven makers' sheets",
        "consistency 20 to 100",
        Tag.PUBLISHED,
        ("plaster.dry_density_kg_m3",),
    ),
    Row(
        "Plaster",
        "What a new mould must still lose",
        "Free water (c − 18.6) / 118.6 of the dry weight; (c − 18.6) / (100 + c) of the weight as lifted.",
        f"{STOICHIOMETRY}; a maker's own weighings: 30 % every time",
        "consistency 20 to 100; what it sweats before it is lifted is left out",
        Tag.PUBLISHED,
        (
            "plaster.free_water_share",
            "plaster.as_cast_loss",
            "plaster.dry_from_lifted_g",
            "plaster.expected_cast",
        ),
    ),
    Row(
        "Plaster",
        "Volume of a mould",
        "Area of the frame × (height of the model + plaster over it, 38 mm) − volume of the model.",
        "solid geometry; the thickness is common practice",
        "at least 10 mm of plaster beside the model",
        Tag.DERIVED,
        ("plaster.mould_litres",),
    ),
    Row(
        "Plaster",
        "Mixes for a bucket",
        "Volume and 8 % of waste, in equal mixes that fill at most 65 % of the bucket.",
        "common practice",
        "buckets of 1 to 100 l",
        Tag.PRACTICE,
        ("plaster.mixes_for",),
    ),
    Row(
        "Plaster",
        "How long a bag keeps",
        "Until the day on the bag, else 120 days after it was bagged; three weeks before that it is to be used first.",
        "one maker's figure for a plaster to jigger on, by Digitalfire's page on plaster; the three weeks are common "
        "practice",
        "closed and dry; an open bag draws damp sooner",
        Tag.PUBLISHED,
        ("bags.keeps_until", "bags.age_on"),
    ),
)
