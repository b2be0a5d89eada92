"""What goes wrong in a studio, or is changed there, the same each time: for measuring repairs."""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Callable
from typing import Any

from planner.jsonio import plan_to_json, scenario_from_json, scenario_to_json
from planner.plan import Plan
from planner.scenario import Scenario

Json = dict[str, Any]
DAY = 1440


def without(spans: list[list[int]], a: int, b: int) -> list[list[int]]:
    """``spans`` without the minutes from ``a`` to ``b``."""
    left = [[x, min(y, a)] for x, y in spans] + [[max(x, b), y] for x, y in spans]
    return sorted([x, y] for x, y in left if x < y)


def united(spans: list[list[int]]) -> list[list[int]]:
    """``spans`` sorted, those that touch or overlap as one."""
    made: list[list[int]] = []
    for a, b in sorted(spans):
        if made and a <= made[-1][1]:
            made[-1][1] = max(made[-1][1], b)
        else:
            made.append([a, b])
    return made


def two_moulds_gone(s: Json) -> None:
    """Two empty moulds crack, of the form that is owed most."""
    owed: Counter[str] = Counter()
    for o in s["orders"]:
        owed[o["form"]] += o["qty"]
    empty = [m for m in s["moulds"] if m["ready"] is not None]
    empty.sort(key=lambda m: (-owed[m["form"]], m["form"], m["ready"], m["id"]))
    gone = {m["id"] for m in empty[:2]}
    s["moulds"] = [m for m in s["moulds"] if m["id"] not in gone]


def kiln_out(s: Json) -> None:
    """The first kiln is out for two days from now."""
    for k in s["kilns"][:1]:
        k["closed"] = united([*k["closed"], [0, 2 * DAY]])


def person_away(s: Json) -> None:
    """The first person is away on the first whole day of work."""
    for p in s["people"][:1]:
        begins = next((a for a, _ in p["hours"] if a >= DAY // 2), None)
        if begins is not None:
            a = begins - 2 * 60
            p["hours"], p["extra"] = without(p["hours"], a, a + 20 * 60), without(p["extra"], a, a + 20 * 60)


def order_added(s: Json) -> None:
    """A customer wants half as many again of what is due in the middle, by half the horizon."""
    by_due = sorted(s["orders"], key=lambda o: (o["due"], o["id"]))
    if by_due:
        like = by_due[len(by_due) // 2]
        taken = {o["id"] for o in s["orders"]}
        name = next(f"added{n}" for n in range(1, len(taken) + 2) if f"added{n}" not in taken)
        s["orders"].append({**like, "id": name, "qty": max(1, like["qty"] // 2), "due": s["horizon"] // 2})


def order_changed(s: Json) -> None:
    """The last order due in time grows by half and is wanted two days sooner."""
    within = [o for o in s["orders"] if o["due"] <= s["horizon"]] or s["orders"]
    for o in sorted(within, key=lambda o: (-o["due"], o["id"]))[:1]:
        o["qty"], o["due"] = -(-o["qty"] * 3 // 2), o["due"] - 2 * DAY


def pieces_lost(s: Json) -> None:
    """Half the pieces of the largest ware on the shelves are lost."""
    ware = [w for w in s["wip"] if w["stage"] not in ("in_mould", "firing") and w["count"] > 1]
    for w in sorted(ware, key=lambda w: (-w["count"], w["id"]))[:1]:
        w["count"] -= w["count"] // 2


EVENTS: dict[str, Callable[[Json], None]] = {
    "two moulds gone": two_moulds_gone,
    "kiln out two days": kiln_out,
    "person away a day": person_away,
    "order added": order_added,
    "order changed": order_changed,
    "pieces lost": pieces_lost,
}


def after(scenario: Scenario, plan: Plan, event: str, chance: random.Random | None = None) -> Scenario:
    """``scenario`` once ``event`` (a key of :data:`EVENTS`) has happened while ``plan`` was the plan.

    ``chance`` draws whom and which kiln it befalls, instead of the first.
    """
    document = scenario_to_json(scenario)
    if chance is not None:
        chance.shuffle(document["people"])
        chance.shuffle(document["kilns"])
    EVENTS[event](document)
    document["previous"], document["pins"] = plan_to_json(plan), []
    return scenario_from_json(document)


def moved(before: Plan, plan: Plan) -> int:
    """Tasks of ``before`` still to come that ``plan`` lacks or starts at another minute."""
    return sum(
        t.start >= 0 and ((u := plan.task.get(t.id)) is None or (u.kind, u.start) != (t.kind, t.start))
        for t in before.tasks
    )
