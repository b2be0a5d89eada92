"""Bags of plaster: when they came, which one is open, and what is left as moulds are poured."""

from __future__ import annotations

from studio.record.happening import Happening
from studio.record.state import BagState, State


def plaster_in(h: Happening) -> None:
    d = h.data
    if h.claim(d["bag"]):
        h.state.plaster[d["bag"]] = BagState(
            d["bag"], len(h.state.plaster), h.fact.happened, d["grams"], d["grams"], d.get("made"), d.get("best")
        )


def plaster_opened(h: Happening) -> None:
    bag = _bag(h)
    if bag is not None and bag.opened is None:
        bag.opened = h.fact.happened


def plaster_left(h: Happening) -> None:
    """By the scale so much is left; 0 where it is used up or was thrown away."""
    bag = _bag(h)
    if bag is not None:
        bag.left = h.data["grams"]


def _bag(h: Happening) -> BagState | None:
    bag = h.state.plaster.get(h.data["bag"])
    if bag is None:
        h.trouble("no_such_bag", {"bag": h.data["bag"]})
    return bag


def in_order(state: State) -> list[BagState]:
    """Bags with plaster left: the open ones in the order in which they were opened, then the oldest by date."""

    def key(bag: BagState) -> tuple[bool, int, str, int]:
        return (bag.opened is None, bag.opened or 0, bag.made or bag.best or "9", bag.nth)

    return sorted((b for b in state.plaster.values() if b.left > 0), key=key)


def used(h: Happening, grams: int) -> None:
    """Out of the bags in their order; one that is drawn on is open from then on."""
    for bag in in_order(h.state):
        part = min(bag.left, grams)
        if not part:
            break
        bag.left, grams = bag.left - part, grams - part
        if bag.opened is None:
            bag.opened = h.fact.happened
