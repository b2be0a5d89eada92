"""Where the formulas for losses, faults, forms, trial pressings, kilns, glaze and the week's needs come from."""

from __future__ import annotations

from planner.craft.rows import Row, Tag

_PUBLISHED, _DERIVED, _PRACTICE, _MEMORY = Tag.PUBLISHED, Tag.DERIVED, Tag.PRACTICE, Tag.MEMORY

_LOSSES = (
    Row("Losses", "Share lost at a stage",
        "What was believed before counts as some pieces; those counted are added, lost to lost and kept to kept.",
        "Beta prior of a binomial share, textbooks of Bayesian statistics; Brown, Cai and DasGupta 2001 for one that "
        "knows nothing",
        "pieces lost one by one, not a whole kiln at once", _PUBLISHED, ("loss.Belief", "loss.Counted")),
    Row("Losses", "Loss before anything was counted",
        "4 in 100 in the making, 1 in the bisque, 4 in the glost, each with the weight of 25 pieces.",
        "", "until a studio has counts of its own", _PRACTICE, ("loss.stated",)),
    Row("Losses", "A form without a history",
        "It begins from all forms together, which count for as many pieces as makes their counts likeliest; its own "
        "counts then outweigh them.",
        "Empirical Bayes for beta-binomial counts; its weight is held near that of the stated loss", "4 to 680 pieces",
        _DERIVED, ("loss.pool", "loss.learned", "loss.own_share")),
    Row("Losses", "Stages in a row", "What each stage lets through, multiplied.",
        "Rolled throughput yield of quality control", "stages independent of each other", _PUBLISHED,
        ("loss.survival", "loss.combined")),
    Row("Losses", "Pieces to start",
        "The fewest of which enough come through with the chance the studio wants, all pieces of a stage sharing its "
        "unknown loss.",
        "Binomial and beta-binomial tails, summed exactly", "up to 3000 pieces, sureness from 50 to 99.9 in 100",
        _PUBLISHED, ("loss.starts_needed", "loss.chance_enough", "loss.allowance", "loss.Known")),
    Row("Losses", "Exact chances",
        "Beta, binomial, hypergeometric and beta-binomial chances are summed to the last digits.",
        "Abramowitz and Stegun 26.5.8 for the incomplete beta function (from memory); checked against scipy",
        "counts up to a million", _MEMORY,
        ("chances.log_beta", "chances.log_ways", "chances.beta_below", "chances.beta_quantile", "chances.binomial_tail",
         "chances.hypergeometric_tail", "chances.beta_binomial", "chances.binomial")),
)  # fmt: skip

_FAULTS = (
    Row("Faults", "The few that matter", "Faults by falling count, with the share that they make up so far.",
        "Pareto analysis of quality control (Juran)", "any counts", _PUBLISHED, ("blame.pareto", "blame.vital_few")),
    Row("Faults", "Repeat offenders",
        "How likely as many faulty pieces would be for this mould, clay, firing or shelf, were it no worse than the "
        "others.",
        "Fisher's exact test (hypergeometric tail), Fisher 1935", "pieces taken one by one", _PUBLISHED,
        ("blame.offenders",)),
    Row("Faults", "Looking often",
        "The more is looked at, the surer one must be: of those named, 1 in 20 on average is a false alarm.",
        "Benjamini and Hochberg 1995", "tests independent or leaning the same way", _PUBLISHED, ("blame.adjusted",)),
    Row("Faults", "Usual cause", "A fault and what usually makes it.", "", "a hint, not a verdict", _PRACTICE,
        ("causes.likely_cause",)),
)  # fmt: skip

_FORMS = (
    Row("Form and shrinkage", "Shrinkage from a marked bar", "The length lost, as a share of the length before.",
        "ASTM C326 (formulas from memory)", "drying up to 20, firing up to 25, all up to 40 in 100", _MEMORY,
        ("shrinkage.drying_shrinkage", "shrinkage.firing_shrinkage", "shrinkage.total_shrinkage")),
    Row("Form and shrinkage", "Drying and firing together",
        "What is left after the one times what is left after the other: 6 and 6 in 100 make 11.64. A firing figure "
        "may be of the wet, the dry or the fired length: the basis is kept with it.",
        "Arithmetic", "alike in all directions", _DERIVED, ("shrinkage.Shrinkage", "shrinkage.volume_shrinkage")),
    Row("Form and shrinkage", "Fired size and size of the model",
        "Size in the mould times what the shrinkage leaves; back again by dividing; the mould's own growth in setting "
        "taken off.",
        "Arithmetic", "sizes up to 5 m", _DERIVED,
        ("shrinkage.fired_mm", "shrinkage.dry_mm", "shrinkage.wet_mm", "shrinkage.model_mm")),
    Row("Form and shrinkage", "Size going into the glost",
        "A low bisque does a tenth of the firing shrinkage, the glost the rest.", "", "stoneware, bisque near 1000 °C",
        _PRACTICE, ("shrinkage.bisque_mm",)),
    Row("Form and shrinkage", "Volume, capacity, surface and balance of a form",
        "Its section turned about the middle: exact for straight lines between the points of the profile.",
        "Theorems of Pappus and Guldin; frusta of solid geometry", "profiles from the middle to the rim, not crossing",
        _PUBLISHED,
        ("solids.clay_volume_cm3", "solids.capacity_ml", "solids.filled_ml", "solids.centroid_mm", "solids.surface_cm2",
         "solids.ring_moments", "solids.height_mm", "solids.width_mm", "solids.scaled")),
    Row("Form and shrinkage", "Wall", "The shortest way from the inside to the outside.", "Geometry",
        "every 1 to 100 mm along the inside", _DERIVED, ("solids.sections",)),
    Row("Form and shrinkage", "Weights",
        "Volume times the density of clay without air; less its water; less what burns out, 7 in 100. Dry clay "
        "particles weigh 2.6 g/cm³.",
        "Mass balance; the density of the particles and the loss in the fire from memory", "water 10 to 40 in 100",
        _MEMORY, ("solids.weights", "solids.plastic_density")),
    Row("Trial pressing", "Next ball",
        "What stayed in the mould, as much thinner or thicker as the stop is moved, and 4 in 100 to cut off; to the "
        "nearest 5 g.",
        "", "balls of 10 g to 20 kg", _PRACTICE, ("trial.next_ball", "trial.settled")),
    Row("Trial pressing", "Clay for a hundred", "Spare cut off; ball less spare, over the share that comes through.",
        "Arithmetic", "loss up to 90 in 100", _DERIVED,
        ("trial.cut_off_per_hundred_g", "trial.clay_per_hundred_firsts_g")),
    Row("Trial pressing", "Wear of a tool", "A straight line through the sections measured over its pressings.",
        "Least squares", "three measurements or more, 100 pressings apart", _PUBLISHED, ("trial.tool_wear",)),
    Row("Life of moulds", "Share that lasts",
        "At each use at which moulds ended, one less the part that ended of those still in use, multiplied.",
        "Kaplan and Meier 1958; Greenwood 1926; bounds after Kalbfleisch and Prentice (from memory)",
        "moulds end independently", _PUBLISHED, ("survival.kaplan_meier", "survival.bounds")),
    Row("Life of moulds", "Before and beside the own record",
        "A stated life of 90 uses counts as much as four moulds; the record is added use by use.",
        "Beta-Stacy process, Walker and Muliere 1997; the life itself is common practice, no source", "up to 2000 uses",
        _PUBLISHED, ("survival.learned",)),
    Row("Life of moulds", "Uses left and moulds to pour",
        "The average of what the curve still holds; new ones until enough last with the chance wanted.", "Arithmetic",
        "new moulds used as much as the old", _DERIVED,
        ("survival.uses_left", "survival.lasts", "survival.outlook", "survival.to_pour")),
)  # fmt: skip

_KILN = (
    Row("Firing", "Cone and heating rate",
        "Two columns of the cone maker's chart, at 60 and 150 °C an hour over the last 100 °C, and between them by the "
        "logarithm of the rate.",
        "Current chart for large cones, read from copies; between the columns it is an assumption",
        "cones 022 to 10, 60 to 150 °C an hour; a hold at the top is not counted", _PUBLISHED,
        ("cones.bends_at", "cones.cone_at", "cones.nearest_rate", "firing.cone_of", "firing.rate_over_last_100")),
    Row("Firing", "Length of a program", "Each ramp takes its rise over its rate; holds are added.",
        "Arithmetic; it gives the durations that a controller's manual prints", "where the kiln keeps up", _PUBLISHED,
        ("firing.corners", "firing.minutes", "firing.top")),
    Row("Firing", "Energy and cost", "Power times hours times the share of time that the elements are on; times price.",
        "Kiln makers' and suppliers' pages", "electric kilns", _PUBLISHED,
        ("firing.energy_kwh", "firing.cost", "firing.metered_kwh")),
    Row("Firing", "The kiln's own factor",
        "Recorded over reckoned, averaged in the logarithm with a stated 1 ± 15 in 100; odd readings count less.",
        "Normal model with a prior; Huber 1964 for odd ones; the 15 and the noise of 4 in 100 are common practice",
        "firings of about one size", _PUBLISHED, ("firing.learned",)),
    Row("Cooling", "Temperature while cooling",
        "The difference to the room falls by the same part in each hour.", "Newton's law of cooling",
        "below some 600 °C; while it glows a kiln cools faster", _PUBLISHED,
        ("cooling.temperature", "cooling.falls_c_h", "cooling.hours_to")),
    Row("Cooling", "The kiln's own cooling",
        "Each reading tells a time; they are averaged with a stated 6 hours; odd ones count less.",
        "Normal model with a prior; Huber 1964; the 6 hours are common practice, no source", "readings of one kiln",
        _PUBLISHED, ("cooling.fitted",)),
    Row("Cooling", "When to open",
        "When it is down to 100 °C, with time added to be sure. The pyrometer has the last word.",
        "Makers print 93 to 120 °C; 100 °C is common practice", "at most 120 °C, or the maker's figure if lower",
        _PUBLISHED, ("cooling.opens_after",)),
    Row("Kiln shelves", "How many on a shelf",
        "Even rows both ways, corners from four sides, then one more at a time by pushing apart; never more than a "
        "proven bound.",
        "Checked against E. Specht's tables of the best packings known; bound of Groemer 1960 (from memory)",
        "round ware, at most 400 on a shelf", _PUBLISHED,
        ("packing.places", "packing.per_shelf", "packing.widest_mm", "packing.share", "lattices.layouts",
         "lattices.at_most", "relax.one_more")),
    Row("Kiln shelves", "Room between and above",
        "Glazed ware 6 mm apart, bisque may touch, 5 mm of air above; posts 40 mm across, 40 mm from the edge.",
        "A kiln maker's loading page for gaps and posts; the air is common practice", "round ware", _PUBLISHED,
        ("shelves.clearance_mm", "shelves.post_patterns")),
    Row("Kiln shelves", "The load of a firing",
        "The tallest first, shorter ware into the room they leave; what finds no place is said.", "",
        "one way to pack, not the only one", _PRACTICE, ("load.load", "load.load_by_posts", "load.limit")),
    Row("Kiln shelves", "Check of a load", "Distances, edges, posts, heights and counts, by geometry alone.",
        "Geometry", "any load", _DERIVED, ("clashes.clashes", "clashes.between", "clashes.load_faults")),
)  # fmt: skip

_GLAZE = (
    Row("Glaze", "Dry glaze in a litre", "Solid density × (weight of a litre − 1000) ÷ (solid density − 1).",
        "Brongniart 1854, by potters' handbooks", "1001 to 2000 g a litre; solids 2.6 unless weighed", _PUBLISHED,
        ("glaze.dry_g_per_l", "glaze.water_g_per_l", "glaze.density_g_l")),
    Row("Glaze", "Thinner or thicker", "The dry glaze stays the same when water is added or taken off.",
        "Brongniart 1854, turned round", "1001 to 2000 g a litre", _DERIVED,
        ("glaze.water_to_add_l", "glaze.water_to_take_l", "glaze.dry_to_add_g")),
    Row("Glaze", "Glaze on a piece", "Weighed glazed and dry, less bisqued; or surface × thickness × 1.4 g/cm³.",
        "Weighing; the density of the dry layer from memory", "layers of 0.1 to 3 mm", _MEMORY,
        ("glaze.dry_per_piece_g", "glaze.dry_by_surface_g")),
    Row("Glaze", "Glaze for some pieces", "Pieces × grams on each, and a tenth lost on floor and sponge.", "",
        "any number", _PRACTICE, ("glaze.take",)),
    Row("The week's needs", "What is needed and what to buy",
        "Counts times weights, a tenth for safety, less what is there, in whole packs; 8 in 10 of the spare come back.",
        "", "what is planned", _PRACTICE,
        ("needs.weighed_clay_g", "needs.reclaimed_g", "needs.needs", "needs.shopping")),
)  # fmt: skip

ROWS: tuple[Row, ...] = (*_LOSSES, *_FAULTS, *_FORMS, *_KILN, *_GLAZE)
