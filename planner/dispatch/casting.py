"""Pouring working moulds: pour and lift found as a pair, models and frames used by one cast at a time."""

from __future__ import annotations

from planner.dispatch.calendar import NEVER
from planner.dispatch.facts import DAY
from planner.dispatch.kept import at_same
from planner.dispatch.shop import Shop, Slot
from planner.plan import CastPlan, Task
from planner.scenario import Cast


def find_cast(shop: Shop, cast: Cast, lo: int, extra: bool) -> tuple[Slot | None, Slot] | None:
    """Slots of pour (None if poured before) and lift, the pour starting at ``lo`` or later."""
    low, high = cast.lift_after
    if cast.poured is not None:
        lift = shop.find("lift", max(0, cast.poured + low), cast.lift, cast.poured + high, extra)
        return None if lift is None or _held_until(shop, cast, 0, lift[0] + cast.lift) else (None, lift)
    for _ in range(30):
        pour = shop.find("pour", lo, cast.pour, NEVER, extra)
        if pour is None:
            return None
        poured = pour[0] + cast.pour
        lift = shop.find("lift", poured + low, cast.lift, NEVER, extra)
        if lift is None:
            return None
        if lift[0] > poured + high:
            lo = max(pour[0] + 1, lift[0] - high - cast.pour)
            continue
        free = _held_until(shop, cast, pour[0], lift[0] + cast.lift)
        if not free:
            return pour, lift
        lo = free
    return None


def cast_as_before(shop: Shop, cast: Cast, pour: Task | None, lift: Task | None) -> tuple[Slot | None, Slot] | None:
    """The cast at the minutes it had in the plan before, or None where it cannot stay."""
    low, high = cast.lift_after
    first = None
    if cast.poured is None:
        first = at_same(shop, pour, cast.pour)
        if first is None:
            return None
    poured = cast.poured if first is None else first[0] + cast.pour
    assert poured is not None
    last = at_same(shop, lift, cast.lift, max(0, poured + low), poured + high + cast.lift)
    if last is None or _held_until(shop, cast, 0 if first is None else first[0], last[0] + cast.lift):
        return None
    return first, last


def book_cast(
    shop: Shop, cast: Cast, slots: tuple[Slot | None, Slot], ids: tuple[str | None, str | None] = (None, None)
) -> None:
    """Book the tasks of a cast and count its mould in from when it is dry."""
    pour = None if slots[0] is None else shop.book("pour", slots[0], cast.pour, ids[0])
    lift = shop.book("lift", slots[1], cast.lift, ids[1])
    settle_cast(shop, cast, 0 if pour is None else pour.start, lift.end)
    shop.casts.append(CastPlan(cast.id, None if pour is None else pour.id, lift.id))


def settle_cast(shop: Shop, cast: Cast, start: int, end: int) -> None:
    """Note what the cast holds over ``[start, end)`` and when its mould is dry."""
    for thing in cast.holds:
        shop.held.setdefault(thing, []).append((start, end))
    shop.uses[cast.id] = cast.uses
    shop.put_mould(shop.facts.form_at[cast.form], cast.id, end + cast.dry)


def pour_optional(shop: Shop, extra: bool) -> None:
    """Pour the optional casts whose form is short of moulds for what is owed, early enough to be of use."""
    facts = shop.facts
    kept = {c.id for c in shop.casts}  # a plan laid in again may pour it already
    for cast in facts.scenario.casts:
        if cast.required or cast.poured is not None or cast.id in kept:
            continue
        f = facts.form_at[cast.form]
        owed = sum(shop.to_glaze[o] for o in facts.form_orders[f]) - shop.under_way[f]
        if owed <= _pressings(shop, f):
            continue
        slots = find_cast(shop, cast, 0, extra)
        if slots is not None and slots[1][0] + cast.lift + cast.dry < facts.horizon - min(DAY, facts.horizon // 4):
            book_cast(shop, cast, slots)


def _pressings(shop: Shop, f: int) -> int:
    """How often the moulds of a form can be pressed, twice at most: later pressings come late for what is owed."""
    form = shop.facts.forms[f]
    often = min(2, 1 + shop.facts.horizon // (form.release_after.lo + form.mould_rest + 1))
    return sum(min(often, shop.uses[m]) for *_, m in shop.moulds[f])


def _held_until(shop: Shop, cast: Cast, start: int, end: int) -> int:
    """When what the cast needs over ``[start, end)`` becomes free; 0 if it is free."""
    latest = 0
    for thing in cast.holds:
        for a, b in shop.held.get(thing, ()):
            if a < end and start < b:
                latest = max(latest, b)
    return latest
