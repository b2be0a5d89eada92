"""Arithmetic of half-open spans of minutes."""

from __future__ import annotations

from collections.abc import Iterable

from planner.scenario import Span


def merged(spans: Iterable[Span]) -> list[Span]:
    """The same minutes as spans in order that neither overlap nor touch."""
    out: list[Span] = []
    for a, b in sorted(spans):
        if out and a <= out[-1].b:
            out[-1] = Span(out[-1].a, max(b, out[-1].b))
        elif b > a:
            out.append(Span(a, b))
    return out


def clipped(spans: Iterable[Span], lo: int, hi: int) -> list[Span]:
    """The part of ``spans`` inside ``[lo, hi)``."""
    return [Span(max(a, lo), min(b, hi)) for a, b in spans if max(a, lo) < min(b, hi)]


def gaps(spans: Iterable[Span], lo: int, hi: int) -> list[Span]:
    """The part of ``[lo, hi)`` outside ``spans``, which are merged."""
    out, at = [], lo
    for a, b in clipped(spans, lo, hi):
        if a > at:
            out.append(Span(at, a))
        at = b
    return [*out, Span(at, hi)] if at < hi else out


def start_spans(spans: Iterable[Span], lo: int, hi: int, size: int) -> list[Span]:
    """Minutes at which ``size`` minutes can start so that they lie inside one of ``spans`` and inside ``[lo, hi)``."""
    return [Span(a, b - size + 1) for a, b in clipped(spans, lo, hi) if b - a >= size]


def overlap(span: Span, spans: Iterable[Span]) -> int:
    """Minutes of ``span`` that lie in ``spans``, which do not overlap."""
    return sum(b - a for a, b in clipped(spans, span.a, span.b))
