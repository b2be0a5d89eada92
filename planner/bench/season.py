"""A longer season of the same studio: how time grows with what is owed."""

from __future__ import annotations

from typing import Any

from planner.jsonio import scenario_from_json, scenario_to_json
from planner.scenario import Scenario

Json = dict[str, Any]


def season(scenario: Scenario, pieces: int) -> Scenario:
    """``scenario`` with ``pieces`` owed: as many orders as that takes, the same ones again in each following stretch.

    People, kilns and other work go on as they are; moulds get as many uses more. Raises ValueError where nothing is
    owed or the horizon is no whole number of days.
    """
    s = scenario_to_json(scenario)
    owed = sum(o["qty"] for o in s["orders"])
    if not owed or s["horizon"] % 1440:
        raise ValueError("a season needs orders and whole days")
    times, stretch = max(1, -(-pieces // owed)), s["horizon"]
    shifts = [n * stretch for n in range(times)]
    s["horizon"] = stretch * times
    for thing, keys in (
        ("people", ("hours", "extra")),
        ("stations", ("closed",)),
        ("kilns", ("closed", "start_spans")),
    ):
        for x in s[thing]:
            for key in keys:
                if x[key] is not None:
                    x[key] = _joined([[a + t, b + t] for t in shifts for a, b in x[key]], s["horizon"])
    for m in s["moulds"]:
        m["uses_left"] = min(1_000_000, m["uses_left"] * times)
    s["jobs"] = [
        {**j, "id": f"{j['id']}+{n}", "window": [x + t for x in j["window"]]}
        for n, t in enumerate(shifts)
        for j in s["jobs"]
    ]
    s["orders"] = _orders(s["orders"], shifts, pieces)
    kept = {o["id"] for o in s["orders"]}
    for w in s["wip"]:
        if w.get("order") not in kept | {None}:
            w["order"] = None
    s["wip"] = [w for w in s["wip"] if not (w["stage"] == "fired" and w["order"] is None)]
    return scenario_from_json(s)


def _joined(spans: list[list[int]], end: int) -> list[list[int]]:
    """``spans`` in order, cut at ``end``; what overlaps where one stretch meets the next is joined."""
    made: list[list[int]] = []
    for a, b in sorted([a, min(b, end)] for a, b in spans if a < end):
        if made and a < made[-1][1]:
            made[-1][1] = max(made[-1][1], b)
        else:
            made.append([a, b])
    return made


def _orders(orders: list[Json], shifts: list[int], pieces: int) -> list[Json]:
    made: list[Json] = []
    for n, t in enumerate(shifts):
        for o in sorted(orders, key=lambda o: (o["due"], o["id"])):
            qty = min(o["qty"], pieces)
            if qty:
                made.append({**o, "id": o["id"] if n == 0 else f"{o['id']}+{n}", "qty": qty, "due": o["due"] + t})
                pieces -= qty
    return made
