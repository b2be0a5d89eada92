"""The load of a firing, shelf by shelf: each planned piece at its place, or what found none."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from planner.craft.packing import WORK, places, share
from planner.craft.ranges import OutOfRange
from planner.craft.shelves import Disc, Level, Load, Stack, Ware

TRIES = 4
MOST_TRIED = 12


def load(wares: Sequence[Ware], stack: Stack, work: int = WORK) -> Load:
    """Ware of a firing on shelves from the bottom up, the tallest first, shorter ware into what room they leave.

    Each level takes the free height of its tallest ware and a shelf. A level is filled with the tallest ware left, then
    with what is shorter, so that the free height falls from level to level. Four tries with other sides to begin from;
    the first that places everything is given, else the one with the fewest pieces left over. Those are said, never
    squeezed in.
    """
    keys = [w.key for w in wares]
    if len(set(keys)) < len(keys):
        raise OutOfRange("a form is given twice: add its pieces up")
    best: Load | None = None
    for seed in range(TRIES):
        found = _filled(wares, stack, work, seed)
        if found.fits:
            return found
        if best is None or sum(found.left.values()) < sum(best.left.values()):
            best = found
    assert best is not None
    return best


def load_by_posts(
    wares: Sequence[Ware], stack: Stack, patterns: Sequence[tuple[Disc, ...]], work: int = WORK
) -> tuple[Stack, Load]:
    """The load with the first pattern of posts (``shelves.post_patterns``) that places all, else the best of them."""
    if not patterns:
        raise OutOfRange("there is no pattern of posts to try: give one at least, an empty one for none")
    best: tuple[Stack, Load] | None = None
    for posts in patterns:
        propped = replace(stack, posts=posts)
        found = load(wares, propped, work)
        if found.fits:
            return propped, found
        if best is None or sum(found.left.values()) < sum(best[1].left.values()):
            best = propped, found
    assert best is not None
    return best


def limit(wares: Sequence[Ware], stack: Stack, work: int = WORK) -> dict[str, int] | None:
    """A small part of a load that finds no place, as pieces by form; None if all of it does.

    What is placed, and of what is left one piece after another until it fails to fit; then without each form that is
    not to blame. A load that holds at least these is not to be planned again.
    """
    found = load(wares, stack, work)
    if found.fits:
        return None
    counts = _one_too_many(wares, stack, found, work)
    for key in sorted(counts):
        fewer = {k: n for k, n in counts.items() if k != key}
        if fewer and not load(_of(wares, fewer), stack, work).fits:
            counts = fewer
    return counts


def _one_too_many(wares: Sequence[Ware], stack: Stack, found: Load, work: int) -> dict[str, int]:
    """Counts just beyond what finds a place; after some tries the whole load."""
    wanted = {w.key: w.count for w in wares}
    left = {k: n for k, n in found.left.items() if n}
    for _ in range(MOST_TRIED):
        key = min(left, key=lambda k: (left[k], k))
        counts = {k: n - left.get(k, 0) + (k == key) for k, n in wanted.items()}
        if not load(_of(wares, counts), stack, work).fits:
            return {k: n for k, n in counts.items() if n}
        left = {k: n - (k == key) for k, n in left.items() if n > (k == key)}
        if not left:
            break
    return {k: n for k, n in wanted.items() if n}


def _of(wares: Sequence[Ware], counts: Mapping[str, int]) -> list[Ware]:
    return [replace(w, count=counts.get(w.key, 0)) for w in wares]


def _filled(wares: Sequence[Ware], stack: Stack, work: int, seed: int) -> Load:
    waiting = sorted((w for w in wares if w.count), key=lambda w: (-w.clearance_mm, -w.diameter_mm, w.key))
    levels: list[Level] = []
    left: dict[str, int] = {}
    free = stack.height_mm
    while waiting and len(levels) < stack.shelves:
        tallest = waiting[0]
        if tallest.clearance_mm + stack.thickness_mm > free or not places(
            stack.shelf, tallest.diameter_mm, stack.gap_mm, stack.posts, work
        ):
            left[tallest.key] = tallest.count
            waiting = waiting[1:]
            continue
        lot = seed * stack.shelves + len(levels) if seed else 0
        filled = share(stack.shelf, waiting, stack.gap_mm, stack.posts, work, lot)
        levels.append(Level(tallest.clearance_mm, filled.placed))
        free -= tallest.clearance_mm + stack.thickness_mm
        waiting = [replace(w, count=filled.left[w.key]) for w in waiting if filled.left[w.key]]
    left |= {w.key: w.count for w in waiting}
    return Load(tuple(levels), left)
