"""A firing of the plan before, made again with the ware that is there."""

from __future__ import annotations

from planner.dispatch.firing import Load, Times, book_load, firing_times, lit_from, top_up
from planner.dispatch.kept import Kept, at_same, form_of
from planner.dispatch.pull import Pull
from planner.dispatch.shop import Coated, Green, Shop, id_of
from planner.dispatch.stack import Stack
from planner.plan import Firing
from planner.scenario import Program

LATER = 2880


def replay_firing(shop: Shop, kept: Kept, pull: Pull, firing: Firing) -> None:
    """Fire again what the firing held, at the same minute or up to two days later; room left is filled up."""
    facts = shop.facts
    kiln = facts.kiln_at.get(firing.kiln)
    if kiln is None or shop.kiln_free[kiln] > facts.horizon:
        return
    program = facts.kilns[kiln].program(firing.program or "")
    load = kept.task(firing.load, "load")
    if program is None or load is None:
        return
    times = _times_before(shop, kept, firing, kiln, program)
    pieces = [] if times is None else _pieces(shop, kept, firing, kiln, program, times.load[0])
    if times is None or not pieces:
        lo = max(load.start, shop.kiln_free[kiln])
        times = firing_times(shop, kiln, program, lo, pull.habits.extra != "none")
        if times is None or times.load[0] > load.start + LATER:
            return
        if times.unload[0] + facts.kilns[kiln].unload > shop.to_come.kiln_until(kiln):
            return
        pieces = _pieces(shop, kept, firing, kiln, program, times.load[0])
    if pieces:
        made = Load(kiln, program, times, pieces, 0.0, 0.0)
        top_up(shop, pull, made)
        unload = kept.task(firing.unload, "unload")
        book_load(shop, made, firing.id, (load.id, id_of(unload)))


def _times_before(shop: Shop, kept: Kept, firing: Firing, kiln: int, program: Program) -> Times | None:
    k = shop.facts.kilns[kiln]
    load = at_same(shop, kept.task(firing.load, "load"), k.load, shop.kiln_free[kiln])
    if load is None:
        return None
    starts = shop.facts.starts[kiln]
    fire = firing.fire if firing.fire is not None else load[0] + k.load
    if fire < load[0] + k.load or lit_from(starts, fire) != fire:
        fire = lit_from(starts, load[0] + k.load)
        if fire < 0:
            return None
    opens = fire + program.fire + program.cool
    unload = at_same(shop, kept.task(firing.unload, "unload"), k.unload, opens)
    unload = unload or shop.find("unload", opens, k.unload, 1 << 40)
    if unload is None or any(a < unload[0] + k.unload and load[0] < b for a, b in k.closed):
        return None
    return Times(load, fire, unload)


def _pieces(
    shop: Shop, kept: Kept, firing: Firing, kiln: int, program: Program, minute: int
) -> list[tuple[Green, int]]:
    """What the firing held, or ware like it: first the same batches and lots, then others of the form or order."""
    stack = Stack(shop.facts.rules[kiln][program.stage])
    taken: dict[str, int] = {}
    pieces: list[tuple[Green, int]] = []
    for part in firing.pieces:
        want = part.count
        for ware in _like(shop, kept, part.source, program, minute):
            n = min(want, ware.left - taken.get(ware.id, 0))
            n = stack.room(ware.form, n) if n > 0 else 0
            if n > 0:
                stack.add(ware.form, n)
                taken[ware.id] = taken.get(ware.id, 0) + n
                pieces.append((ware, n))
                want -= n
    return pieces


def _like(shop: Shop, kept: Kept, source: str, program: Program, minute: int) -> list[Green]:
    if program.stage == "bisque":
        line = [g for rows in shop.green for g in rows if g.ready <= minute and g.left]
        same = next((g for g in line if g.id == source), None)
        form = same.form if same is not None else form_of(shop.facts, kept, source)
        return sorted((g for g in line if g.form == form), key=lambda g: (g.id != source, g.ready))
    coats: list[Coated] = [
        c
        for c in shop.coated
        if c.ready <= minute and c.left and program.id in shop.facts.glaze_of[c.glaze].programs
    ]
    lot = kept.plan.lot.get(source)
    order = None if lot is None else shop.facts.order_at.get(lot.order)
    found = [c for c in coats if c.id == source or (order is not None and c.order == order)]
    return sorted(found, key=lambda c: (c.id != source, c.ready))
