"""What must be done anyway, placed first: present kiln loads, batches in moulds, leather-hard work, casts, jobs.

Items are placed by how little time they leave. One that finds no place is moved to the front and all is placed
again; one that fails even so is given up where it may be (R13), and so are, at last, the others that may be. Who
gets None back has no proof of anything: an exact model decides then.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from planner.dispatch.calendar import NEVER
from planner.dispatch.casting import book_cast, find_cast
from planner.dispatch.chain import Ask, Chain, book_chain, find_chain, find_steps, stand
from planner.dispatch.facts import DAY, Facts
from planner.dispatch.habits import Habits
from planner.dispatch.shop import Shop, Slot, Stock, meet
from planner.plan import Batch, Firing, JobPlan, Task
from planner.scenario import Cast, InMould, Job, Kiln, Released

TRIES = 24


@dataclass(slots=True)
class Item:
    """One thing that must be done; ``place`` books it or says False; ``give_up`` likewise, None = it may not be."""

    id: str
    due: int
    place: Callable[[Shop], bool]
    give_up: Callable[[Shop], bool] | None


def place_core(facts: Facts, habits: Habits) -> Shop | None:
    """A shop with the must-do core booked, or None where no order tried places it."""
    items = _items(facts, habits)
    items.sort(key=lambda i: i.due)
    given_up: set[str] = set()
    fronted: dict[str, int] = {}
    for _ in range(TRIES + 2 * len(items)):
        shop = Shop(facts)
        stand_released(shop)
        failed = next((i for i in items if not _settle(shop, i, given_up)), None)
        if failed is None:
            return shop
        tries = fronted[failed.id] = fronted.get(failed.id, 0) + 1
        if tries > 2 or items[0] is failed:
            if failed.give_up is not None and failed.id not in given_up:
                given_up.add(failed.id)
                continue
            other = next((i for i in items if i.give_up is not None and i.id not in given_up), None)
            if other is not None:
                given_up.add(other.id)
            elif tries > 6 or items[0] is failed:
                return None
        items.remove(failed)
        items.insert(0, failed)
    return None


def _settle(shop: Shop, item: Item, given_up: set[str]) -> bool:
    if item.id in given_up and item.give_up is not None:
        return item.give_up(shop)
    return item.place(shop)


def _items(facts: Facts, habits: Habits) -> list[Item]:
    s = facts.scenario
    items = []
    for kiln in s.kilns:
        opens = max((w.opens for w in s.wip if w.stage == "firing" and w.kiln == kiln.id), default=None)
        if opens is not None and opens + kiln.unload <= s.horizon:
            items.append(Item(f"now:{kiln.id}", max(0, opens) + DAY, _unloading(kiln, opens), None))
    for w in s.wip:
        if w.stage == "in_mould":
            hi = latest_out(facts, w)
            items.append(Item(w.id, hi, _taking_out(w), _giving_up_mould(w)))
        elif w.stage == "released":
            items.append(Item(w.id, latest_steps(facts, w), _finishing_leather(w), _giving_up_released(w)))
    for cast in s.casts:
        if cast.poured is not None:
            hi = cast.poured + cast.lift_after.hi
            items.append(Item(cast.id, hi, _casting(cast, 0), _giving_up_cast(cast)))
        elif cast.required:
            lo = min(3 * DAY, s.horizon // 2) if habits.pour_late else 0
            items.append(Item(cast.id, s.horizon, _casting(cast, lo), None))
    items += [Item(f"job:{j.id}", j.window.hi, _doing(j, habits.jobs_late), None) for j in s.jobs]
    return items


def stand_released(shop: Shop) -> None:
    """Boards of leather-hard ware at minute 0, before anything is added (R05: over-full racks)."""
    facts = shop.facts
    for w in facts.scenario.wip:
        if w.stage == "released" and w.covered:
            shop.damp.add(boards_of(facts, w), 0)
        elif w.stage == "released":
            shop.drying.add(boards_of(facts, w), 0)


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


# one function per kind of item: a closure that places it


def _unloading(kiln: Kiln, opens: int) -> Callable[[Shop], bool]:
    def place(shop: Shop) -> bool:
        slot = _first(shop, "unload", max(0, opens), kiln.unload)
        if slot is None:
            return False
        settle_unload(shop, kiln, shop.book("unload", slot, kiln.unload))
        return True

    return place


def settle_unload(shop: Shop, kiln: Kiln, task: Task) -> None:
    """What a present firing gives once it is drawn."""
    facts = shop.facts
    shop.firings.append(Firing(f"now:{kiln.id}", kiln.id, None, None, None, task.id, ()))
    shop.kiln_free[facts.kiln_at[kiln.id]] = task.end
    for w in facts.scenario.wip:
        if w.stage == "firing" and w.kiln == kiln.id:
            if w.fired_stage == "bisque":
                shop.bisqued[facts.form_at[w.form]].append(Stock(f"now:{kiln.id}", w.count, task.end))
            elif w.order is not None:
                shop.fired[facts.order_at[w.order]].append(Stock(f"now:{kiln.id}", w.count, task.end))


def _taking_out(w: InMould) -> Callable[[Shop], bool]:
    def place(shop: Shop) -> bool:
        facts = shop.facts
        form = facts.forms[facts.form_at[w.form]]
        best: tuple[Ask, Chain] | None = None
        for extra in (False, True):
            for covered in (False, True) if form.steps else (False,):
                ask = Ask(form, w.count, earliest_out(facts, w), latest_out(facts, w), covered, extra=extra)
                chain = find_chain(shop, ask)
                if chain is not None and (best is None or chain.end < best[1].end):
                    best = ask, chain
            if best is not None:
                break
        if best is None:
            return False
        ask, chain = best
        release, steps = book_chain(shop, ask, chain)
        settle_taken_out(shop, w, ask, chain, release, steps)
        return True

    return place


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
        Batch(w.id, w.form, w.count, w.moulds, None, release and release.id, names, w.covered, ask.covered)
    )


def _giving_up_mould(w: InMould) -> Callable[[Shop], bool]:
    def place(shop: Shop) -> bool:
        facts = shop.facts
        form = facts.forms[facts.form_at[w.form]]
        minutes = form.release.minutes(w.count)
        slot = _first(shop, "release", earliest_out(facts, w), minutes)
        if slot is None:
            return False
        settle_spoiled_mould(shop, w, shop.book("release", slot, minutes))
        return True

    return place


def settle_spoiled_mould(shop: Shop, w: InMould, release: Task) -> None:
    """A spoiled batch leaves its moulds, which then rest; it has no steps and takes no boards."""
    f = shop.facts.form_at[w.form]
    for m in w.moulds:
        shop.put_mould(f, m, release.end + shop.facts.forms[f].mould_rest)
    shop.batches.append(Batch(w.id, w.form, w.count, w.moulds, None, release.id, (), w.covered, False))
    shop.spoiled.append(w.id)


def _finishing_leather(w: Released) -> Callable[[Shop], bool]:
    def place(shop: Shop) -> bool:
        form = shop.facts.forms[shop.facts.form_at[w.form]]
        for extra in (False, True):
            ask = Ask(form, w.count, 0, 0, w.covered, w.steps_done, w.until, extra)
            steps, _ = find_steps(shop, ask, w.released.a, max(0, w.released.b))
            if not steps:
                continue
            end = steps[-1][0] + form.steps[-1].work.minutes(w.count)
            chain = Chain(None, steps, w.covered, w.released.a, w.released.b, end, extra)
            if w.covered and shop.drying.room(end) < boards_of(shop.facts, w):
                return False
            _, tasks = book_chain(shop, ask, chain)
            settle_released(shop, w, ask, chain, tasks)
            return True
        return False

    return place


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


def _giving_up_released(w: Released) -> Callable[[Shop], bool]:
    def place(shop: Shop) -> bool:
        settle_spoiled_released(shop, w)
        return True

    return place


def settle_spoiled_released(shop: Shop, w: Released) -> None:
    (shop.damp if w.covered else shop.drying).add(-boards_of(shop.facts, w), 0)
    shop.batches.append(Batch(w.id, w.form, w.count, (), None, None, (), False, False))
    shop.spoiled.append(w.id)


def _casting(cast: Cast, lo: int) -> Callable[[Shop], bool]:
    def place(shop: Shop) -> bool:
        slots = find_cast(shop, cast, lo, False) or find_cast(shop, cast, 0, False) or find_cast(shop, cast, 0, True)
        if slots is None:
            return False
        book_cast(shop, cast, slots)
        return True

    return place


def _giving_up_cast(cast: Cast) -> Callable[[Shop], bool]:
    def place(shop: Shop) -> bool:
        shop.spoiled.append(cast.id)
        return True

    return place


def _doing(job: Job, late: bool) -> Callable[[Shop], bool]:
    def place(shop: Shop) -> bool:
        slot = job_slot(shop, job, late)
        if slot is None:
            return False
        task = shop.book("job", slot, job.minutes)
        shop.jobs.append(JobPlan(job.id, task.id))
        return True

    return place


def job_slot(shop: Shop, job: Job, late: bool) -> Slot | None:
    """A place for the job in its window: the latest or the earliest, extra hours only where nothing else is."""
    facts = shop.facts
    lo, hi = job.window.lo, min(job.window.hi, facts.horizon)
    station = None if job.station is None else [x.id for x in facts.scenario.stations].index(job.station)
    people = [p for p in facts.people_of["job"] if job.person in (None, facts.scenario.people[p].id)]
    for calendars in (shop.regular, shop.hours):
        best: Slot | None = None
        for p in people:
            gaps = calendars[p]
            if station is not None:
                s = meet(gaps, shop.stations[station], lo, job.minutes, hi - job.minutes)
            elif late:
                s = gaps.find_last(lo, job.minutes, hi)
            else:
                s = gaps.find(lo, job.minutes, hi - job.minutes)
            if s >= 0 and (best is None or (s > best[0]) == late):
                best = s, p, station
        if best is not None:
            return best
    return None


def _first(shop: Shop, kind: str, lo: int, minutes: int) -> Slot | None:
    """The earliest place in regular hours; extra hours only where there is none, or more than a day earlier."""
    regular = shop.find(kind, lo, minutes, NEVER)
    if regular is not None and regular[0] < lo + DAY:
        return regular
    slot = shop.find(kind, lo, minutes, NEVER, True)
    return slot if regular is None or (slot is not None and slot[0] < regular[0] - DAY) else regular

