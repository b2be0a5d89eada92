"""A solution of a relaxation as the skeleton of a plan, each thing within a bucket of where the solution has it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping

from planner.model.proof.frame import Frame
from planner.model.proof.green import Way
from planner.model.proof.mip import Var
from planner.model.proof.relaxation import Relaxation
from planner.model.skeleton import Dipped, Lit, Pressed, Skeleton
from planner.scenario import Span

SLACK = 1  # buckets before and after
LATE = 2 * 1440  # minutes after the last bucket that is told apart, for a draw that comes later


def skeleton(relaxation: Relaxation, values: Mapping[Var, int]) -> Skeleton:
    """What ``values`` have done, and when."""
    return Skeleton(_pressed(relaxation, values), _lit(relaxation, values), _dipped(relaxation, values))


def _around(frame: Frame, first: int, last: int) -> Span:
    parts = frame.hands.buckets
    return Span(parts[max(0, first - SLACK)].a, parts[min(len(parts) - 1, last + SLACK)].b)


def _pressed(relaxation: Relaxation, values: Mapping[Var, int]) -> tuple[Pressed, ...]:
    """Pieces that go the same way are one batch, whichever moulds they are in."""
    frame, out = relaxation.frame, []
    for form, green in relaxation.pressing.green.items():
        pieces: Counter[tuple[int, int, int, bool]] = Counter()
        for way in green.ways:
            pieces[_key(way)] += values[way.var]
        for (press, _, release, _), count in sorted(pieces.items()):
            if count:
                by = _around(frame, release, release).b
                out.append(Pressed(form, count, _around(frame, press, press), by))
    return tuple(out)


def _key(way: Way) -> tuple[int, int, int, bool]:
    return way.press, way.at, way.release, way.covered


def _lit(relaxation: Relaxation, values: Mapping[Var, int]) -> tuple[Lit, ...]:
    frame, out = relaxation.frame, []
    for load in (*relaxation.firing.bisque, *relaxation.firing.glost):
        for arc, var in load.arcs:
            window = _around(frame, load.start, load.start)
            drawn_by = _around(frame, load.to, load.to).b + LATE * arc.late
            lit = Lit(load.kiln.id, load.program.id, load.program.stage, window, drawn_by)
            out += [lit] * values[var]
    return tuple(sorted(out, key=lambda x: (x.load, x.drawn_by)))


def _dipped(relaxation: Relaxation, values: Mapping[Var, int]) -> tuple[Dipped, ...]:
    glazing = relaxation.orders.glazing
    return tuple(
        Dipped(order, values[var], _around(relaxation.frame, b, b))
        for order, by_bucket in glazing.items()
        for b, var in by_bucket.items()
        if values[var]
    )
