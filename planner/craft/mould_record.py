"""One mould's own record: how damp it is now, and when it will be ready. Hours count from any one beginning."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import accumulate, pairwise

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


class _Weather:
    """Ordinary hours since the first stretch of air, looked up quickly."""

    def __init__(self, spans: Sequence[Span]) -> None:
        ordered = sorted(spans, key=lambda s: s.from_h)
        self.starts = [s.from_h for s in ordered]
        self.speeds = [ordinary_hours(1, s.deficit_pa) for s in ordered]
        lengths = [(b - a) * speed for (a, b), speed in zip(pairwise(self.starts), self.speeds, strict=False)]
        self.gained = [0.0, *accumulate(lengths)]

    def _place(self, hour: float) -> int:
        return max(0, bisect_right(self.starts, hour) - 1)

    def at(self, hour: float) -> float:
        """Ordinary hours from the first start to this hour, below nought before it."""
        i = self._place(hour)
        return self.gained[i] + (hour - self.starts[i]) * self.speeds[i]

    def between(self, from_h: float, to_h: float) -> float:
        return max(0.0, self.at(to_h) - self.at(from_h))

    def hour_of(self, ordinary: float) -> float:
        """The hour at which ``at`` has come to this."""
        i = max(0, bisect_right(self.gained, ordinary) - 1)
        return self.starts[i] + (ordinary - self.gained[i]) / self.speeds[i]


def ordinary_between(spans: Sequence[Span], from_h: float, to_h: float) -> float:
    """The ordinary hours between two times (0 if the second is no later), each stretch counted by its deficit."""
    return _Weather(spans).between(from_h, to_h)


def odd_weighings(mould: Mould, record: Record) -> tuple[Weighing, ...]:
    """The weighings that are not believed: lighter than the dry mould, heavier than the full one, or with a pot in it.

    Up to 2 % below and 5 % above are let pass as errors of scale and dry weight: common practice, no source.
    """
    good = set(_believed(mould, record, _uses(record.uses)))
    return tuple(w for w in record.weighings if w not in good)


def _believed(mould: Mould, record: Record, uses: Sequence[Use]) -> list[Weighing]:
    """In their order; ``uses`` in theirs."""
    pressed = [u.pressed_h for u in uses]
    good = []
    for weighing in sorted(record.weighings, key=lambda w: w.at_h):
        free = weighing.grams - mould.dry_g
        last = bisect_left(pressed, weighing.at_h) - 1
        empty = last < 0 or uses[last].out_h <= weighing.at_h
        if empty and -_BELOW_DRY * mould.dry_g <= free <= mould.full_g + _ABOVE_FULL * mould.dry_g:
            good.append(weighing)
    return good


def _uses(uses: Iterable[Use]) -> list[Use]:
    """In their order; what is pressed again was taken out by then, whatever is told."""
    ordered = sorted(uses, key=lambda u: u.pressed_h)
    cut = [Use(u.pressed_h, min(u.out_h, n.pressed_h), u.uptake_g) for u, n in pairwise(ordered)]
    return cut + ordered[-1:]


def present(mould: Mould, record: Record, at_h: float) -> Now:
    """The mould at an hour, from its own record: the last weighing that can be believed, then uses and drying."""
    return _present(mould, record, at_h, _Weather(record.spans))


def _present(mould: Mould, record: Record, at_h: float, weather: _Weather) -> Now:
    uses = _uses(record.uses)
    time, free, filled = record.start_h, record.start_free_g, None
    for weighing in _believed(mould, record, uses):
        if time <= weighing.at_h <= at_h:
            time, free = weighing.at_h, max(0.0, weighing.grams - mould.dry_g)
    for use in uses:
        if time <= use.pressed_h <= at_h:
            free = free_after_g(free, mould.rate_per_h, weather.between(time, use.pressed_h))
            time, free = use.out_h, min(mould.full_g, free + _taken(mould, use))
            filled = use.out_h if use.out_h > at_h else None
    free = free_after_g(free, mould.rate_per_h, weather.between(time, at_h))
    return Now(free, free / mould.dry_g, filled)


def _taken(mould: Mould, use: Use) -> float:
    return mould.uptake_g if use.uptake_g is None else use.uptake_g


def ready_h(mould: Mould, record: Record, now_h: float) -> float:
    """The first hour, from now on, at which the mould is empty and dry enough to press in."""
    weather = _Weather(record.spans)
    now = _present(mould, record, now_h, weather)
    empty_h = now_h if now.filled_until_h is None else now.filled_until_h
    need = hours_to_dry(now.free_g, mould.ready_g, mould.rate_per_h)
    return weather.hour_of(weather.at(empty_h) + need) if need else empty_h


def dried_between(mould: Mould, record: Record) -> list[Dried]:
    """What the weighings say on the rate: for each two that follow each other, what went and what was taken between."""
    uses, weather = _uses(record.uses), _Weather(record.spans)
    told = _believed(mould, record, uses)
    return [_dried(mould, weather, uses, a, b) for a, b in pairwise(told) if a.at_h < b.at_h]


def _dried(mould: Mould, weather: _Weather, uses: Sequence[Use], first: Weighing, second: Weighing) -> Dried:
    time, hours = first.at_h, 0.0
    taken: list[tuple[float, float]] = []
    for use in uses:
        if first.at_h <= use.pressed_h < second.at_h:
            hours += weather.between(time, use.pressed_h)
            taken.append((hours, _taken(mould, use)))
            time = use.out_h
    hours += weather.between(time, second.at_h)
    before, after = max(0.0, first.grams - mould.dry_g), second.grams - mould.dry_g
    return Dried(before, after, hours, mould.rate_per_h, tuple(taken))
