"""A random but lifelike studio in plain JSON. The figures of the wares are common practice, no source."""

from __future__ import annotations

import random
from typing import Any

from planner.bench.studios.under_way import put_under_way
from planner.bench.studios.wares import STEPS, WARES

DAY = 1440
Json = dict[str, Any]

SIZES: dict[str, Json] = {
    "tiny": {"forms": 2, "people": 1, "kilns": 1, "orders": 4, "racks": (8, 20, 14), "moulds": 0.4},
    "small": {"forms": 4, "people": 1, "kilns": 1, "orders": 10, "racks": (16, 44, 30), "moulds": 0.8},
    "medium": {"forms": 6, "people": 2, "kilns": 2, "orders": 20, "racks": (24, 70, 50), "moulds": 1.0},
    "large": {"forms": 8, "people": 4, "kilns": 3, "orders": 40, "racks": (50, 160, 110), "moulds": 1.6},
}


def work(fixed: int, each_s: int) -> Json:
    return {"fixed": fixed, "each_s": each_s}


def lifelike_document(r: random.Random, size: str, days: int, load: float) -> Json:
    s = SIZES[size]
    weekday, begins = r.randrange(5), r.choice([0, 0, 420, 630, 790])
    damp = r.choice([1, 1, 1.25, 1.7])  # a dry room, or a damp week
    people = [_person(r, i, weekday, days, begins) for i in range(s["people"])]
    kilns = [_kiln(r, i, days, begins) for i in range(s["kilns"])]
    forms = [_form(r, name, kilns, damp) for name in r.sample(list(WARES), s["forms"])]
    glazes = [
        {"id": "chalk", "fixed": 25, "programs": ["glost-1240"]},
        {"id": "fern", "fixed": 25, "programs": ["glost-1240", "glost-1220"]},
        {"id": "amber", "fixed": 20, "programs": r.choice([["glost-1220"], ["glost-1220", "glost-1240"]])},
    ]
    if len(forms) > 3 and r.random() < 0.3:  # one arm tool serves two forms
        forms[1] |= {k: forms[0][k] for k in ("tool", "setup", "recheck")}
    document = {
        "format": 1,
        "start": f"2026-11-30T{begins // 60:02d}:{begins % 60:02d}+00:00",
        "horizon": days * DAY,
        "people": people,
        "stations": _stations(r, size, weekday, days, begins, forms),
        "racks": dict(zip(("damp", "drying", "glazed"), s["racks"], strict=True)),
        "forms": forms,
        "moulds": [m for f in forms for m in _moulds(r, f["id"], s["moulds"])],
        "casts": [_cast(r, i, r.choice(forms)["id"]) for i in range(r.choice([0, 1, 2, 3]))],
        "glazes": glazes,
        "kilns": kilns,
        "jobs": _jobs(weekday, days, begins),
        "orders": [_order(r, i, r.choice(forms), r.choice(glazes), days, begins) for i in range(s["orders"])],
        "wip": [],
        "to_finish": {"none": 11 * DAY, "green": 6 * DAY, "bisqued": 3 * DAY, "glazed": 2 * DAY, "fired": DAY},
        "weights": {"late": 10, "late_step": DAY, "tardy": 100, "kwh": 1, "setup": 15, "cover": 2, "extra": 2,
                    "spoil": 60, "move": 5, "pin": 500},
        "previous": None,
        "pins": [],
    }  # fmt: skip
    _spread(document, load * (days + 4) / 14)
    put_under_way(r, document)
    return document


def _shift(spans: list[list[int]], by: int, end: int) -> list[list[int]]:
    """``spans`` counted from midnight, counted from the start instead and cut to ``[0, end)``."""
    moved = [[max(0, a - by), min(b - by, end)] for a, b in spans]
    return [[a, b] for a, b in moved if a < b]


def _person(r: random.Random, i: int, weekday: int, days: int, begins: int) -> Json:
    """Full weeks, a Saturday morning for the first now and then; the third is a helper on Tuesdays and Thursdays."""
    hours, extra = [], []
    for d in range(days + 1):
        wd, m = (weekday + d) % 7, d * DAY
        if wd == 6 or (wd == 5 and (i > 0 or r.random() < 0.5)) or (i == 2 and wd not in (1, 3)):
            continue
        late = 30 * (i % 2)
        hours += [[m + 480 + late, m + 750], [m + 780, m + 1020 + late]] if wd < 5 else [[m + 540, m + 780]]
        if i == 0 and r.random() < 0.35:
            extra.append([m + 1140, m + 1230])
    skills = ["release", "trim", "join", "glaze", "finish", "load", "unload", "job"] if i == 2 else None
    end = days * DAY
    name = ("ansa", "bryn", "cato", "dilys")[i]
    return {"id": name, "hours": _shift(hours, begins, end), "extra": _shift(extra, begins, end), "skills": skills}


def _kiln(r: random.Random, i: int, days: int, begins: int) -> Json:
    big = i != 1
    starts = _shift([[d * DAY + 960, d * DAY + 1380] for d in range(days + 1)], begins, days * DAY)
    fire, hold = (600, 0) if big else (540, 300)
    programs = [
        {"id": "bisque-1000", "stage": "bisque", "fire": fire, "cool": 900 - hold, "kwh": 65 if big else 28},
        {"id": "glost-1240", "stage": "glost", "fire": fire, "cool": 1080 - hold, "kwh": 105 if big else 45},
        {"id": "glost-1220", "stage": "glost", "fire": fire - 30, "cool": 1080 - hold, "kwh": 98 if big else 42},
    ]
    size = (690, 9, 60, 40) if big else (450, 6, 35, 20)
    return {
        "id": "abc"[i],
        **dict(zip(("stack_mm", "shelves", "load", "unload"), size, strict=True)),
        "shelf_mm": 20,
        "free_at": 0,
        "start_spans": starts if r.random() < 0.3 else None,
        "closed": [[6 * DAY, 7 * DAY + 600]] if i == 1 and r.random() < 0.3 else [],
        "programs": programs,
        "limits": [],
    }


def _form(r: random.Random, name: str, kilns: list[Json], damp: float) -> Json:
    press, setup, out, open_, covered, rest, steps, dry, boards, bisque, glost, glaze, finish, _ = WARES[name]

    def hours(window: tuple[int, int]) -> list[int]:
        return [60 * window[0], 60 * window[1]]

    def shelving(figures: tuple[int, int, int]) -> Json:
        return {"clearance_mm": figures[0], "per_shelf": {k["id"]: figures[2 if k["id"] == "b" else 1] for k in kilns}}

    def step(kind: str, fixed: int, each_s: int, after: tuple[int, int], after_covered: tuple[int, int]) -> Json:
        return {"kind": kind, "work": work(fixed, each_s), "after": hours(after), "after_covered": hours(after_covered)}

    return {
        "id": name,
        "tool": f"t-{name}",
        "setup": setup,
        "recheck": 5,
        "press": work(0, press),
        "release": work(0, out),
        "glaze": work(0, glaze),
        "finish": work(0, finish),
        "release_after": hours(open_),
        "release_after_covered": hours(covered) if r.random() < 0.85 else None,
        "mould_rest": int(rest * 60 * damp),
        "steps": [step(*STEPS[s]) for s in steps],
        "dry": int(dry * 60 * damp),
        "boards": {"green": boards[0], "glazed": boards[1]},
        "bisque": shelving(bisque),
        "glost": shelving(glost),
        "glaze_dry": r.choice([240, 480]),
    }


def _moulds(r: random.Random, form: str, share: float) -> list[Json]:
    owned = max(3, int(WARES[form][-1] * share * r.uniform(0.7, 1.1)))
    return [
        {
            "id": f"{form}-{j:02d}",
            "form": form,
            "ready": r.choice([0, 0, 0, 300, 700]),
            "uses_left": r.choice([2, 15, 40]),
        }
        for j in range(1, owned + 1)
    ]


def _cast(r: random.Random, i: int, form: str) -> Json:
    return {
        "id": f"cast{i + 1}",
        "form": form,
        "pour": 45,
        "lift_after": [45, 240],
        "lift": 10,
        "dry": 7 * DAY,
        "uses": 90,
        "cost": 3,
        "poured": None,
        "holds": [f"model-{form}", "frame-1"],
        "required": r.random() < 0.4,
    }


def _stations(r: random.Random, size: str, weekday: int, days: int, begins: int, forms: list[Json]) -> list[Json]:
    class_evenings = [[d * DAY + 1080, d * DAY + 1260] for d in range(days) if (weekday + d) % 7 == 2]

    def station(id_: str, *kinds: str, **more: Any) -> Json:
        return {"id": id_, "kinds": list(kinds), "free_at": 0, "mounted": None, "closed": [], **more}

    own = [
        station("jolley", "press", mounted=r.choice([None, r.choice(forms)["tool"]])),
        station("wheel", "trim", closed=_shift(class_evenings, begins, days * DAY)),
        station("plaster-bench", "pour", "lift"),
    ]
    return own + ([station("jigger", "press"), station("wheel2", "trim")] if size == "large" else [])


def _jobs(weekday: int, days: int, begins: int) -> list[Json]:
    """Plaster to clean up on every Friday that is wholly ahead."""
    fridays = [d for d in range(days - 1) if (weekday + d) % 7 == 4 and d * DAY + 480 >= begins]
    jobs = []
    for d in fridays:
        window = [d * DAY + 480 - begins, d * DAY + 1050 - begins]
        jobs.append({"id": f"clean-{d}", "minutes": 60, "window": window, "person": None, "station": None})
    return jobs


def _order(r: random.Random, i: int, form: Json, glaze: Json, days: int, begins: int) -> Json:
    due = int(r.uniform(1.5, days + 6)) * DAY + 1020 - begins
    share = int(100 * r.uniform(0.5, 1.5))  # made pieces of by _spread
    return {
        "id": f"o{i + 1:02d}",
        "form": form["id"],
        "glaze": glaze["id"],
        "qty": share,
        "due": due,
        "weight": r.choice([1, 1, 2, 3]),
    }


def _spread(document: Json, weeks: float) -> None:
    """Turn the shares of the orders into pieces that fill about half of the hours and two thirds of the kilns."""
    forms = {f["id"]: f for f in document["forms"]}

    def hands(f: Json) -> float:
        works = [f["press"], f["release"], f["glaze"], f["finish"], *(s["work"] for s in f["steps"])]
        return sum(w["each_s"] for w in works) / 60

    def kiln_share(f: Json) -> float:
        return 1 / (f["glost"]["per_shelf"]["a"] * min(9, 690 // (f["glost"]["clearance_mm"] + 20)))

    presence = sum(b - a for p in document["people"] for a, b in p["hours"])
    days = document["horizon"] / DAY
    labour = 0.55 * presence * 14 / days * weeks
    room = 0.4 * 14 * weeks / 2.1 * sum(0.25 if k["id"] == "b" else 1 for k in document["kilns"])
    shares = sum(o["qty"] for o in document["orders"])
    pieces = {o["id"]: labour * o["qty"] / shares / hands(forms[o["form"]]) for o in document["orders"]}
    full = sum(pieces[o["id"]] * kiln_share(forms[o["form"]]) for o in document["orders"])
    for o in document["orders"]:
        o["qty"] = max(2, int(pieces[o["id"]] * min(1, room / full)))
