"""A batch of the plan before, pressed again: same minute, same moulds where they are still there."""

from __future__ import annotations

from planner.dispatch.chain import Ask, Chain, chain_as_before
from planner.dispatch.kept import Kept, at_minute
from planner.dispatch.pressing import Pressing, best_chain, book_batch, find_press, owed_of, setup_minutes
from planner.dispatch.pull import Pull
from planner.dispatch.shop import Shop, id_of
from planner.plan import Batch, Task
from planner.scenario import Form

LATER = 1440  # how far a batch may move before it is dropped and planned afresh
PARTS = (1.0, 0.7, 0.4)


def replay_batch(shop: Shop, kept: Kept, pull: Pull, batch: Batch, pins: set[str]) -> None:
    """Press ``batch`` again as it was, else smaller, else up to a day later; or drop it."""
    facts = shop.facts
    form = facts.form_at.get(batch.form)
    press = kept.task(batch.press, "press")
    if form is None or press is None or batch.count < 1:
        return
    owed = batch.count if press.id in pins else owed_of(shop, form)
    count = min(batch.count, owed)
    if count <= 0 or not shop.moulds[form]:
        return
    f = facts.forms[form]
    if _same_minute(shop, kept, pull, batch, f, form, press, count):
        return
    pressing = find_press(shop, form, count, press.start, press.start + LATER, 0.3)
    if pressing is not None:
        _with_chain(shop, kept, pull, batch, f, form, pressing)


def _same_minute(
    shop: Shop, kept: Kept, pull: Pull, batch: Batch, f: Form, form: int, press: Task, count: int
) -> bool:
    start = press.start
    count = min(count, shop.ready_moulds(form, start))
    names = [x.id for x in shop.facts.scenario.stations]
    station = names.index(press.station) if press.station in names else -1
    if station not in (shop.facts.stations_of["press"] or ()) or start < shop.wheels[station].last:
        return False
    setup = setup_minutes(shop, f, station, start)
    count = min(count, _fitting(shop, f, station, start, setup, press.person))
    for part in PARTS:
        n = int(count * part)
        slot = at_minute(shop, "press", start, setup + f.press.minutes(n), press.person, press.station) if n else None
        if slot is None or slot[2] != station:
            continue
        pressing = Pressing(slot, n, setup, setup + f.press.minutes(n))
        if _with_chain(shop, kept, pull, batch, f, form, pressing):
            return True
    return False


def _fitting(shop: Shop, f: Form, station: int, start: int, setup: int, person: str) -> int:
    """Pieces for which there is time from ``start`` until the next thing: a setup may take longer than before."""
    people = shop.facts.scenario.people
    able = [p for p in shop.facts.people_of["press"] if shop.hours[p].holds(start, start + setup + 1)]
    own = [p for p in able if people[p].id == person] or able
    ends = [shop.hours[p].end_of(start) for p in own]
    room = min(max(ends, default=start), shop.stations[station].end_of(start)) - start - setup - f.press.fixed
    if room < 0:
        return 0
    return room * 60 // f.press.each_s if f.press.each_s else 1 << 20


def _with_chain(
    shop: Shop, kept: Kept, pull: Pull, batch: Batch, f: Form, form: int, pressing: Pressing
) -> bool:
    """Book the batch with its release and steps as before, else as they fit best."""
    found = _chain_before(shop, kept, batch, f, pressing)
    found = found or best_chain(shop, pull, f, pressing.count, pressing.slot[0], pressing.setup, pressing.minutes)
    if found is None:
        return False
    steps = kept.step_tasks(batch.id, [s.kind for s in f.steps])
    release = kept.release(batch.id)
    ids = (batch.press, id_of(release), *[id_of(t) for t in steps])
    count, minutes = pressing.count, pressing.minutes
    book_batch(shop, form, pressing, count, minutes, *found, name=batch.id, ids=ids, like=batch.moulds)
    return True


def _chain_before(
    shop: Shop, kept: Kept, batch: Batch, f: Form, pressing: Pressing
) -> tuple[Ask, Chain, bool] | None:
    window = f.release_after_covered if batch.covered_in_mould else f.release_after
    if window is None:
        return None
    first = pressing.slot[0] + pressing.setup + -(-f.press.each_s // 60)
    end = pressing.slot[0] + pressing.minutes
    ask = Ask(f, pressing.count, end + window.lo, first + window.hi, bool(batch.covered and f.steps), extra=True)
    steps = kept.step_tasks(batch.id, [s.kind for s in f.steps])
    chain = chain_as_before(shop, ask, kept.release(batch.id), steps)
    return None if chain is None else (ask, chain, batch.covered_in_mould)
