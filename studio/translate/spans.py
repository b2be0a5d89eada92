"""Arithmetic of half-open spans ``(a, b)`` of minutes."""

from __future__ import annotations

from collections.abc import Iterable

from planner.scenario import Span


def joined(spans: Iterable[tuple[int, int]], lo: int, hi: int) -> tuple[Span, ...]:
    """``spans`` cut to [lo, hi), sorted, those that overlap or touch joined, empty ones left out."""
    found: list[Span] = []
    for a, b in sorted((max(a, lo), min(b, hi)) for a, b in spans):
        if a >= b:
            continue
        if found and a <= found[-1].b:
            found[-1] = Span(found[-1].a, max(b, found[-1].b))
        else:
            found.append(Span(a, b))
    return tuple(found)


def without(spans: Iterable[Span], taken: Iterable[Span]) -> tuple[Span, ...]:
    """``spans`` less ``taken``; both sorted and joined."""
    left = list(spans)
    for cut in taken:
        left = [part for span in left for part in _cut(span, cut)]
    return tuple(left)


def _cut(span: Span, cut: Span) -> list[Span]:
    parts = ((span.a, min(span.b, cut.a)), (max(span.a, cut.b), span.b))
    return [Span(a, b) for a, b in parts if a < b] if cut.a < span.b and cut.b > span.a else [span]


def common(one: Iterable[Span], other: Iterable[Span]) -> tuple[Span, ...]:
    """The minutes in both."""
    others = list(other)
    pairs = ((max(x.a, y.a), min(x.b, y.b)) for x in one for y in others)
    return tuple(sorted(Span(a, b) for a, b in pairs if a < b))
