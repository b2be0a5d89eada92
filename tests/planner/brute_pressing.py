"""What pressing turns on, tried all ways: tools and set-ups, moulds that rest, boards that are full, moulds to pour."""

from __future__ import annotations

import random
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations_with_replacement, permutations, product

from planner.scenario import Form, Racks, Scenario
from tests.planner import builders as b
from tests.planner.brute import Done, Need, cheapest, extra_cost, firing, late_cost
from tests.planner.brute_parts import Problem, at, taking, there

MIDNIGHT = 5  # minutes from the start until the day changes
START = "2026-11-30T23:55+00:00"
NO_PLAN = 10**9
NO_KILN = b.kiln(free_at=5_000_000)  # takes nothing of ours in these few minutes


@dataclass(frozen=True)
class Pressed:
    """A batch to press: ``before`` is the batch that its mould came from, ``cast`` those that are poured for it."""

    key: str
    form: str
    count: int = 1
    before: str | None = None
    casts: tuple[str, ...] = ()


def _needs(s: Scenario, batches: Sequence[Pressed], days: Sequence[int]) -> tuple[list[Need], int]:
    """Pressing and taking out of ``batches``, pressed in this order, each begun on its day; and the full set-ups."""
    needs, setups, mounted, day = [], 0, s.stations[0].mounted, -1
    for n, (x, own_day) in enumerate(zip(batches, days, strict=True)):
        f = s.form[x.form]
        full = mounted != f.tool
        prepare = f.setup if full else f.recheck if day < own_day else 0
        needs += _batch(s, x, prepare, own_day, batches[n - 1].key if n else None)
        setups, mounted, day = setups + full, f.tool, own_day
    return needs, setups


def _batch(s: Scenario, x: Pressed, prepare: int, day: int, last: str | None) -> list[Need]:
    f = s.form[x.form]
    first = prepare + -(-f.press.each_s // 60)

    def earliest(done: Done) -> int:
        ready = [done[f"{x.before} out"].end + f.mould_rest] if x.before else []
        ready += [done[f"{c} lift"].end + s.casts[0].dry for c in x.casts]
        ready += [done[last].end] if last else []
        if x.count > len(x.casts):  # moulds that there are already, too
            ready += [m.ready or 0 for m in s.moulds if m.form == f.id]
        return max(ready, default=0)

    def on_its_day(_done: Done, start: int, _end: int) -> bool:
        return int(start >= MIDNIGHT) == day

    return [
        Need(x.key, "press", taking(prepare + f.press.minutes(x.count)), earliest, allowed=on_its_day),
        Need(f"{x.key} out", "release", taking(f.release.minutes(x.count)),
             lambda done: done[x.key].end + f.release_after.lo,
             lambda done: done[x.key].start + first + f.release_after.hi),
    ]  # fmt: skip


def _all_days(batches: Sequence[Pressed]) -> Iterator[tuple[int, ...]]:
    """The first ones today, the others tomorrow."""
    yield from combinations_with_replacement((0, 1), len(batches))


def _orders(s: Scenario, made: dict[str, int], bisqued: int = 0) -> int:
    """What orders cost whose pieces are ``bisqued``, then green as far as ``made`` of their form, then nothing."""
    h, total = s.horizon, 0
    for o in s.orders:
        green = min(made.get(o.form, 0), o.qty - bisqued)
        left = [(bisqued, s.to_finish.bisqued), (green, s.to_finish.green)]
        minutes = [h + after for count, after in left for _ in range(count)]
        total += late_cost(s, o.id, [*minutes, *[h + s.to_finish.none] * (o.qty - len(minutes))])
    return total


def _made(batches: Iterable[Pressed]) -> dict[str, int]:
    made: dict[str, int] = {}
    for x in batches:
        made[x.form] = made.get(x.form, 0) + x.count
    return made


def _least(costs: Iterable[int | None]) -> int:
    return min(c for c in costs if c is not None)


def _form(r: random.Random, id: str, **given: object) -> Form:
    """A form of which nothing is dry within these few minutes, so that it stays green."""
    own = {
        "setup": r.randint(1, 2), "recheck": r.randint(0, 2), "press": b.Work(0, 60), "release": b.Work(0, 60),
        "release_after": (r.randint(0, 1), r.randint(2, 4)), "release_after_covered": None,
        "mould_rest": r.randint(0, 3), "dry": 9999, "boards": b.Boards(1, 1),
    }  # fmt: skip
    return b.form(id, **{**own, **given})


# ---- two tools, one of which may be on; moulds that must rest between two pressings; midnight in between


def tools(seed: int) -> Problem:
    r = random.Random(f"tools {seed}")
    horizon, one_mould = r.randint(9, 12), r.random() < 0.6
    forms = [_form(r, "plate"), _form(r, "mug")]
    if r.random() < 0.2:
        forms[1] = _form(r, "mug", tool=forms[0].tool, setup=forms[0].setup, recheck=forms[0].recheck)
    qty = (2, r.choice([0, 1]))
    s = b.scenario(
        start=START,
        horizon=horizon,
        people=[there(r, horizon, 0.6)],
        stations=[b.station(mounted=r.choice([None, forms[0].tool, forms[1].tool, "other"]))],
        forms=forms,
        kilns=[NO_KILN],
        moulds=[*b.moulds(1 if one_mould else 2, "plate"), b.mould("mug-1", "mug", ready=r.choice([0, 3]))],
        orders=[
            b.order(f"o{i}", form=f.id, qty=n, due=horizon + 400 - r.choice([0, 3]), weight=r.randint(1, 3))
            for i, (f, n) in enumerate(zip(forms, qty, strict=True))
            if n
        ],
        weights=b.weights(late=1, late_step=40, setup=r.randint(0, 3), extra=1),
    )
    ways = [[], [Pressed("p1", "plate")], [Pressed("p1", "plate"), Pressed("p2", "plate", before="p1")]]
    if not one_mould:
        ways += [[Pressed("p1", "plate", 2)], [Pressed("p1", "plate"), Pressed("p2", "plate")]]
    mugs = [[], [Pressed("q1", "mug")]] if qty[1] else [[]]
    return s, _least(
        _pressing_cost(s, order, days)
        for plates, more in product(ways, mugs)
        for order in _in_order([*plates, *more])
        for days in _all_days(order)
    )


def _in_order(batches: list[Pressed]) -> Iterator[tuple[Pressed, ...]]:
    """All orders in which a mould's second pressing comes after its first."""
    for order in permutations(batches):
        keys = [x.key for x in order]
        if all(x.before is None or keys.index(x.before) < keys.index(x.key) for x in order):
            yield order


def _pressing_cost(s: Scenario, order: Sequence[Pressed], days: Sequence[int]) -> int | None:
    needs, setups = _needs(s, order, days)
    fixed = _orders(s, _made(order)) + s.weights.setup * setups
    return cheapest(s, needs, lambda done: fixed + extra_cost(s, done))


# ---- boards that dry ware stands on until it is packed, with more to come


def boards(seed: int) -> Problem:
    """Dry ware may be fired, which clears the boards for what is pressed; there may be too few even for that."""
    r = random.Random(f"boards {seed}")
    horizon, dry, more = r.randint(10, 13), r.randint(1, 2), r.randint(1, 2)
    f = _form(r, "bowl", mould_rest=99)
    bisque = b.program("bisque", fire=1, cool=r.randint(0, 2), kwh=r.randint(1, 4))
    s = b.scenario(
        start=START,
        horizon=horizon,
        people=[there(r, horizon, 0.7)],
        stations=[b.station(mounted=f.tool)],
        racks=Racks(0, r.randint(1, 2), 0),
        forms=[f],
        kilns=[b.kiln(load=1, unload=1, programs=[bisque])],
        glazes=[b.glaze(programs=())],
        moulds=b.moulds(more),
        orders=[b.order(qty=dry + more, due=horizon + r.choice([250, 350]))],
        wip=[b.drying(count=dry, dry_at=r.choice([0, 0, 2]))],
        weights=b.weights(late=1, late_step=60, kwh=1, setup=1, extra=1),
    )
    return s, least_of_boards(s)


def least_of_boards(s: Scenario) -> int:
    """The optimum of a scenario of :func:`boards`."""
    ways = [[], [Pressed("p1", "bowl")]]
    if len(s.moulds) == 2:
        ways += [[Pressed("p1", "bowl", 2)], [Pressed("p1", "bowl"), Pressed("p2", "bowl")]]
    return _least(
        _boards_cost(s, fired, batches, days)
        for fired in range(s.wip[0].count + 1)
        for batches in ways
        for days in _all_days(batches)
    )


def _boards_cost(s: Scenario, fired: int, batches: Sequence[Pressed], days: Sequence[int]) -> int | None:
    """With one firing of ``fired`` pieces of the dry ware, which a second firing could not better."""
    dry = s.wip[0]
    needs, setups = _needs(s, batches, days)
    if fired:
        needs = [*firing(s.kilns[0], "bisque", "k", at(dry.dry_at), None), *needs]  # type: ignore[union-attr]

    def cost(done: Done) -> int:
        if not _stand(s, done, batches, fired):
            return NO_PLAN
        made = {"bowl": dry.count - fired + sum(x.count for x in batches)}
        kwh = s.kilns[0].programs[0].kwh if fired else 0
        return _orders(s, made, fired) + kwh + s.weights.setup * setups + extra_cost(s, done)

    return cheapest(s, needs, cost)


def _stand(s: Scenario, done: Done, batches: Sequence[Pressed], fired: int) -> bool:
    """R05, one piece a board: what is over-full takes nothing more, what is not never becomes so."""
    for minute in range(s.horizon):
        packed = fired if fired and done["kload"].start <= minute else 0
        new = sum(x.count for x in batches if done[f"{x.key} out"].start <= minute)
        if new and s.wip[0].count - packed + new > s.racks.drying:
            return False
    return True


# ---- moulds to pour that may pay


def casts(seed: int) -> Problem:
    r = random.Random(f"casts {seed}")
    horizon, qty = r.randint(10, 14), r.randint(1, 2)
    f = _form(r, "bowl", mould_rest=99)
    lo = r.randint(0, 2)
    own = {"pour": r.randint(1, 2), "lift": 1, "lift_after": (lo, lo + r.randint(1, 3)), "dry": r.randint(0, 2)}
    own |= {"holds": r.choice([[], ["frame"]]), "cost": r.randint(0, 6), "uses": 1}
    s = b.scenario(
        start=START,
        horizon=horizon,
        people=[there(r, horizon, 0.7)],
        stations=[b.station(mounted=f.tool)],
        forms=[f],
        kilns=[NO_KILN],
        moulds=b.moulds(r.randint(0, 1), ready=r.choice([0, 2])),
        casts=[b.cast("c1", **own), b.cast("c2", **own)],
        orders=[b.order(qty=qty, due=horizon + r.choice([300, 420]), weight=r.randint(1, 3))],
        weights=b.weights(late=1, late_step=60, extra=1),
    )
    fresh = [Pressed("m", "bowl")] if s.moulds else []
    singles = [Pressed(f"p{i}", "bowl", casts=(f"c{i}",)) for i in (1, 2)]
    ways = [[], fresh, singles[:1], [*fresh, *singles[:1]], singles, [Pressed("p1", "bowl", 2, casts=("c1", "c2"))]]
    if fresh:  # a batch in the mould there is and one that is poured
        ways.append([Pressed("both", "bowl", 2, casts=("c1",))])
    return s, _least(
        _cast_cost(s, order, days)
        for batches in ways
        if sum(x.count for x in batches) <= qty
        for order in permutations(batches)
        for days in _all_days(order)
    )


def _cast_cost(s: Scenario, order: Sequence[Pressed], days: Sequence[int]) -> int | None:
    poured = sorted({c for x in order for c in x.casts})
    pours = [n for i, c in enumerate(poured) for n in _pouring(s, c, poured[i - 1] if i else None)]
    needs, _ = _needs(s, order, days)
    fixed = _orders(s, _made(order)) + sum(s.cast[c].cost for c in poured)
    return cheapest(s, [*pours, *needs], lambda done: fixed + extra_cost(s, done))


def _pouring(s: Scenario, cast: str, before: str | None) -> list[Need]:
    """Pour and lift; what two casts hold alike is free again after the lift of the first."""
    c = s.cast[cast]
    held = bool(before and set(c.holds) & set(s.cast[before].holds))
    return [
        Need(f"{c.id} pour", "pour", taking(c.pour), lambda done: done[f"{before} lift"].end if held else 0),
        Need(f"{c.id} lift", "lift", taking(c.lift), lambda done: done[f"{c.id} pour"].end + c.lift_after.lo,
             lambda done: done[f"{c.id} pour"].end + c.lift_after.hi + c.lift),
    ]  # fmt: skip


PRESSING_FAMILIES = {"tools": tools, "boards": boards, "casts": casts}
