"""What the demo studio has and owes, as tables."""

from __future__ import annotations

STUDIO = "Emberlow Pottery"
OWNER, MAKER, HELPER = "Wren", "Jory", "Mabli"
LOGIN, SECOND_LOGIN = "wren", "jory"

# weekday (0 = Monday), from, to, an evening that is worked only where it helps
FULL_DAYS = [(day, *hours, False) for day in range(5) for hours in (("08:00", "12:30"), ("13:00", "17:00"))]
HOURS = {
    OWNER: [*FULL_DAYS, (1, "19:00", "20:30", True)],
    MAKER: FULL_DAYS,
    HELPER: [(day, "09:00", "15:00", False) for day in (1, 3)],
}
HELPER_SKILLS = ["release", "fettle", "glaze", "load", "unload", "finish", "job"]

# name, kind, fired width in mm, moulds owned
FORMS = [
    ("Mug", "mug", 85, 24),
    ("Bowl 15", "bowl", 150, 20),
    ("Egg cup", "egg_cup", 50, 20),
    ("Beaker", "beaker", 80, 24),
    ("Side plate", "side_plate", 175, 16),
    ("Dinner plate", "dinner_plate", 265, 12),
    ("Soup plate", "soup_plate", 220, 12),
    ("Serving bowl", "serving_bowl", 250, 8),
]
OLD_MOULDS = {"Bowl 15": (8, 66), "Dinner plate": (5, 58)}  # of those owned, and the uses each has behind it
CLAY = "Grey stoneware"
MOULD_ML = {"Dinner plate": 4200, "Bowl 15": 3100, "Mug": 1900}  # slurry in one mould

GLAZES = ("Oat", "Tide", "Soot")
MIXED = [  # glaze, working day, time, litres, grams that 100 ml weigh, recipe
    ("Oat", -9, "10:30", "12", "146", "Book 2, page 14"),
    ("Tide", -9, "11:10", "9", "144", "Book 2, page 21"),
    ("Soot", -9, "11:40", "7", "149", "Book 3, page 2"),
    ("Tide", -2, "10:40", "10", "143", "Book 2, page 21"),
]
ON_WARE = [("Bowl 15", "Oat", 3, 1215, 1350), ("Dinner plate", "Soot", 2, 1890, 2052)]  # form, glaze, count, grams
TILES = [  # glaze, working day, time, what was seen, note, verdict
    ("Oat", -3, "09:10", [], "", "good"),
    ("Soot", -3, "09:12", ["pinholes"], "over the foot ring", "bad"),
]
LABORATORY = "Farrow and Pell Assay"
TESTED = [  # glaze, days back, what was tested, number of the report
    ("Oat", 40, "3 mugs and 3 bowls, glost 1240 °C: lead, cadmium", "FP 2214"),
    ("Tide", 40, "3 mugs and 3 bowls, glost 1240 °C: lead, cadmium", "FP 2215"),
]

JOBS = [  # name, minutes, weekday, from, to, person
    ("Reclaim and wet clean-down", 90, 4, "13:00", "17:00", MAKER),
    ("Orders and post", 60, 0, "08:00", "12:30", OWNER),
    ("Courier", 30, 0, "13:00", "17:00", None),
    ("Courier", 30, 3, "13:00", "17:00", None),
]

# days from today to the due date, customer, weight, note, lines of form, glaze, count
ORDERS = [
    (-1, "Brackwater Inn", 1, "", [("Bowl 15", "Oat", 20)]),
    (3, "The Ninth Heron", 2, "Opening night", [("Dinner plate", "Soot", 20)]),
    (4, "Thimble & Rook", 1, "", [("Mug", "Oat", 20), ("Side plate", "Tide", 14)]),
    (6, "Marrow Lane Kitchen", 2, "", [("Beaker", "Tide", 20)]),
    (7, "Harrowgate Row 5", 1, "Wedding present, asked for late", [("Serving bowl", "Tide", 6)]),
    (8, "Ossel House", 1, "Breakfast room", [("Egg cup", "Oat", 18), ("Bowl 15", "Oat", 18)]),
    (12, "Fennimore Deli", 1, "", [("Mug", "Tide", 40)]),
    (13, "The Ninth Heron", 2, "", [("Soup plate", "Soot", 10), ("Dinner plate", "Soot", 26)]),
    (15, "Tolling Bell Fair", 3, "Stall from nine o'clock", [("Mug", "Soot", 36), ("Bowl 15", "Tide", 20)]),
    (17, "Fennimore Deli", 1, "", [("Side plate", "Tide", 24)]),
    (19, "Brackwater Inn", 1, "", [("Bowl 15", "Oat", 28)]),
    (21, "Thimble & Rook", 1, "", [("Beaker", "Soot", 30), ("Egg cup", "Tide", 24)]),
    (23, "Ossel House", 2, "", [("Dinner plate", "Oat", 24), ("Soup plate", "Oat", 12)]),
    (25, "Own shop", 1, "", [("Mug", "Oat", 36)]),
]
# How firings are set, and the kilns' power: common practice, no source.
RAMPS = {
    "bisque": [{"rate_c": 60, "target_c": 120}, {"rate_c": 100, "target_c": 600},
               {"rate_c": 120, "target_c": 1000, "hold_min": 10}],
    "glost": [{"rate_c": 100, "target_c": 600}, {"rate_c": 150, "target_c": 1240, "hold_min": 10}],
}  # fmt: skip
POWER_KW = {"large": 16, "small": 6}
