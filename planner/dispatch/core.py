"""What must be done anyway, placed first: present kiln loads, batches in moulds, leather-hard work, casts, jobs.

Items are placed by how little time they leave. One that finds no place is moved to the front and all is placed
again; one that fails even so is given up where it may be (R13), and so are, at last, the others that may be. Who
gets None back has no proof of anything: an exact model decides then.
"""

from __future__ import annotations

from dataclasses import dataclass

from planner.dispatch.core_items import (
    Place,
    casting,
    doing,
    finishing_leather,
    giving_up_cast,
    giving_up_mould,
    giving_up_released,
    taking_out,
    unloading,
)
from planner.dispatch.facts import DAY, Facts
from planner.dispatch.firing import best_load, book_load
from planner.dispatch.habits import Habits
from planner.dispatch.kept import NOTHING, Kept
from planner.dispatch.pull import Pull
from planner.dispatch.settle import latest_out, latest_steps, stand_released
from planner.dispatch.shop import Shop
from planner.scenario import InKiln, InMould, Released

TRIES = 24


@dataclass(slots=True)
class Item:
    """One thing that must be done; ``place`` books it or says False; ``give_up`` likewise, None = it may not be."""

    id: str
    due: int
    place: Place
    give_up: Place | None


def place_core(facts: Facts, habits: Habits, kept: Kept | None = None) -> Shop | None:
    """A shop with the must-do core booked, or None where no order tried places it.

    With ``kept``, what had its place in the plan before stays there where that is still right. Where ware would be
    given up, a kiln is fired first to make room on the drying rack, if that saves some.
    """
    shop = _placed(facts, _items(facts, habits, kept or Kept(NOTHING)), None)
    if shop is None or not shop.spoiled:
        return shop
    roomy = _placed(facts, _items(facts, habits, kept or Kept(NOTHING)), Pull(facts, habits))
    return shop if roomy is None or _pieces(roomy) >= _pieces(shop) else roomy


def _pieces(shop: Shop) -> int:
    """Pieces given up."""
    ware = shop.facts.scenario.ware
    return sum(ware[x].count if x in ware else 1 for x in shop.spoiled)


def _placed(facts: Facts, items: list[Item], fire_first: Pull | None) -> Shop | None:
    items.sort(key=lambda i: i.due)
    given_up: set[str] = set()
    fronted: dict[str, int] = {}
    for _ in range(TRIES + 2 * len(items)):
        shop, failed = _attempt(facts, items, given_up, fire_first)
        if failed is None:
            return _saved(facts, items, given_up, fire_first) or shop
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


def _attempt(
    facts: Facts, items: list[Item], given_up: set[str], fire_first: Pull | None
) -> tuple[Shop, Item | None]:
    """The items placed in their order; the first that found no place, if one did not."""
    shop = Shop(facts)
    stand_released(shop)
    if fire_first is not None:
        _make_room(shop, fire_first)
    return shop, next((i for i in items if not _settle(shop, i, given_up)), None)


def _saved(facts: Facts, items: list[Item], given_up: set[str], fire_first: Pull | None) -> Shop | None:
    """The core with something kept after all that was given up on the way, or None."""
    best = None
    for item in [i for i in items if i.id in given_up] if len(given_up) > 1 else ():
        for order in (items, [item, *(i for i in items if i is not item)]):
            shop, failed = _attempt(facts, order, given_up - {item.id}, fire_first)
            if failed is None:
                given_up.discard(item.id)
                best = shop
                break
    return best


def _make_room(shop: Shop, pull: Pull) -> None:
    """Load the kilns that are free with green ware, so that there are boards on the drying rack."""
    for kiln, free in enumerate(shop.kiln_free):
        if free < DAY:
            load = best_load(shop, pull, kiln, 0, DAY)
            if load is not None and load.program.stage == "bisque":
                book_load(shop, load)


def _settle(shop: Shop, item: Item, given_up: set[str]) -> bool:
    if item.id in given_up and item.give_up is not None:
        return item.give_up(shop)
    return item.place(shop)


def _items(facts: Facts, habits: Habits, kept: Kept) -> list[Item]:
    s = facts.scenario
    items = []
    for kiln in s.kilns:
        opens = max((w.opens for w in s.wip if isinstance(w, InKiln) and w.kiln == kiln.id), default=None)
        if opens is not None and opens + kiln.unload <= s.horizon:
            items.append(Item(f"now:{kiln.id}", max(0, opens) + DAY, unloading(kiln, opens, kept), None))
    for w in s.wip:
        if isinstance(w, InMould):
            hi = latest_out(facts, w)
            items.append(Item(w.id, hi, taking_out(w, kept), giving_up_mould(w, kept)))
        elif isinstance(w, Released):
            items.append(Item(w.id, latest_steps(facts, w), finishing_leather(w, kept), giving_up_released(w)))
    for cast in s.casts:
        if cast.poured is not None:
            hi = cast.poured + cast.lift_after.hi
            items.append(Item(cast.id, hi, casting(cast, 0, kept), giving_up_cast(cast)))
        elif cast.required:
            lo = min(3 * DAY, s.horizon // 2) if habits.pour_late else 0
            items.append(Item(cast.id, s.horizon, casting(cast, lo, kept), None))
    items += [Item(f"job:{j.id}", j.window.hi, doing(j, habits.jobs_late, kept), None) for j in s.jobs]
    return items
