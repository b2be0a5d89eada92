"""Kiln loads: which ware goes in when, by what it gains a kiln minute."""

from __future__ import annotations

from dataclasses import dataclass

from planner.dispatch.calendar import NEVER
from planner.dispatch.habits import Habits
from planner.dispatch.pull import Pull
from planner.dispatch.shop import Coated, Green, Shop, Slot, Stock
from planner.dispatch.stack import Stack
from planner.plan import Firing, Part
from planner.scenario import Program, Span

Bid = tuple[float, int, int, Green, float]  # pull a kiln share, pieces, form, ware, pull a piece


@dataclass(slots=True)
class Times:
    """When a firing would be loaded, lit and drawn."""

    load: Slot
    fire: int
    unload: Slot


@dataclass(slots=True)
class Load:
    """A firing that could be made."""

    kiln: int
    program: Program
    times: Times
    pieces: list[tuple[Green, int]]
    gain: float
    score: float


def firing_times(shop: Shop, kiln: int, program: Program, lo: int, extra: bool) -> Times | None:
    """The earliest firing of ``program`` loaded at ``lo`` or later, drawn inside the horizon, or None."""
    facts = shop.facts
    k = facts.kilns[kiln]
    for _ in range(12):
        load = shop.find("load", lo, k.load, NEVER, extra)
        if load is None:
            return None
        fire = lit_from(facts.starts[kiln], load[0] + k.load)
        if fire < 0:
            return None
        unload = shop.find("unload", fire + program.fire + program.cool, k.unload, NEVER, extra)
        if unload is None:
            return None
        end = unload[0] + k.unload
        shut = next((b for a, b in k.closed if a < end and load[0] < b), None)
        if shut is None:
            return Times(load, fire, unload)
        lo = max(shut, lo + 1)
    return None


def lit_from(spans: list[Span] | None, minute: int) -> int:
    """The first minute from ``minute`` on at which the kiln may be lit, or -1."""
    if spans is None:
        return minute
    for a, b in spans:
        if minute < b:
            return max(a, minute)
    return -1


def best_load(shop: Shop, pull: Pull, kiln: int, now: int, until: int) -> Load | None:
    """The load of ``kiln`` with the most gain a minute among those that could start in ``[now, until]``."""
    habits = pull.habits
    extra = habits.extra != "none"
    free = max(now, shop.kiln_free[kiln])
    best: Load | None = None
    for program in shop.facts.kilns[kiln].programs:
        seen = -1
        for lo in _moments(shop, kiln, program, free, until):
            if lo <= seen:
                continue
            times = firing_times(shop, kiln, program, lo, extra)
            if times is None or times.unload[0] + shop.facts.kilns[kiln].unload > shop.to_come.kiln_until(kiln):
                break
            seen = times.load[0]
            load = _packed(shop, pull, kiln, program, times, free, best.score if best else 0.0)
            if load is not None:
                best = load
    return best


def _moments(shop: Shop, kiln: int, program: Program, free: int, until: int) -> list[int]:
    """The minutes worth looking at for a load: when the kiln is free and whenever more ware is ready."""
    unit = shop.facts.rules[kiln][program.stage].unit
    if program.stage == "bisque":
        ready = {g.ready for line in shop.green for g in line if shop.spare(g) > 0 and unit[g.form]}
    else:
        ready = {
            c.ready
            for c in shop.coated
            if shop.spare(c) > 0 and c.order is not None and program.id in shop.facts.glaze_of[c.glaze].programs
        }
    moments = sorted({max(free, r) for r in ready if r <= until})
    if len(moments) > 6:
        moments = moments[:2] + moments[2:: max(1, (len(moments) - 2) // 4)]
    return moments


def _packed(
    shop: Shop, pull: Pull, kiln: int, program: Program, times: Times, free: int, least: float
) -> Load | None:
    """The load that gains most at these times, or None where it scores no more than ``least``."""
    habits = pull.habits
    drawn = times.unload[0] + shop.facts.kilns[kiln].unload
    bids = _bids(shop, pull, kiln, program, times.load[0], drawn)
    cost = shop.facts.scenario.weights.kwh * program.kwh * habits.kwh_care
    factor = 1.0
    if program.stage == "bisque":
        factor = habits.bisque_pull
        if shop.decisions < len(habits.firing_pull):
            factor *= habits.firing_pull[shop.decisions]
    idle = times.load[0] - free
    factor /= max(60.0, drawn - times.load[0] + habits.waiting_cost * idle)
    most = sum([b[1] * b[4] for b in bids])
    if most <= cost or factor * (most - cost) <= least:
        return None
    stack = Stack(shop.facts.rules[kiln][program.stage])
    pieces: list[tuple[Green, int]] = []
    gain = 0.0
    for _, count, form, ware, value in sorted(bids, key=_by_pull):
        n = stack.room(form, count)
        if n:
            stack.add(form, n)
            pieces.append((ware, n))
            gain += n * value
    score = factor * (gain - cost)
    if gain <= cost or score <= least:
        return None
    return Load(kiln, program, times, pieces, gain, score)


def _by_pull(bid: Bid) -> float:
    return -bid[0]


def _bids(shop: Shop, pull: Pull, kiln: int, program: Program, minute: int, drawn: int) -> list[Bid]:
    if program.stage == "bisque":
        return _green_bids(shop, pull, kiln, minute, drawn)
    return _glazed_bids(shop, pull, kiln, program.id, minute, drawn)


def _green_bids(shop: Shop, pull: Pull, kiln: int, minute: int, drawn: int) -> list[Bid]:
    volume = shop.facts.rules[kiln]["bisque"].volume
    bids: list[Bid] = []
    for form, line in enumerate(shop.green):
        if not volume[form]:
            continue
        ware = [g for g in line if g.ready <= minute and shop.spare(g) > 0]
        if not ware:
            continue
        ahead = shop.under_way[form] - sum(g.left for g in line)  # bisqued already
        bids += _shared_out(pull, shop, form, ware, ahead, volume[form], drawn)
    return bids


def _shared_out(
    pull: Pull, shop: Shop, form: int, ware: list[Green], ahead: int, volume: float, drawn: int
) -> list[Bid]:
    """Ware of one form against the orders that wait for it, the earliest in line first."""
    bids: list[Bid] = []
    orders = pull.line_after(shop, form, ahead)
    order, owed = next(orders, (-1, 0))
    for g in ware:
        left = shop.spare(g)
        while left and order >= 0:
            n = min(left, owed)
            value = pull.bisque(order, form, drawn)
            bids.append((value / volume, n, form, g, value))
            left, owed = left - n, owed - n
            if not owed:
                order, owed = next(orders, (-1, 0))
        if left and pull.habits.surplus:
            bids.append((0.0, left, form, g, 0.0))
    return bids


def _glazed_bids(shop: Shop, pull: Pull, kiln: int, program: str, minute: int, drawn: int) -> list[Bid]:
    facts = shop.facts
    volume = facts.rules[kiln]["glost"].volume
    bids: list[Bid] = []
    for c in shop.coated:
        if c.ready > minute or c.order is None or not volume[c.form] or (left := shop.spare(c)) <= 0:
            continue
        if program in facts.glaze_of[c.glaze].programs:
            value = pull.glost(c.order, drawn)
            bids.append((value / volume[c.form], left, c.form, c, value))
    return bids


def top_up(shop: Shop, pull: Pull, load: Load) -> None:
    """Fill the room left in a load with whatever gains most."""
    drawn = load.times.unload[0] + shop.facts.kilns[load.kiln].unload
    stack = Stack(shop.facts.rules[load.kiln][load.program.stage])
    taken: dict[str, int] = {}
    for ware, n in load.pieces:
        stack.add(ware.form, n)
        taken[ware.id] = taken.get(ware.id, 0) + n
    bids = _bids(shop, pull, load.kiln, load.program, load.times.load[0], drawn)
    for _, count, form, ware, _ in sorted(bids, key=_by_pull):
        n = stack.room(form, min(count, ware.left - taken.get(ware.id, 0)))
        if n > 0:
            stack.add(form, n)
            taken[ware.id] = taken.get(ware.id, 0) + n
            load.pieces.append((ware, n))


def book_load(
    shop: Shop, load: Load, name: str | None = None, ids: tuple[str | None, str | None] = (None, None)
) -> None:
    """Put the firing into the plan; its ware is bisqued or fired once drawn."""
    facts = shop.facts
    k = facts.kilns[load.kiln]
    packing = shop.book("load", load.times.load, k.load, ids[0])
    drawing = shop.book("unload", load.times.unload, k.unload, ids[1])
    name = name or shop.new_id("f")
    bisque = load.program.stage == "bisque"
    counts: dict[str, int] = {}
    for ware, n in load.pieces:
        counts[ware.id] = counts.get(ware.id, 0) + n
        shop.take(ware, packing.start, n, shop.drying if bisque else shop.glazed)
    parts = tuple(Part(w, n) for w, n in counts.items())
    shop.firings.append(Firing(name, k.id, load.program.id, packing.id, load.times.fire, drawing.id, parts))
    shop.kiln_free[load.kiln] = drawing.end
    shop.decisions += 1
    out: dict[int, int] = {}
    for ware, n in load.pieces:
        key = ware.form if bisque else ware.order if isinstance(ware, Coated) and ware.order is not None else -1
        out[key] = out.get(key, 0) + n
    for key, n in out.items():
        if key >= 0:
            (shop.bisqued if bisque else shop.fired)[key].append(Stock(name, n, drawing.end))
    if bisque:
        for form in {w.form for w, _ in load.pieces}:
            shop.green[form] = [g for g in shop.green[form] if g.left]
    else:
        shop.coated = [c for c in shop.coated if c.left]


def fire_kilns(shop: Shop, pull: Pull, day_start: int, day_end: int) -> bool:
    """Decide the loads of every kiln that is free before ``day_end`` and whose best load starts by then.

    True if one of them is drawn before ``day_end``, so that its ware can go on the same day.
    """
    habits: Habits = pull.habits
    waiting = set(range(len(shop.kiln_free)))
    drawn = False
    while waiting:
        kiln = min(waiting, key=lambda k: (shop.kiln_free[k], k))
        if shop.kiln_free[kiln] >= day_end:
            break
        load = best_load(shop, pull, kiln, day_start, max(day_start, shop.kiln_free[kiln]) + habits.wait)
        if load is None or load.times.load[0] >= day_end:
            waiting.discard(kiln)
            continue
        book_load(shop, load)
        drawn = drawn or shop.kiln_free[kiln] < day_end
    return drawn

