"""A load laid out on kiln shelves to scale: from what a studio counts on a shelf, and from how wide its ware is.

A form's count a shelf is what the studio says, handles, margin and habit within it; so each piece is first given as
much room as that count leaves it, and never less than it is wide, unless the studio has said that its count is right.
Where a mixed load finds no place so, ware is set as close as width and gap allow.
Ware goes in larger than it comes out: by the drying and most of the firing shrinkage that is still to come.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import lru_cache

from planner.craft.clashes import clashes
from planner.craft.load import limit, load, load_by_posts
from planner.craft.packing import WORK, places, widest_mm
from planner.craft.ranges import OutOfRange
from planner.craft.shelves import (
    Disc,
    Load,
    Shelf,
    Stack,
    Ware,
    post_patterns,
)
from studio.defaults.standing import entering_mm, gap_of, piled, shelf_of

EFFORT = WORK // 8  # a page may wait for it
NEAR = 0.97  # of its width: how wide ware goes in is known no better, its shrinkage being common practice


@dataclass(frozen=True, slots=True)
class Thing:
    """Pieces of one form to load, as the studio keeps it: fired width, free height, and its count on one shelf.

    ``trusted``: the studio says that its count is right, whatever the width.
    """

    key: str
    count: int
    fired_mm: int
    clearance_mm: int
    per_shelf: int
    handle: bool = False
    trusted: bool = False


@dataclass(frozen=True, slots=True)
class Space:
    """The inside of a kiln as the studio keeps it."""

    round: bool
    width_mm: int
    stack_mm: int
    shelf_mm: int
    shelves: int

    @property
    def shelf(self) -> Shelf:
        return shelf_of(self.round, self.width_mm)


@dataclass(frozen=True)
class Laid:
    """Where each piece stands. ``stack`` and ``wares`` are what ``load`` was made from.

    ``body_mm``: the width that a form is drawn with, clear of the ``posts``. ``fewer``: forms of which, by their width,
    fewer stand on a shelf than the studio counts, with how many. ``too_much``: of a load that finds no place, the part
    that is to blame.
    """

    stack: Stack
    wares: tuple[Ware, ...]
    load: Load
    body_mm: Mapping[str, float]
    posts: tuple[Disc, ...] = ()
    fewer: Mapping[str, int] = field(default_factory=dict)
    too_much: Mapping[str, int] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class _Room:
    """A form's own width, what its count on a shelf leaves it, pieces in a pile, and how many stand by its width."""

    body: float
    counted: float
    pile: int
    by_width: int


@lru_cache(maxsize=512)
def _room(shelf: Shelf, fired_mm: int, per_shelf: int, stage: str) -> _Room:
    body, gap = entering_mm(fired_mm, stage), gap_of(stage)
    alone = len(places(shelf, body, gap, (), EFFORT))
    pile = piled(per_shelf, alone, stage)
    counted = widest_mm(shelf, per_shelf, gap, (), pile)
    return _Room(body, counted, pile, alone * pile)


@lru_cache(maxsize=512)
def lay(things: tuple[Thing, ...], space: Space, stage: str) -> Laid:
    """The load shelf by shelf.

    Raises OutOfRange, with a sentence, for sizes or counts that no shelf can have.
    """
    shelf = space.shelf
    rooms = {t.key: _room(shelf, t.fired_mm, t.per_shelf, stage) for t in things}
    fewer = {t.key: rooms[t.key].by_width for t in things if _too_many(rooms[t.key], t.per_shelf)}
    stack = Stack(space.stack_mm, shelf, space.shelf_mm, space.shelves, gap_of(stage))
    wide = {t.key: _width(t, rooms[t.key]) for t in things}
    close = {t.key: wide[t.key] if t.handle else min(wide[t.key], rooms[t.key].body) for t in things}
    body = {key: min(room.body, wide[key]) for key, room in rooms.items()}
    loose = _wares(things, rooms, wide)
    found = load(loose, stack, EFFORT)
    if found.fits:
        return Laid(stack, loose, found, body, _posts(stack, found, body), fewer)
    tight = _wares(things, rooms, close)
    propped, found = load_by_posts(tight, stack, (*post_patterns(shelf), ()), EFFORT)
    if found.fits:
        return Laid(propped, tight, found, body, propped.posts, fewer)
    return Laid(propped, tight, found, body, propped.posts, fewer, _least(tight, stack))


def _least(wares: tuple[Ware, ...], stack: Stack) -> dict[str, int]:
    """Of what finds no place, as few of each form as still find none, so that one note keeps many such loads away."""
    counts = dict(limit(wares, stack, EFFORT) or {})
    for key in sorted(counts):
        fits, too_many = 0, counts[key]
        while too_many - fits > 1:
            middle = (fits + too_many) // 2
            fewer = counts | {key: middle}
            if load(tuple(replace(w, count=fewer.get(w.key, 0)) for w in wares), stack, EFFORT).fits:
                fits = middle
            else:
                too_many = middle
        counts[key] = too_many
    return counts


def _width(thing: Thing, room: _Room) -> float:
    return room.counted if thing.trusted or not _too_many(room, thing.per_shelf) else max(room.counted, room.body)


def _too_many(room: _Room, per_shelf: int) -> bool:
    """Whether more are counted on a shelf than by their width find a place on it."""
    return room.by_width < per_shelf and room.counted < NEAR * room.body


def _wares(things: tuple[Thing, ...], rooms: Mapping[str, _Room], width: Mapping[str, float]) -> tuple[Ware, ...]:
    return tuple(Ware(t.key, t.count, width[t.key], t.clearance_mm, rooms[t.key].pile) for t in things)


def _posts(stack: Stack, found: Load, body: Mapping[str, float]) -> tuple[Disc, ...]:
    """Usual places of three posts that are clear of the ware on every shelf, since posts stand on posts."""
    width = {p.key: min(body[p.key], p.disc.diameter_mm) for level in found.levels for p in level.placed}
    for posts in post_patterns(stack.shelf):
        levels = ([replace(p.disc, diameter_mm=width[p.key]) for p in level.placed] for level in found.levels)
        if not any(clashes(stack.shelf, discs, stack.gap_mm, posts) for discs in levels):
            return posts
    return ()


def reduced(laid: Laid, counts: Mapping[str, int]) -> Laid | None:
    """A load that finds its place, with no more than ``counts`` of each form; None if it does not hold so many.

    What is too many is taken off from the top, so that the rest stands as it stood.
    """
    wares = tuple(replace(w, count=counts[w.key]) for w in laid.wares if counts.get(w.key))
    spare = {w.key: w.count - counts.get(w.key, 0) for w in laid.wares}
    if not laid.load.fits or min(spare.values()) < 0 or len(wares) < sum(1 for n in counts.values() if n):
        return None
    levels = []
    for level in reversed(laid.load.levels):
        left = []
        for placed in reversed(level.placed):
            off = min(placed.pieces, spare[placed.key])
            spare[placed.key] -= off
            if off < placed.pieces:
                left.append(replace(placed, pieces=placed.pieces - off))
        if left:
            levels.append(replace(level, placed=tuple(reversed(left))))
    kept = {w.key for w in wares}
    fewer = {k: n for k, n in laid.fewer.items() if k in kept}
    return replace(laid, wares=wares, load=Load(tuple(reversed(levels))), fewer=fewer)


__all__ = ["Laid", "OutOfRange", "Space", "Thing", "lay", "reduced"]
