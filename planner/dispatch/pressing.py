"""Pressing: which form next, how many, when; each batch placed with its release and leather-hard work."""

from __future__ import annotations

from dataclasses import dataclass

from planner.dispatch.calendar import Gaps
from planner.dispatch.chain import Ask, Chain, book_chain, find_chain, stand
from planner.dispatch.pull import Pull
from planner.dispatch.shop import Shop, Slot, id_of, meet
from planner.plan import Batch
from planner.scenario import Form

SHRINK = (1.0, 0.6, 0.35)


@dataclass(slots=True)
class Pressing:
    """A press task that could be: ``setup`` minutes before the first ball."""

    slot: Slot
    count: int
    setup: int
    minutes: int


def press_ware(shop: Shop, pull: Pull, day_start: int, day_end: int) -> None:
    """Press what is owed in the free time of the day, the strongest pull first."""
    wants = {f: w for f in range(len(shop.moulds)) if (w := _want(shop, pull, f, day_start)) is not None}
    while wants:
        form = _strongest(shop, pull, wants)
        if _press_one(shop, pull, form, missing_of(shop, form), day_start, day_end):
            want = _want(shop, pull, form, day_start)
            if want is not None:
                wants[form] = want
                continue
        del wants[form]


def owed_of(shop: Shop, form: int) -> int:
    """Pieces of the form that are owed and not even pressed."""
    return sum(shop.to_glaze[o] for o in shop.facts.form_orders[form] if shop.to_glaze[o] > 0) - shop.under_way[form]


def missing_of(shop: Shop, form: int) -> int:
    """Pieces of the form that are owed and that nothing to come will press."""
    return owed_of(shop, form) - shop.to_come.pressed[form]


def _want(shop: Shop, pull: Pull, form: int, now: int) -> tuple[float, int] | None:
    """(pull of the next batch of the form, its pieces), or None where none is owed or there is no mould."""
    most = min(len(shop.moulds[form]), 24)
    if not most:
        return None
    value, count = 0.0, 0
    for order, n in pull.line_after(shop, form, max(0, shop.under_way[form] + shop.to_come.pressed[form])):
        n = min(n, most - count)
        value += n * pull.press(order, form, now)
        count += n
        if count >= most:
            break
    return (value, count) if count and value > 0 else None


def _strongest(shop: Shop, pull: Pull, wants: dict[int, tuple[float, int]]) -> int:
    """The form with the strongest pull a hand minute and kiln share; a tool that is on is preferred."""
    facts, habits = shop.facts, pull.habits
    on = {shop.wheels[x].tool for x in facts.stations_of["press"] or ()}

    def strength(form: int) -> float:
        value, count = wants[form]
        f = facts.forms[form]
        mounted = f.tool in on
        minutes = facts.hand_minutes[form] + (0 if mounted else f.setup) / count
        value /= count * minutes**habits.hands_power * facts.glost_share[form] ** habits.kiln_power
        return float(value * habits.stay if mounted else value)

    return max(wants, key=strength)


def _press_one(shop: Shop, pull: Pull, form: int, owed: int, day_start: int, day_end: int) -> bool:
    """Place one batch that starts in the day; False where none can be placed."""
    habits = pull.habits
    f = shop.facts.forms[form]
    want = min(owed, habits.batch_max, _board_room(shop, f, day_start))
    if want <= 0:
        return False
    lo = day_start
    fewest = min(habits.fewest, want, len(shop.moulds[form]))
    for _ in range(3):
        pressing = find_press(shop, form, want, lo, day_end, habits.small_batch, habits.extra == "all")
        if pressing is None or pressing.count < fewest:
            return False
        for part in SHRINK:
            count = max(fewest, int(pressing.count * part))
            minutes = pressing.setup + f.press.minutes(count)
            found = best_chain(shop, pull, f, count, pressing.slot[0], pressing.setup, minutes)
            if found is not None:
                book_batch(shop, form, pressing, count, minutes, *found)
                return True
            if count <= fewest:
                break
        lo = pressing.slot[0] + 90
    return False


def _board_room(shop: Shop, form: Form, minute: int) -> int:
    room = shop.drying.room(minute + form.release_after.lo)
    return max(0, room) * form.boards.green


def find_press(
    shop: Shop, form: int, want: int, lo: int, day_end: int, small: float, extra: bool = False
) -> Pressing | None:
    """The earliest press of up to ``want`` pieces that starts in ``[lo, day_end)``, on whichever press is first."""
    facts = shop.facts
    f = facts.forms[form]
    line = shop.moulds[form]
    least = max(1, min(len(line), int(want * small + 0.999)))
    while least > 1 and line[least - 1][0] >= day_end:
        least -= 1
    lo = max(lo, line[least - 1][0])
    calendars = shop.hours if extra else shop.regular
    best: Pressing | None = None
    for x in facts.stations_of["press"] or ():
        wheel = shop.wheels[x]
        for p in facts.people_of["press"]:
            found = _press_at(shop, calendars, f, form, want, least, max(lo, wheel.last), day_end, x, p)
            if found is not None and (best is None or _better(found, best)):
                best = found
    return best


def _better(a: Pressing, b: Pressing) -> bool:
    return a.slot[0] + 4 * a.setup < b.slot[0] + 4 * b.setup


def setup_minutes(shop: Shop, f: Form, station: int, start: int) -> int:
    """Minutes before the first ball (R02) for a press that starts at ``start``, the next on that station."""
    wheel = shop.wheels[station]
    if wheel.tool != f.tool:
        return f.setup
    return f.recheck if wheel.day is None or wheel.day < shop.facts.day(start) else 0


def _press_at(
    shop: Shop,
    calendars: list[Gaps],
    f: Form,
    form: int,
    want: int,
    least: int,
    lo: int,
    day_end: int,
    station: int,
    person: int,
) -> Pressing | None:
    person_gaps, station_gaps = calendars[person], shop.stations[station]
    start = lo
    for _ in range(4):
        setup = setup_minutes(shop, f, station, start)
        start = meet(person_gaps, station_gaps, start, setup + f.press.minutes(least), day_end - 1)
        if start < 0 or not shop.to_come.may_mount(station, start, f.tool):
            return None
        setup = setup_minutes(shop, f, station, start)
        room = min(person_gaps.end_of(start), station_gaps.end_of(start)) - start - setup - f.press.fixed
        count = min(want, shop.spare_moulds(form, start))
        if f.press.each_s:
            count = min(count, room * 60 // f.press.each_s)
        if count >= least and room >= 0:
            return Pressing((start, person, station), count, setup, setup + f.press.minutes(count))
        start += 15
    return None


def best_chain(
    shop: Shop, pull: Pull, f: Form, count: int, start: int, setup: int, minutes: int
) -> tuple[Ask, Chain, bool] | None:
    """The way out of the mould that is dry first; a cover must earn its trouble. The bool: covered in the mould."""
    habits = pull.habits
    first = start + setup + -(-f.press.each_s // 60)
    end = start + minutes
    best: tuple[Ask, Chain, bool] | None = None
    best_end = 0
    for in_mould in (False, True):
        window = f.release_after_covered if in_mould else f.release_after
        if window is None or (in_mould and (habits.cover_mould == "never" or (habits.cover_mould == "need" and best))):
            continue
        for covered in (False, True):
            if covered and (not f.steps or habits.cover_steps == "never" or (habits.cover_steps == "need" and best)):
                continue
            ask = Ask(f, count, end + window.lo, first + window.hi, covered, extra=habits.extra != "none")
            chain = find_chain(shop, ask)
            if chain is None:
                continue
            ready = chain.end + habits.cover_minutes * (in_mould + covered)
            if best is None or ready < best_end:
                best, best_end = (ask, chain, in_mould), ready
    return best


def book_batch(
    shop: Shop,
    form: int,
    pressing: Pressing,
    count: int,
    minutes: int,
    ask: Ask,
    chain: Chain,
    in_mould: bool,
    name: str | None = None,
    ids: tuple[str | None, ...] = (None,),
    like: tuple[str, ...] = (),
) -> None:
    """Book a batch from the press to its last step; ``name``, task ``ids`` and moulds ``like`` before, if given."""
    f = ask.form
    start, _, station = pressing.slot
    moulds = tuple(shop.take_moulds(form, start, count, like))
    press = shop.book("press", pressing.slot, minutes, ids[0])
    if station is not None:
        wheel = shop.wheels[station]
        wheel.tool, wheel.day, wheel.last = f.tool, shop.facts.day(start), start + minutes
    release, steps = book_chain(shop, ask, chain, ids[1:])
    name = name or shop.new_id("b")
    stand(shop, name, form, ask, chain)
    for m in moulds:
        shop.put_mould(form, m, chain.out_to + f.mould_rest)
    names = tuple(t.id for t in steps)
    shop.batches.append(
        Batch(name, f.id, count, moulds, press.id, id_of(release), names, in_mould, ask.covered)
    )

