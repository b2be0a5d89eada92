"""One mould's own record: how damp it is now, and when it will be ready. Hours count from any one beginning."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from planner.craft.mould_rate import Dried
from planner.craft.moulds import Mould, Weighing, free_after_g, hours_to_dry, ordinary_hours
from planner.craft.ranges import OutOfRange, within

_BELOW_DRY, _ABOVE_FULL = 0.02, 0.05  # of the dry weight; a weighing further off is not believed


@dataclass(frozen=True, slots=True)
class Use:
    """A pot pressed and taken out of the mould (or to be taken out: the expected hour); water left in it, if known."""

    pressed_h: float
    out_h: float
    uptake_g: float | None = None

    def __post_init__(self) -> None:
        within(self.pressed_h, -1e7, 1e7, "the time of pressing", "h")
        within(self.out_h, self.pressed_h, 1e7, "the time of taking out", "h")
        if self.uptake_g is not None:
            within(self.uptake_g, 0, 20_000, "the water a pressing leaves in the mould", "g")


@dataclass(frozen=True, slots=True)
class Span:
    """From this hour on the mould stands in air of this deficit (10 to 20 000 Pa)."""

    from_h: float
    deficit_pa: float

    def __post_init__(self) -> None:
        within(self.deficit_pa, 10, 20_000, "the vapour-pressure deficit", "Pa")


@dataclass(frozen=True, slots=True)
class Record:
    """What happened to one mould since ``start_h``, when it held ``start_free_g`` of free water.

    ``spans`` tell its air; the first also holds before its hour, the last for ever. At least one.
    """

    start_h: float
    start_free_g: float
    spans: tuple[Span, ...]
    uses: tuple[Use, ...] = ()
    weighings: tuple[Weighing, ...] = ()

    def __post_init__(self) -> None:
        within(self.start_free_g, 0, 200_000, "the free water at the beginning", "g")
        if not self.spans:
            raise OutOfRange("say in what air the mould stands: at least one stretch of air is needed")


@dataclass(frozen=True, slots=True)
class Now:
    """Free water in grams and as a share of the dry weight, whether a pot stands in it, and until when."""

    free_g: float
    share: float
    filled_until_h: float | None


def ordinary_between(spans: Sequence[Span], from_h: float, to_h: float) -> float:
    """The ordinary hours between two times (0 if the second is no later), each stretch counted by its deficit."""
    return sum(ordinary_hours(hours, pa) for hours, pa in _stretches(spans, from_h, to_h))


def _stretches(spans: Sequence[Span], from_h: float, to_h: float) -> Iterator[tuple[float, float]]:
    ordered = sorted(spans, key=lambda s: s.from_h)
    for i, span in enumerate(ordered):
        begin = from_h if i == 0 else max(from_h, span.from_h)
        end = to_h if i == len(ordered) - 1 else min(to_h, ordered[i + 1].from_h)
        if begin < end:
            yield end - begin, span.deficit_pa


def _deficit_at(spans: Sequence[Span], hour: float) -> float:
    ordered = sorted(spans, key=lambda s: s.from_h)
    begun = [span for span in ordered if span.from_h <= hour]
    return (begun[-1] if begun else ordered[0]).deficit_pa


def odd_weighings(mould: Mould, record: Record) -> tuple[Weighing, ...]:
    """The weighings that are not believed: lighter than the dry mould, heavier than the full one, or with a pot in it.

    Up to 2 % below and 5 % above are let pass as errors of scale and dry weight: common practice, no source.
    """
    return tuple(w for w in record.weighings if not _believed(mould, record, w))


def _believed(mould: Mould, record: Record, weighing: Weighing) -> bool:
    free = weighing.grams - mould.dry_g
    fits = -_BELOW_DRY * mould.dry_g <= free <= mould.full_g + _ABOVE_FULL * mould.dry_g
    return fits and not any(u.pressed_h < weighing.at_h < u.out_h for u in _uses(record.uses))


def _uses(uses: Iterable[Use]) -> list[Use]:
    """In their order; what is pressed again was taken out by then, whatever is told."""
    ordered = sorted(uses, key=lambda u: u.pressed_h)
    cut = [Use(u.pressed_h, min(u.out_h, n.pressed_h), u.uptake_g) for u, n in pairwise(ordered)]
    return cut + ordered[-1:]


def present(mould: Mould, record: Record, at_h: float) -> Now:
    """The mould at an hour, from its own record: the last weighing that can be believed, then uses and drying."""
    time, free, filled = record.start_h, record.start_free_g, None
    for event in _events(mould, record, at_h):
        free = free_after_g(free, mould.rate_per_h, ordinary_between(record.spans, time, event[0]))
        if isinstance(event[1], Weighing):
            time, free = event[0], max(0.0, event[1].grams - mould.dry_g)
        else:
            took = mould.uptake_g if event[1].uptake_g is None else event[1].uptake_g
            time, free = event[1].out_h, min(mould.full_g, free + took)
            filled = event[1].out_h if event[1].out_h > at_h else None
    free = free_after_g(free, mould.rate_per_h, ordinary_between(record.spans, time, at_h))
    return Now(free, free / mould.dry_g, filled)


def _events(mould: Mould, record: Record, at_h: float) -> list[tuple[float, Weighing | Use]]:
    told: list[tuple[float, Weighing | Use]] = []
    told += [(w.at_h, w) for w in record.weighings if _believed(mould, record, w)]
    told += [(u.pressed_h, u) for u in _uses(record.uses)]
    told = [e for e in told if record.start_h <= e[0] <= at_h]
    return sorted(told, key=lambda e: (e[0], isinstance(e[1], Use)))  # weighed, then pressed in the same hour


def ready_h(mould: Mould, record: Record, now_h: float) -> float:
    """The first hour, from now on, at which the mould is empty and dry enough to press in."""
    now = present(mould, record, now_h)
    time = now_h if now.filled_until_h is None else now.filled_until_h
    need = hours_to_dry(now.free_g, mould.ready_g, mould.rate_per_h)
    changes = sorted(span.from_h for span in record.spans if span.from_h > time)
    for change in changes:
        gained = ordinary_between(record.spans, time, change)
        if gained >= need:
            break
        time, need = change, need - gained
    return time + need / ordinary_hours(1, _deficit_at(record.spans, time))


def dried_between(mould: Mould, record: Record) -> list[Dried]:
    """What the weighings say on the rate: for each two that follow each other, what went and what was taken between."""
    told = sorted((w for w in record.weighings if _believed(mould, record, w)), key=lambda w: w.at_h)
    uses = _uses(record.uses)
    return [_dried(mould, record.spans, uses, a, b) for a, b in pairwise(told) if a.at_h < b.at_h]


def _dried(mould: Mould, spans: Sequence[Span], uses: Sequence[Use], first: Weighing, second: Weighing) -> Dried:
    time, hours = first.at_h, 0.0
    taken: list[tuple[float, float]] = []
    for use in uses:
        if first.at_h <= use.pressed_h < second.at_h:
            hours += ordinary_between(spans, time, use.pressed_h)
            taken.append((hours, mould.uptake_g if use.uptake_g is None else use.uptake_g))
            time = use.out_h
    hours += ordinary_between(spans, time, second.at_h)
    return Dried(max(0.0, first.grams - mould.dry_g), second.grams - mould.dry_g, hours, mould.rate_per_h, tuple(taken))
