"""What a task of the must-do core leaves behind: ware on boards, moulds that rest, stock out of a kiln."""

from __future__ import annotations

from planner.dispatch.chain import Ask, Chain, stand
from planner.dispatch.facts import Facts
from planner.dispatch.shop import Shop, Stock, id_of
from planner.plan import Batch, Firing, Task
from planner.scenario import InKiln, InMould, Kiln, Released


def stand_released(shop: Shop) -> None:
    """Boards of leather-hard ware at minute 0, before anything is added (R05: over-full racks)."""
    facts = shop.facts
    for w in facts.scenario.wip:
        if isinstance(w, Released):
            (shop.damp if w.covered else shop.drying).add(boards_of(facts, w), 0)


def boards_of(facts: Facts, w: InMould | Released) -> int:
    return -(-w.count // facts.forms[facts.form_at[w.form]].boards.green)


def latest_out(facts: Facts, w: InMould) -> int:
    """The latest end of taking the batch out."""
    form = facts.forms[facts.form_at[w.form]]
    window = form.release_after_covered if w.covered else form.release_after
    if w.until is not None:
        return w.until
    return w.first + window.hi if window is not None else -1


def earliest_out(facts: Facts, w: InMould) -> int:
    form = facts.forms[facts.form_at[w.form]]
    window = (form.release_after_covered if w.covered else form.release_after) or form.release_after
    return max(0, w.pressed.b + window.lo)


def latest_steps(facts: Facts, w: Released) -> int:
    form = facts.forms[facts.form_at[w.form]]
    if w.until is not None:
        return w.until
    windows = [s.after_covered if w.covered else s.after for s in form.steps[w.steps_done :]]
    return min((w.released.a + x.hi for x in windows if x is not None), default=-1)


def settle_unload(shop: Shop, kiln: Kiln, task: Task) -> None:
    """What a present firing gives once it is drawn."""
    facts = shop.facts
    shop.firings.append(Firing(f"now:{kiln.id}", kiln.id, None, None, None, task.id, ()))
    shop.kiln_free[facts.kiln_at[kiln.id]] = task.end
    for w in facts.scenario.wip:
        if isinstance(w, InKiln) and w.kiln == kiln.id:
            if w.fired_stage == "bisque":
                shop.bisqued[facts.form_at[w.form]].append(Stock(f"now:{kiln.id}", w.count, task.end))
            elif w.order is not None:
                shop.fired[facts.order_at[w.order]].append(Stock(f"now:{kiln.id}", w.count, task.end))


def settle_taken_out(
    shop: Shop, w: InMould, ask: Ask, chain: Chain, release: Task | None, steps: list[Task]
) -> None:
    facts = shop.facts
    f = facts.form_at[w.form]
    stand(shop, w.id, f, ask, chain)
    for m in w.moulds:
        shop.put_mould(f, m, chain.out_to + ask.form.mould_rest)
    names = tuple(t.id for t in steps)
    shop.batches.append(
        Batch(w.id, w.form, w.count, w.moulds, None, id_of(release), names, w.covered, ask.covered)
    )


def settle_spoiled_mould(shop: Shop, w: InMould, release: Task) -> None:
    """A spoiled batch leaves its moulds, which then rest; it has no steps and takes no boards."""
    f = shop.facts.form_at[w.form]
    for m in w.moulds:
        shop.put_mould(f, m, release.end + shop.facts.forms[f].mould_rest)
    shop.batches.append(Batch(w.id, w.form, w.count, w.moulds, None, release.id, (), w.covered, False))
    shop.spoiled.append(w.id)


def settle_released(shop: Shop, w: Released, ask: Ask, chain: Chain, tasks: list[Task]) -> None:
    boards = boards_of(shop.facts, w)
    f = shop.facts.form_at[w.form]
    if w.covered:
        shop.damp.add(-boards, chain.end)
        shop.add_green(w.id, f, w.count, chain.end + ask.form.dry, chain.end)
    else:
        shop.drying.add(-boards, 0)  # add_green stands it there again
        shop.add_green(w.id, f, w.count, chain.end + ask.form.dry, 0)
    shop.batches.append(Batch(w.id, w.form, w.count, (), None, None, tuple(t.id for t in tasks), False, w.covered))


def settle_spoiled_released(shop: Shop, w: Released) -> None:
    (shop.damp if w.covered else shop.drying).add(-boards_of(shop.facts, w), 0)
    shop.batches.append(Batch(w.id, w.form, w.count, (), None, None, (), False, False))
    shop.spoiled.append(w.id)
