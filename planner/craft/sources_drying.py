"""Where the formulas for air, moulds and ware come from. Those for plaster stand in ``sources_plaster``."""

from __future__ import annotations

from planner.craft.rows import Row, Tag

ASHRAE = "ASHRAE Handbook, Fundamentals 2017, chapter 1"
COULSON = "Coulson & Richardson, Chemical Engineering vol. 2, chapter 16"
OWN = "worked out here; the proof stands beside the formula"

_AIR = (
    Row(
        "Air",
        "How much water air can hold",
        "The saturation pressure of water vapour, by the equations of Hyland and Wexler; over ice below 0.01 °C.",
        f"{ASHRAE}, equations 5 and 6",
        "−40 to 100 °C",
        Tag.PUBLISHED,
        ("air.saturation_pressure_pa",),
    ),
    Row(
        "Air",
        "How thirsty air is",
        "Vapour-pressure deficit = (1 − relative humidity) × saturation pressure.",
        "FAO Irrigation and Drainage Paper 56, chapter 3",
        "−40 to 100 °C, relative humidity 0 to 100 %",
        Tag.PUBLISHED,
        ("air.vapour_pressure_pa", "air.vapour_pressure_deficit_pa"),
    ),
    Row(
        "Air",
        "Water in a kilogram of air",
        "Humidity ratio = 0.622 × vapour pressure / (air pressure − vapour pressure).",
        f"{ASHRAE}, equation 20",
        "vapour below half of the air's pressure",
        Tag.PUBLISHED,
        ("air.humidity_ratio",),
    ),
    Row(
        "Air",
        "Dew point",
        "The temperature at which the vapour in the air would be all that it can hold.",
        f"{ASHRAE}; found by halving",
        "relative humidity 1 to 100 %",
        Tag.PUBLISHED,
        ("air.dew_point_c",),
    ),
    Row(
        "Air",
        "Wet and dry thermometer",
        "The heat that the water takes up in going off comes from the air that cools down to the wet bulb.",
        f"{ASHRAE}, equations 33 and 35",
        "0 to 60 °C",
        Tag.PUBLISHED,
        ("air.wet_bulb_c", "air.humidity_from_wet_bulb"),
    ),
    Row(
        "Air",
        "Air pressure at a height above the sea",
        "101 325 Pa × (1 − 0.0000225577 × metres) to the power 5.2559.",
        f"{ASHRAE}, equation 3",
        "−500 to 5000 m",
        Tag.PUBLISHED,
        ("air.standard_pressure_pa",),
    ),
    Row(
        "Air",
        "No ware dries faster than open water",
        "(25 + 19 × speed of the air) × what the air still takes up to a kilogram, kg a square metre and hour.",
        "an engineers' handbook on pools; Carrier for the bound",
        "0 to 60 °C, air up to 5 m/s",
        Tag.PUBLISHED,
        ("air.evaporation_g_m2_h",),
    ),
    Row(
        "Air",
        "Damp, ordinary and dry week, drying cupboard",
        "Damp 15 °C and 73 %, ordinary 18 °C and 55 %, dry 22 °C and 45 %, cupboard 35 °C and 35 %; times go with "
        "the deficit, so that a damp week takes twice an ordinary one's.",
        "common practice",
        "any air with a deficit",
        Tag.PRACTICE,
        ("air.times_ordinary",),
    ),
    Row(
        "Air",
        "Heat that harms plaster",
        "Not above 45 °C, never above 49 °C; a mould's first day not above 42 °C.",
        "a plaster maker's bulletin on drying casts: 110 to 120 °F; the first day: a potters' discussion list",
        "pottery plaster",
        Tag.PUBLISHED,
        ("air.gypsum_warning",),
    ),
)

_MOULDS = (
    Row(
        "Moulds",
        "Water that a piece loses",
        "Weight × (1 − (1 − water before) / (1 − water after)), both of the wet weight.",
        "mass balance; Treybal, Mass-Transfer Operations, chapter 12",
        "any clay that grows drier",
        Tag.PUBLISHED,
        ("moisture.water_lost_g",),
    ),
    Row(
        "Moulds",
        "Water that a pressing leaves in the mould",
        "The water that the piece loses in the mould × the plaster's share of it (half).",
        "mass balance; the share is common practice",
        "balls of 10 g to 50 kg",
        Tag.PRACTICE,
        ("moulds.water_taken_g",),
    ),
    Row(
        "Moulds",
        "How a mould dries",
        "Each hour it loses the same share of its free water; the share goes with the vapour-pressure deficit.",
        "the deficit: the law of the constant-rate period (Geankoplis, chapter 9); the share: an assumption",
        "moulds in use; rough for new ones",
        Tag.PRACTICE,
        ("moulds.ordinary_hours", "moulds.free_after_g", "moulds.hours_to_dry", "mould_record.ordinary_between"),
    ),
    Row(
        "Moulds",
        "The rest that a mould bears for ever",
        "Ln(1 + water taken / water allowed) / rate of drying.",
        OWN,
        "a mould pressed in the same way again and again",
        Tag.DERIVED,
        ("moulds.sustainable_rest_h", "moulds.rate_from_rest"),
    ),
    Row(
        "Moulds",
        "A new mould's days to first use",
        "The first-order law from all its free water to 5 % of its dry weight.",
        "an assumption; potters tell of 5 to 10 days in a room",
        "a forecast; constant weight ends it",
        Tag.PRACTICE,
        ("moulds.days_to_first_use",),
    ),
    Row(
        "Moulds",
        "What a form's moulds begin with",
        "What a pot loses in its mould × the plaster's share of it; then the rate of drying and the moisture of a "
        "ready mould at which both the usual rest and the usual eight days of a new mould come out.",
        "the laws above with hours and days of practice",
        "until moulds were weighed; where the two do not go together, ready means 5 % of free water",
        Tag.PRACTICE,
        ("form_mould.uptake_g", "form_mould.usual_mould"),
    ),
    Row(
        "Moulds",
        "Constant weight",
        "Two weighings at least 22 hours apart that differ by less than half a per cent a day.",
        "makers' practice of drying to constant weight; the half per cent is common practice",
        "says little of thick moulds in damp air: then they lose little in a day while still wet",
        Tag.PRACTICE,
        ("moulds.at_constant_weight", "moulds.left_at_constant_weight"),
    ),
    Row(
        "Moulds",
        "How damp a mould is and when it is ready",
        "From its last weighing on: water of each pressing added, dried in the air of each day.",
        "the laws above, on the mould's own record; weighings below its dry or above its full weight are not believed",
        "nothing dries while a pot stands in it: the safe side",
        Tag.DERIVED,
        ("mould_record.present", "mould_record.ready_h", "mould_record.odd_weighings"),
    ),
    Row(
        "Moulds",
        "The rate from two weighings",
        "Ln(free water before / free water after) / hours between, counted as ordinary ones.",
        "the first-order law turned round",
        "no pressing between",
        Tag.DERIVED,
        ("mould_rate.rate_from_two",),
    ),
    Row(
        "Moulds",
        "The studio's own rate",
        "The most likely factor on the usual rates: log-normal prior of spread 0.5 around 1, Student's t with 4 "
        "degrees of freedom for errors, so that one odd weighing moves it little.",
        "maximum a posteriori estimation; Gelman and others, Bayesian Data Analysis; the prior is common practice",
        "any number of weighings; with none it is the prior",
        Tag.PUBLISHED,
        (
            "mould_rate.fit_rate",
            "mould_rate.mould_prior",
            "mould_rate.odd_ones",
            "mould_record.dried_between",
            "estimates.most_likely",
            "estimates.log_student",
        ),
    ),
)

_WARE = (
    Row(
        "Ware",
        "How a piece dries",
        "At a constant rate to the critical moisture, then at a rate that falls with what is left: "
        "(1/mA) [(w₀ − w_c)/(w_c − w_e) + ln((w_c − w_e)/(w − w_e))]; the first part goes with the thickness, the "
        "second with its square.",
        COULSON,
        "moistures of the dry weight, above the equilibrium; 0.4 to 20 times the usual thickness",
        Tag.PUBLISHED,
        ("drying.drying_time", "drying.moisture_after", "drying.rate_from_time"),
    ),
    Row(
        "Ware",
        "Hours at a constant rate",
        "Dry weight × fall of moisture / (surface × rate of evaporation).",
        "Geankoplis, Transport Processes and Unit Operations, chapter 9.6",
        "above the critical moisture",
        Tag.PUBLISHED,
        ("drying.constant_rate_hours",),
    ),
    Row(
        "Ware",
        "What a form begins with",
        "The constants at which an ordinary week gives the usual hours of its kind back; firm at 19 %, pressed at 22 % "
        "of the wet weight, shrinking down to 14 %, bone-dry at 2 % of the dry weight.",
        "the hours and moistures are common practice; no release curve is published",
        "a starting point, until the studio's own words and weighings tell more",
        Tag.PRACTICE,
        ("ware.ware_from_practice", "ware.open_hours_to", "ware.board_hours_to", "ware.thicker"),
    ),
    Row(
        "Ware",
        "Air, cover and damp moulds",
        "65 % of the drying in the mould goes with the deficit of the air (a cover holds it back), 35 % with the "
        "plaster's pores that are still empty; on the board all of it goes with the deficit.",
        "an assumption: straight lines through common practice",
        "moulds with up to 40 % of free water",
        Tag.PRACTICE,
        ("ware.times_open", "ware.times_board", "ware.share_to_mould"),
    ),
    Row(
        "Ware",
        "Earliest and latest taking out",
        "When the two-period law comes to the moistures of firm and of late; a bowl shrinks away from its mould and "
        "only hardens, a plate shrinks onto it and splits.",
        "the law above with hours of practice",
        "the form's own air, mould and thickness",
        Tag.PRACTICE,
        ("ware.take_out", "ware.moisture_out"),
    ),
    Row(
        "Ware",
        "Leather-hard and bone-dry",
        "When the two-period law on the board comes to the end of leather-hard, and to 2 % of the dry weight.",
        "the law above with hours of practice",
        "open or wrapped, in any air",
        Tag.PRACTICE,
        ("ware.leather_window", "ware.bone_dry_h", "ware.curve"),
    ),
    Row(
        "Ware",
        "What people say in passing",
        "Each word bounds the form's scale of time; the most likely one under a log-normal prior of spread 0.35, "
        "each word counted as a slip 3 times in 100.",
        "interval-censored maximum a posteriori estimation; prior, spread and slips are common practice",
        "scales from a sixth to six times the usual",
        Tag.PRACTICE,
        ("said.chance", "said.fit_scale", "said.learned"),
    ),
)

ROWS: tuple[Row, ...] = (*_AIR, *_MOULDS, *_WARE)
