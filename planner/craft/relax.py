"""One more circle than rows and corners hold: all of them pushed apart from many beginnings, within bounded work."""

from __future__ import annotations

from collections.abc import Sequence
from math import hypot
from random import Random

from planner.craft.shelves import Disc, Rectangle, Shelf

Spot = tuple[float, float]
ROUNDS = 250  # of pushing, for each beginning
MOST_BEGINNINGS = 40
AIM = 1.002  # pushed a little farther apart than need be, so that pushing ends at all
SLACK = 1e-9


def one_more(
    shelf: Shelf,
    diameter_mm: float,
    gap_mm: float,
    posts: Sequence[Disc],
    start: Sequence[Spot],
    work: int,
    chance: Random,
) -> list[Spot] | None:
    """A packing of one circle more than ``start``, or None if ``work`` (pairs looked at) does not find one."""
    n = len(start) + 1
    pairs = n * (n - 1) // 2 + 3 * n * (1 + len(posts))
    for attempt in range(min(MOST_BEGINNINGS, work // (pairs * ROUNDS))):
        spots = _begin(shelf, diameter_mm, start, chance, whole=attempt % 2 == 1)
        found = _pushed(shelf, diameter_mm, gap_mm, posts, spots)
        if found is not None:
            return found
    return None


def _begin(shelf: Shelf, d: float, start: Sequence[Spot], chance: Random, whole: bool) -> list[list[float]]:
    """Either what is there, shaken, with one thrown in; or all thrown in."""
    a, b = _half(shelf, d)
    thrown = [[chance.uniform(-a, a), chance.uniform(-b, b)] for _ in range(len(start) + 1)]
    if whole:
        return thrown
    return [*([x + chance.gauss(0, d / 12), y + chance.gauss(0, d / 12)] for x, y in start), thrown[0]]


def _half(shelf: Shelf, d: float) -> tuple[float, float]:
    if isinstance(shelf, Rectangle):
        return (shelf.width_mm - d) / 2, (shelf.depth_mm - d) / 2
    return (shelf.diameter_mm - d) / 2, (shelf.diameter_mm - d) / 2


def _pushed(shelf: Shelf, d: float, gap: float, posts: Sequence[Disc], spots: list[list[float]]) -> list[Spot] | None:
    """Pairs too near pushed apart, all kept on the shelf and off the posts, until nothing is too near."""
    pitch = d + gap
    for _ in range(ROUNDS):
        worst = _push_pairs(spots, pitch)
        for p in spots:
            for post in posts:
                worst = max(worst, _push_off(p, post, (post.diameter_mm + d) / 2 + gap))
            _keep_in(shelf, d, p)
        if worst <= 0 and _stands(shelf, d, gap, posts, spots):
            return [(x, y) for x, y in spots]
    return None


def _push_pairs(spots: list[list[float]], pitch: float) -> float:
    """Pushes each pair to ``AIM`` × pitch; how much the worst pair lacked of the pitch itself."""
    aim, worst = pitch * AIM, -1.0
    square = aim * aim
    for i, p in enumerate(spots):
        px, py = p
        for q in spots[:i]:
            dx, dy = px - q[0], py - q[1]
            if dx * dx + dy * dy < square:
                apart = hypot(dx, dy) or 1e-6
                worst = max(worst, pitch - apart)
                push = (aim - apart) / 2 / apart
                px, py = px + dx * push, py + dy * push
                q[0] -= dx * push
                q[1] -= dy * push
        p[0], p[1] = px, py
    return worst


def _push_off(p: list[float], post: Disc, least: float) -> float:
    dx, dy = p[0] - post.x, p[1] - post.y
    apart = hypot(dx, dy) or 1e-6
    if apart < least * AIM:
        p[0], p[1] = post.x + dx * least * AIM / apart, post.y + dy * least * AIM / apart
    return least - apart


def _keep_in(shelf: Shelf, d: float, p: list[float]) -> None:
    a, b = _half(shelf, d)
    if isinstance(shelf, Rectangle):
        p[0], p[1] = min(a, max(-a, p[0])), min(b, max(-b, p[1]))
    else:
        out = hypot(p[0], p[1])
        if out > a:
            p[0], p[1] = p[0] * a / out, p[1] * a / out


def _stands(shelf: Shelf, d: float, gap: float, posts: Sequence[Disc], spots: Sequence[Sequence[float]]) -> bool:
    """Looked at afresh: pushing one pair may have brought another near again."""
    for i, (x, y) in enumerate(spots):
        if shelf.room(x, y) < d / 2 - SLACK:
            return False
        if any(hypot(x - q[0], y - q[1]) < d + gap - SLACK for q in spots[:i]):
            return False
        if any(hypot(x - t.x, y - t.y) < (t.diameter_mm + d) / 2 + gap - SLACK for t in posts):
            return False
    return True
