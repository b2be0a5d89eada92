"""Changes that bring rare keys and branches of the format into a sound scenario, which stays sound (plain JSON)."""

from __future__ import annotations

import random
from collections.abc import Callable
from typing import Any

from planner.bench.studios.edges import around_now, least_forms, least_kilns_and_casts

Json = dict[str, Any]
Twist = Callable[[random.Random, Json], None]
DAY = 1440
ALL_KINDS = ["press", "release", "load", "unload", "glaze", "finish", "pour", "lift", "job", "trim", "join"]


def _spans(r: random.Random, horizon: int, most: int = 4) -> list[list[int]]:
    marks = sorted(r.sample(range(0, horizon, 10), 2 * min(r.randint(0, most), horizon // 40)))
    return [list(x) for x in zip(marks[::2], marks[1::2], strict=True)]


def skills(r: random.Random, s: Json) -> None:
    for p in s["people"]:
        p["skills"] = r.sample(ALL_KINDS, r.randint(0, len(ALL_KINDS)))
    s["people"].append({"id": "eira", "hours": [[0, s["horizon"]]], "extra": [], "skills": None})


def scattered_hours(r: random.Random, s: Json) -> None:
    """Touching spans of hours and extra, and a person who is never there."""
    for p in s["people"]:
        marks = sorted(r.sample(range(0, s["horizon"], 30), 9))
        p["hours"] = [[marks[0], marks[1]], [marks[1], marks[2]], [marks[4], marks[5]], [marks[6], marks[7]]]
        p["extra"] = [[marks[2], marks[3]], [marks[5], marks[6]]]
    s["people"].append({"id": "never", "hours": [], "extra": [], "skills": None})


def nobody(r: random.Random, s: Json) -> None:
    s["people"] = []
    for j in s["jobs"]:
        j["person"] = None


def stations_closed(r: random.Random, s: Json) -> None:
    for x in s["stations"]:
        x["closed"] = _spans(r, s["horizon"])
        x["free_at"] = r.choice([-30, 0, 200])


def more_stations(r: random.Random, s: Json) -> None:
    """A second jolley with a tool on it, and a bench that serves several kinds."""
    tool = r.choice([None, "an old tool", *(f["tool"] for f in s["forms"])])
    own = {"free_at": r.choice([0, 100]), "closed": []}
    s["stations"].append({"id": "jolley2", "kinds": ["press"], "mounted": tool, **own})
    s["stations"].append({"id": "table", "kinds": [], "mounted": None, **own})
    kinds = r.sample(["release", "glaze", "finish", "load", "unload", "trim", "join", "press", "job"], 4)
    s["stations"].append({"id": "bench", "kinds": kinds, "mounted": None, **own})
    for x in s["stations"]:
        x["mounted"] = tool if "press" in x["kinds"] else x["mounted"]


def one_tool_for_all(r: random.Random, s: Json) -> None:
    setup, recheck = r.choice([0, 10, 40]), r.choice([0, 15])
    for f in s["forms"]:
        f.update(tool="arm", setup=setup, recheck=recheck)


def fixed_works(r: random.Random, s: Json) -> None:
    for f in s["forms"]:
        for key in ("press", "release", "glaze", "finish"):
            f[key] = {"fixed": r.choice([0, 3, 10]), "each_s": r.choice([0, 1, 30, 90])}


def bare_forms(r: random.Random, s: Json) -> None:
    """Nothing to do leather-hard, no covers, no waiting."""
    s["wip"] = [w for w in s["wip"] if w["stage"] != "released"]
    for f in s["forms"]:
        f.update(steps=[], release_after_covered=None, mould_rest=0, dry=0, glaze_dry=0, setup=0, recheck=0)
    for w in s["wip"]:
        if w["stage"] == "in_mould":
            w["covered"] = False


def many_steps(r: random.Random, s: Json) -> None:
    """Three steps, the last of which cannot wait covered; one batch has two of them behind it."""
    s["wip"] = [w for w in s["wip"] if w["stage"] != "released"]
    f = s["forms"][0]
    wait = {"work": {"fixed": 1, "each_s": 20}, "after": [0, 900], "after_covered": [10, 4000]}
    f["steps"] = [{"kind": k, **wait} for k in ("trim", "sponge", "join")]
    f["steps"][2] = {**f["steps"][2], "after_covered": None}
    more = {"released": [-40, -20], "covered": False, "steps_done": 2, "until": r.choice([None, 900])}
    s["wip"].append({"stage": "released", "id": "w-two-done", "form": f["id"], "count": 3, **more})


def leather_hard_with_a_word(r: random.Random, s: Json) -> None:
    """The person's word on how long a covered batch may wait."""
    f = next((f for f in s["forms"] if f["steps"] and all(x["after_covered"] for x in f["steps"])), None)
    if f is not None:
        more = {"released": [-90, -80], "covered": True, "steps_done": 0, "until": r.choice([300, 2000])}
        s["wip"].append({"stage": "released", "id": "w-word", "form": f["id"], "count": 2, **more})


def out_by_then(r: random.Random, s: Json) -> None:
    for w in s["wip"]:
        if w["stage"] == "in_mould":
            w["until"] = r.choice([None, 30, 600, 3000])


def stock(r: random.Random, s: Json) -> None:
    """Ware that no order owns, at every stage that may be so."""
    f, g = s["forms"][0]["id"], s["glazes"][0]["id"]
    s["wip"] += [
        {"stage": "glazed", "id": "w-stock-1", "form": f, "count": 4, "order": None, "glaze": g, "at": -500},
        {"stage": "fired", "id": "w-stock-2", "form": f, "count": 2, "order": None, "at": 30},
    ]
    kiln = s["kilns"][-1]
    if kiln["free_at"] is not None:
        kiln["free_at"] = None
        load = {"form": f, "count": 3, "kiln": kiln["id"], "fired_stage": "glost", "order": None}
        s["wip"].append({"stage": "firing", "id": "w-stock-3", **load, "opens": r.choice([0, 400])})
        s["wip"].append({"stage": "firing", "id": "w-stock-4", **load, "opens": 500})


def too_late_to_open(r: random.Random, s: Json) -> None:
    """The load in the kiln cools beyond the horizon."""
    for w in s["wip"]:
        if w["stage"] == "firing":
            w["opens"] = s["horizon"] - 5


def full_racks(r: random.Random, s: Json) -> None:
    """Racks that are over-full at minute 0, and one that there is none of."""
    f, g = s["forms"][0], s["glazes"][0]["id"]
    s["racks"] = {"damp": r.choice([0, 1, 5]), "drying": r.choice([2, 5]), "glazed": r.choice([1, 2])}
    dry = {"stage": "drying", "form": f["id"], "count": 3 * f["boards"]["green"]}
    s["wip"] += [{**dry, "id": "w-full-1", "dry_at": 0}, {**dry, "id": "w-full-2", "dry_at": 700}]
    glazed = {"form": f["id"], "count": 3 * f["boards"]["glazed"], "order": None, "glaze": g, "at": 0}
    s["wip"].append({"stage": "glazed", "id": "w-full-3", **glazed})


def poured_casts(r: random.Random, s: Json) -> None:
    """Two casts poured before, one of which may be given up, one with nothing held, and two that share a frame."""
    form = s["forms"][0]["id"]
    own = {"form": form, "pour": 20, "lift_after": [30, r.choice([200, 1500])], "lift": 5, "dry": DAY, "uses": 20}
    s["casts"] = [
        {"id": "c-1", **own, "holds": ["model", "frame-9"], "cost": 2, "required": True, "poured": -20},
        {"id": "c-2", **own, "holds": [], "cost": 0, "required": False, "poured": r.choice([0, 10])},
        {"id": "c-3", **own, "holds": ["model"], "cost": 5, "required": False, "poured": None},
        {"id": "c-4", **own, "holds": ["model", "frame-9"], "cost": 5, "required": True, "poured": None},
    ]


def worn_moulds(r: random.Random, s: Json) -> None:
    for m in s["moulds"]:
        m["uses_left"] = r.choice([0, 1, 2])


def odd_kilns(r: random.Random, s: Json) -> None:
    """A second kiln that takes one form only, a limit, closed days, few hours in which to light it."""
    k = s["kilns"][0]
    form = s["forms"][0]
    s["kilns"].append({**k, "id": "z", "free_at": r.choice([-10, 0, 300]), "closed": _spans(r, s["horizon"])})
    s["kilns"][-1]["start_spans"] = _spans(r, s["horizon"])
    s["kilns"].append({**s["kilns"][-1], "id": "y", "programs": []})
    form["bisque"]["per_shelf"]["z"] = 6
    form["glost"]["per_shelf"]["z"] = 3
    k["limits"] = [
        {"stage": "bisque", "counts": {form["id"]: 7}},
        {"stage": "glost", "counts": {f["id"]: r.randint(1, 9) for f in s["forms"]}},
    ]


def nothing_fits(r: random.Random, s: Json) -> None:
    """No kiln takes anything."""
    for f in s["forms"]:
        f["bisque"]["per_shelf"] = {}
        f["glost"]["per_shelf"] = {}


def no_kiln(r: random.Random, s: Json) -> None:
    s["kilns"] = []
    s["wip"] = [w for w in s["wip"] if w["stage"] != "firing"]
    for g in s["glazes"]:
        g["programs"] = []
    nothing_fits(r, s)


def jobs_of_all_kinds(r: random.Random, s: Json) -> None:
    person = r.choice([None, *(p["id"] for p in s["people"])])
    station = r.choice([None, *(x["id"] for x in s["stations"])])
    half = s["horizon"] // 2
    s["jobs"] += [
        {"id": "j-any", "minutes": 20, "window": [0, half], "person": None, "station": None},
        {"id": "j-person", "minutes": 25, "window": [half, half + 900], "person": person, "station": None},
        {"id": "j-place", "minutes": 35, "window": [0, s["horizon"]], "person": None, "station": station},
    ]


def no_orders(r: random.Random, s: Json) -> None:
    s["orders"] = []
    for w in s["wip"]:
        if "order" in w:
            w["order"] = None


def only_orders(r: random.Random, s: Json) -> None:
    """Nothing under way, nothing to pour, no other work."""
    s.update(wip=[], casts=[], jobs=[])
    for m in s["moulds"]:
        m["ready"] = 0
    for k in s["kilns"]:
        k["free_at"] = 0


def no_moulds(r: random.Random, s: Json) -> None:
    s["wip"] = [w for w in s["wip"] if w["stage"] != "in_mould"]
    s["moulds"] = []


def nothing_at_all(r: random.Random, s: Json) -> None:
    for key in ("people", "stations", "forms", "moulds", "casts", "glazes", "kilns", "jobs", "orders", "wip", "pins"):
        s[key] = []
    s["previous"] = None


def odd_orders(r: random.Random, s: Json) -> None:
    for o in s["orders"]:
        o["due"] = r.choice([-500, 0, 700, 2 * s["horizon"]])
        o["weight"] = r.choice([0, 1, 7])


def odd_weights(r: random.Random, s: Json) -> None:
    s["weights"] = {k: r.choice([0, 1, 30]) for k in s["weights"]} | {"late_step": r.choice([1, 60, DAY])}
    s["to_finish"] = dict.fromkeys(s["to_finish"], r.choice([0, 100]))


def names(r: random.Random, s: Json) -> None:
    for key in ("people", "stations", "forms", "moulds", "casts", "glazes", "kilns", "jobs", "orders", "wip"):
        for x in s[key]:
            x["name"] = f"the {x['id']}, naïvely"


def late_in_the_day(r: random.Random, s: Json) -> None:
    s["start"] = r.choice(["2028-02-29T23:59-11:30", "2026-06-01T12:00Z", "2026-03-29T00:01+14:00"])


def replaced_plan(r: random.Random, s: Json) -> None:
    """A plan that this one replaces, made up from what must be done anyway; some of it is pinned."""
    who = s["people"][0]["id"] if s["people"] else "somebody"

    def task(i: int, kind: str, length: int) -> Json:
        at = r.randint(-200, s["horizon"] - length)
        return {"id": f"t{i}", "kind": kind, "start": at, "end": at + length, "person": who, "station": None}

    jobs = s["jobs"][:2]
    tasks = [task(i, "job", j["minutes"]) for i, j in enumerate(jobs)]
    tasks += [task(90, "finish", 7), task(91, "trim", 3)]
    costs = dict.fromkeys(("late", "tardy", "kwh", "setup", "cover", "extra", "cast", "spoil", "move", "pin"), 0)
    empty = {k: [] for k in ("batches", "firings", "lots", "finishes", "casts", "spoiled", "orders", "reasons")}
    own = {"tasks": tasks, "jobs": [{"id": j["id"], "task": f"t{i}"} for i, j in enumerate(jobs)]}
    s["previous"] = {"format": 1, "status": "feasible", "cost": 0, "costs": costs, "bound": None, **empty, **own}
    s["previous"]["diagnostics"] = {}
    s["pins"] = r.sample([t["id"] for t in tasks], r.randint(0, len(tasks)))


def shorter(r: random.Random, s: Json) -> None:
    s["horizon"] = r.choice([1, 60, 600, s["horizon"] // 2])


# In this order: those that take things away come after those that need them.
TWISTS: list[Twist] = [
    skills, scattered_hours, stations_closed, more_stations, one_tool_for_all, fixed_works, bare_forms, many_steps,
    leather_hard_with_a_word, out_by_then, stock, too_late_to_open, full_racks, poured_casts, worn_moulds, odd_kilns,
    jobs_of_all_kinds, odd_orders, odd_weights, least_forms, least_kilns_and_casts, around_now, late_in_the_day,
    replaced_plan, shorter, names,
    nothing_fits, no_kiln, no_orders, only_orders, no_moulds, nobody, nothing_at_all,
]  # fmt: skip
