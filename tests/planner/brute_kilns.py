"""Two kilns with programs of their own, tried all ways: which pot goes where, in which load, by which program."""

from __future__ import annotations

import random
from itertools import product

from planner.scenario import Kiln, Scenario
from tests.planner import builders as b
from tests.planner.brute import Done, Need, cheapest, extra_cost, firing, fits, late_cost
from tests.planner.brute_parts import Problem, taking, there

Load = tuple[str, int]  # the kiln, and which of its loads in order of time
LOADS: tuple[Load | None, ...] = (None, ("a", 1), ("a", 2), ("z", 1), ("z", 2))


def two_kilns(seed: int) -> Problem:
    """Two kilns, the first of which may hold both pots; the other, or one program, may be no use for some of them."""
    r = random.Random(f"two kilns {seed}")
    horizon, pots = r.randint(9, 12), range(2)
    hot, low = b.program("hot", stage="glost", fire=2, cool=r.randint(0, 1), kwh=4), r.randint(1, 2)
    mild = b.program("mild", stage="glost", fire=1, cool=0, kwh=low)
    size = {"shelf_mm": 20, "load": 1, "unload": 1}
    kilns = [
        b.kiln(
            "a",
            **size,
            stack_mm=200,
            shelves=r.choice([1, 1, 2]),
            programs=[hot, mild],
            closed=r.choice([[], [(4, 6)]]),
        ),
        b.kiln("z", **size, stack_mm=100, shelves=1, programs=[r.choice([hot, mild])], free_at=r.choice([0, 3])),
    ]
    glazes = [b.glaze("shiny", programs=["hot"]), b.glaze("matt", programs=["hot", "mild"])]
    of = [r.choice(["shiny", "matt"]) for _ in pots]
    rooms = [r.choice([{"a": 1, "z": 1}, {"a": 2, "z": 1}, {"a": 1}]) for _ in pots]
    s = b.scenario(
        horizon=horizon,
        people=[there(r, horizon, 0.8)],
        forms=[b.form(f"f{i}", glost=b.shelving(r.choice([75, 80, 100]), **rooms[i])) for i in pots],
        kilns=kilns,
        glazes=glazes,
        orders=[
            b.order(f"o{i}", form=f"f{i}", glaze=of[i], due=r.randint(3, horizon), weight=r.randint(1, 2)) for i in pots
        ],
        wip=[
            b.glazed(f"w{i}", form=f"f{i}", order=f"o{i}", glaze=of[i], at=r.choice([0, 0, 2])) for i in pots
        ],
        to_finish=b.to_finish(9, 8, 7, 6, 3),
        weights=b.weights(late=2, late_step=1, tardy=3, kwh=1, extra=1),
    )  # fmt: skip
    costs = [
        _cost(s, place, dict(zip(loads, chosen, strict=True)))
        for place in product(LOADS, repeat=len(pots))
        if (loads := _loads(place)) is not None
        for chosen in product(("hot", "mild"), repeat=len(loads))
    ]
    return s, min(c for c in costs if c is not None)


def _loads(place: tuple[Load | None, ...]) -> list[Load] | None:
    """The loads that ``place`` uses; None where a kiln has a second load without a first, the same as a first one."""
    loads = sorted({x for x in place if x is not None})
    return loads if all(n == 1 or (kiln, 1) in loads for kiln, n in loads) else None


def _cost(s: Scenario, place: tuple[Load | None, ...], programs: dict[Load, str]) -> int | None:
    """The least cost if pot i goes into the load ``place[i]`` (None: no load), fired by the load's program."""
    needs: list[Need] = []
    for (kiln_id, n), program in programs.items():
        kiln = s.kiln[kiln_id]
        own = [w for w, x in zip(s.wip, place, strict=True) if x == (kiln_id, n)]
        if not _may_fire(s, kiln, program, own):
            return None
        key, before = f"{kiln_id}{n}", f"{kiln_id}{n - 1}" if n > 1 else None
        needs += firing(kiln, program, key, taking(max(w.at for w in own)), before)
    for w, x in zip(s.wip, place, strict=True):
        if x is not None:
            out = f"{x[0]}{x[1]}unload"
            finish = taking(s.form[w.form].finish.minutes(1))
            needs.append(Need(w.id, "finish", finish, lambda done, out=out: done[out].end, chain=w.id, may_stop=True))
    kwh = sum(s.kiln[k].program(p).kwh for (k, _), p in programs.items())  # type: ignore[union-attr]

    def cost(done: Done) -> int:
        total = kwh + extra_cost(s, done)
        for w, x in zip(s.wip, place, strict=True):
            left = s.horizon + (s.to_finish.fired if x else s.to_finish.glazed)
            total += late_cost(s, w.order, [done[w.id].end if w.id in done else left])  # type: ignore[union-attr]
        return total

    return cheapest(s, needs, cost)


def _may_fire(s: Scenario, kiln: Kiln, program: str, pots: list[object]) -> bool:
    """Whether the kiln has the program, every glaze allows it, and the pots fit."""
    if kiln.program(program) is None or any(program not in s.glaze[w.glaze].programs for w in pots):  # type: ignore[attr-defined]
        return False
    return fits(kiln, "glost", [(s.form[w.form], 1) for w in pots])  # type: ignore[attr-defined]


KILN_FAMILIES = {"two kilns": two_kilns}
