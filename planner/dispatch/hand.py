"""The hand rule: the plan that a person makes on paper, to compare others with.

Orders by due date. Each morning press what the earliest order needs with the moulds that are ready, never covered in
the mould, at a time from which the take-out falls in hours; leather-hard work as soon as it may. No evenings and no
optional casts. Fire when a kiln is full or nothing under way can join the load; glaze by due date; finish at once.

Only what must be done anyway (ware in moulds, casts, jobs) may need an evening. The booking is the dispatcher's, so
that a plan is valid by the same rules; the decisions are none of its search's.
"""

from __future__ import annotations

from collections.abc import Iterator

from planner.costs import with_costs
from planner.dispatch.adopt import adopt
from planner.dispatch.core import place_core
from planner.dispatch.daily import days
from planner.dispatch.facts import facts_of
from planner.dispatch.finishing import finish_stock, glaze_lot
from planner.dispatch.firing import Load, Times, book_load, firing_times
from planner.dispatch.habits import Habits
from planner.dispatch.pressing import best_chain, book_batch, find_press
from planner.dispatch.pull import Pull
from planner.dispatch.run import plan_of
from planner.dispatch.shop import Green, Shop
from planner.dispatch.stack import Stack
from planner.plan import Plan
from planner.scenario import Program, Scenario

BY_HAND = Habits(extra="none", cover_mould="never", cover_steps="need", jobs_late=False, pour=False)
LATER = 90  # minutes until the next look where a batch could not come out in hours
LOOKS = 3  # at most so many, a batch


def hand_plan(scenario: Scenario, wait: int = 0) -> Plan | None:
    """The hand rule's plan with its costs; None where what must be done found no place.

    ``wait``: minutes after the day within which ware that is under way still keeps a kiln from being fired.
    """
    facts = facts_of(scenario)
    shop = place_core(facts, BY_HAND)
    if shop is None:
        return None
    pull = Pull(facts, BY_HAND)  # for its lines: the orders of each form by due date
    for start, end in days(facts):
        _finish(shop, start, end)
        _press(shop, pull, start, end)
        _fire(shop, pull, start, end, wait)
        _glaze(shop, pull, start, end)
        _fire(shop, pull, start, end, wait)
        _finish(shop, start, end)
    plan = plan_of(shop)
    if scenario.previous is not None:
        plan = adopt(scenario.previous, scenario, plan)
    return with_costs(scenario, plan)


def _by_due(shop: Shop) -> list[int]:
    orders = shop.facts.orders
    return sorted(range(len(orders)), key=lambda o: (orders[o].due, o))


def _finish(shop: Shop, start: int, end: int) -> None:
    """Sort and pack what is out of the kiln, by due date."""
    for order in _by_due(shop):
        for stock in sorted(shop.fired[order], key=lambda s: s.at):
            if stock.at < end:
                finish_stock(shop, order, stock, start, end, False)
        shop.fired[order] = [s for s in shop.fired[order] if s.left]


def _glaze(shop: Shop, pull: Pull, start: int, end: int) -> None:
    """Glaze what is bisqued, by due date."""
    for order in _by_due(shop):
        form = shop.facts.order_form[order]
        have = sum(s.left for s in shop.bisqued[form] if s.at < end)
        count = min(have, shop.to_glaze[order])
        if count > 0:
            glaze_lot(shop, order, count, start, end, False)


# pressing


def _press(shop: Shop, pull: Pull, start: int, end: int) -> None:
    """Press what each order lacks, the earliest first, as far as moulds and hands go on this day."""
    orders = shop.facts.orders
    lacking = [
        (orders[order].due, order, form, count)
        for form in range(len(shop.facts.forms))
        for order, count in pull.line_after(shop, form, max(0, shop.under_way[form]))
    ]
    over: set[int] = set()  # forms of which no more can be pressed on this day
    for _, _, form, count in sorted(lacking):
        while count > 0 and form not in over:
            pressed = _press_batch(shop, pull, form, count, start, end)
            count -= pressed
            if not pressed:
                over.add(form)


def _press_batch(shop: Shop, pull: Pull, form: int, want: int, start: int, end: int) -> int:
    """Press one batch that starts on the day and comes out in hours; its pieces, 0 if there is no such batch."""
    f = shop.facts.forms[form]
    lo = start
    for _ in range(LOOKS if shop.moulds[form] else 0):
        pressing = find_press(shop, form, want, lo, end, 0.0)
        if pressing is None:
            return 0
        count = pressing.count
        while count > 0:
            minutes = pressing.setup + f.press.minutes(count)
            found = best_chain(shop, pull, f, count, pressing.slot[0], pressing.setup, minutes)
            if found is not None:
                book_batch(shop, form, pressing, count, minutes, *found)
                return count
            count = count * 2 // 3
        lo = pressing.slot[0] + LATER
    return 0


# firing


def _fire(shop: Shop, pull: Pull, start: int, end: int, wait: int) -> None:
    """Fire every kiln that is free on the day and full, or that nothing more can join."""
    waiting = set(range(len(shop.kiln_free)))
    while waiting:
        kiln = min(waiting, key=lambda k: (shop.kiln_free[k], k))
        load = None if shop.kiln_free[kiln] >= end else _load(shop, pull, kiln, start, end, wait)
        if load is None:
            waiting.discard(kiln)
        else:
            book_load(shop, load)


def _load(shop: Shop, pull: Pull, kiln: int, start: int, end: int, wait: int) -> Load | None:
    """The load that may be fired first on the day; of several, the one with the earliest order."""
    loads = []
    for program in shop.facts.kilns[kiln].programs:
        for moment in _moments(shop, program, max(start, shop.kiln_free[kiln]), end):
            times = firing_times(shop, kiln, program, moment, False)
            if times is None or times.load[0] >= end:
                break
            load = _packed(shop, pull, kiln, program, times, end, wait)
            if load is not None:
                loads.append((times.load[0], load.score, load))
                break
    return min(loads, key=lambda x: x[:2])[2] if loads else None


def _moments(shop: Shop, program: Program, free: int, end: int) -> list[int]:
    """When the kiln is free, and when more ware is ready on the day."""
    line: list[Green] = [*shop.coated] if program.stage == "glost" else [g for x in shop.green for g in x]
    return sorted({free, *(g.ready for g in line if g.left and free < g.ready < end)})


def _packed(shop: Shop, pull: Pull, kiln: int, program: Program, times: Times, end: int, wait: int) -> Load | None:
    """The load by due date if it is to be fired: pieces had to be left out, or none that is under way can join."""
    facts = shop.facts
    rule = facts.rules[kiln][program.stage]
    stack = Stack(rule)
    pieces: list[tuple[Green, int]] = []
    full = False
    ready = sorted(_ready(shop, pull, program, times.load[0]), key=lambda x: x[0])
    for _, ware, count in ready:
        if not rule.unit[ware.form]:
            continue
        n = stack.room(ware.form, count)
        full = full or n < count
        if n:
            stack.add(ware.form, n)
            pieces.append((ware, n))
    if not pieces:
        return None
    if not full and any(rule.unit[f] and stack.room(f, 1) for f in _coming(shop, program, times.load[0], end + wait)):
        full = firing_times(shop, kiln, program, end, False) is None  # now or never
        if not full:
            return None
    return Load(kiln, program, times, pieces, 0.0, float(ready[0][0]))


def _ready(shop: Shop, pull: Pull, program: Program, minute: int) -> Iterator[tuple[int, Green, int]]:
    """(due date, ware, pieces) of what is owed and may go into the kiln at ``minute``."""
    orders = shop.facts.orders
    if program.stage == "glost":
        for c in shop.coated:
            if c.left and c.ready <= minute and c.order is not None and _allowed(shop, program, c.glaze):
                yield orders[c.order].due, c, c.left
        return
    for form, line in enumerate(shop.green):
        owed = pull.line_after(shop, form, max(0, shop.under_way[form] - sum(g.left for g in line)))
        order, lacking = next(owed, (-1, 0))
        for ware in sorted(line, key=lambda g: g.ready):
            left = ware.left if ware.ready <= minute else 0
            while left and order >= 0:
                n = min(left, lacking)
                yield orders[order].due, ware, n
                left, lacking = left - n, lacking - n
                if not lacking:
                    order, lacking = next(owed, (-1, 0))


def _coming(shop: Shop, program: Program, minute: int, until: int) -> set[int]:
    """The forms of ware that will be ready for such a load after ``minute`` and by ``until``, or may be glazed then."""
    if program.stage == "bisque":
        return {f for f, line in enumerate(shop.green) if any(g.left and minute < g.ready <= until for g in line)}
    facts = shop.facts
    coming = {
        c.form
        for c in shop.coated
        if c.left and minute < c.ready <= until and c.order is not None and _allowed(shop, program, c.glaze)
    }
    if shop.glazed.room(minute) <= 0:  # nothing more is glazed until the kiln has taken some
        return coming
    for order, form in enumerate(facts.order_form):
        if shop.to_glaze[order] > 0 and _allowed(shop, program, facts.orders[order].glaze):
            coming |= {form for s in shop.bisqued[form] if s.left and s.at <= until}
    return coming


def _allowed(shop: Shop, program: Program, glaze: str) -> bool:
    return program.id in shop.facts.glaze_of[glaze].programs
