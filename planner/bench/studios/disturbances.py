"""What goes wrong in a studio, or is changed there, done to a sound scenario in plain JSON, which stays sound."""

from __future__ import annotations

import random
from collections.abc import Callable

from planner.bench.events import DAY, Json, united, without


def _some_day(r: random.Random, s: Json) -> tuple[int, int]:
    a = r.randrange(max(1, s["horizon"]))
    return a, a + r.choice([120, 480, DAY, 3 * DAY])


def mould_cracked(r: random.Random, s: Json) -> None:
    free = [m for m in s["moulds"] if m["ready"] is not None]
    if free:
        s["moulds"].remove(r.choice(free))


def piece_lost_in_its_mould(r: random.Random, s: Json) -> None:
    held = [w for w in s["wip"] if w["stage"] == "in_mould" and w["count"] > 1]
    if held:
        w = r.choice(held)
        lost = w["moulds"].pop()
        w["count"] -= 1
        s["moulds"] = [m for m in s["moulds"] if m["id"] != lost]


def pots_lost(r: random.Random, s: Json) -> None:
    some = [w for w in s["wip"] if w["stage"] != "in_mould"]
    if some:
        w = r.choice(some)
        w["count"] = max(1, w["count"] // 2)


def person_ill(r: random.Random, s: Json) -> None:
    for p in s["people"][:1]:
        a, b = _some_day(r, s)
        p["hours"], p["extra"] = without(p["hours"], a, b), without(p["extra"], a, b)


def kiln_down(r: random.Random, s: Json) -> None:
    for k in s["kilns"][:1]:
        k["closed"] = united([*k["closed"], list(_some_day(r, s))])


def station_down(r: random.Random, s: Json) -> None:
    for x in s["stations"][:1]:
        x["closed"] = united([*x["closed"], list(_some_day(r, s))])


def damp_week(r: random.Random, s: Json) -> None:
    for f in s["forms"]:
        f.update(dry=f["dry"] * 3 // 2, mould_rest=f["mould_rest"] * 3 // 2)


def order_changed(r: random.Random, s: Json) -> None:
    if s["orders"]:
        o = r.choice(s["orders"])
        o.update(qty=max(1, o["qty"] * r.choice([1, 2, 3]) // 2), due=o["due"] + r.choice([-DAY, 0, DAY]))


def order_withdrawn(r: random.Random, s: Json) -> None:
    if s["orders"]:
        gone = s["orders"].pop(r.randrange(len(s["orders"])))["id"]
        for w in s["wip"]:
            if w.get("order") == gone:
                w["order"] = None


def order_taken(r: random.Random, s: Json) -> None:
    if s["forms"] and s["glazes"]:
        own = {"form": r.choice(s["forms"])["id"], "glaze": r.choice(s["glazes"])["id"], "qty": r.randint(1, 20)}
        id_ = f"new-{len(s['orders'])}-{r.randrange(10**6)}"
        s["orders"].append({"id": id_, **own, "due": r.randrange(s["horizon"] + DAY), "weight": r.choice([1, 3])})


def kiln_slow_to_cool(r: random.Random, s: Json) -> None:
    for w in s["wip"]:
        if w["stage"] == "firing":
            w["opens"] += 300


def board_broken(r: random.Random, s: Json) -> None:
    rack = r.choice(["damp", "drying", "glazed"])
    s["racks"][rack] = max(0, s["racks"][rack] - 1)


def job_come_up(r: random.Random, s: Json) -> None:
    a, b = _some_day(r, s)
    id_ = f"job-{len(s['jobs'])}-{r.randrange(10**6)}"
    s["jobs"].append({"id": id_, "minutes": 15, "window": [a, b], "person": None, "station": None})


DISTURBANCES: list[Callable[[random.Random, Json], None]] = [
    mould_cracked, piece_lost_in_its_mould, pots_lost, person_ill, kiln_down, station_down, damp_week, order_changed,
    order_withdrawn, order_taken, kiln_slow_to_cool, board_broken, job_come_up,
]  # fmt: skip
