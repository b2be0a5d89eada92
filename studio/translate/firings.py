"""How long a firing takes in a kiln, how long that kiln cools after it and what it uses: put in, and as recorded.

The studio's own figures are where it begins. What was read off recorded firings moves them: each figure is drawn from
what was put in to what the record shows, odd readings counting less (:mod:`planner.craft.firing` and
:mod:`planner.craft.cooling`). It is planned with the learned figure once ``ENOUGH`` firings say it, unless the studio
keeps its own. Nothing here fails: where the craft says that something is out of its range, what was put in holds.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from math import ceil, exp, log, sqrt
from statistics import NormalDist

from planner.craft.cooling import Cooling, Reading, fitted, hours_to, opens_after
from planner.craft.firing import Segment, energy_kwh, learned, metered_kwh, minutes, shares_of_power, top
from planner.craft.ranges import OutOfRange
from studio.models import Kiln, KilnProgram, Program
from studio.record.state import FiringState

ENOUGH = 3  # firings that say a figure before it is planned with
LAST = 24  # firings that it is learned from
USUAL_TOP_C = {"bisque": 1000.0, "glost": 1240.0}  # common practice, where no ramps are put in
LEAST_TOP_C = 400.0  # below, no ware is fired
LEAST_OFF_C = 150.0  # steps that cool a kiln further than that leave no cooling of its own to speak of
ROOM_C = 20.0
POSSIBLE = (0.25, 4.0)  # times what was put in: beyond, an entry would rather be a slip of the pen
BOUND = 2.0  # times what was put in, either way, that is ever planned with
STEP = 30  # minutes that a learned time is rounded up to, so that one firing more does not upset a plan
SOONEST_H = 0.25  # after it went off, as the craft has it
WARMER_C = 25.0  # than the room: nearer to it, the room's own warmth is most of a reading
SURE = 0.9  # of the times that a kiln is as cool as is said
AGAIN = 0.1  # how much the cooling differs from one firing to the next, in the logarithm: common practice, no source
LEVEL = NormalDist().inv_cdf(0.95)  # 9 times in 10 between the two ends


@dataclass(frozen=True)
class Figure:
    """Minutes or kWh: as put in, and as ``firings`` on record say (None: none does), 9 times in 10 within ``between``.

    ``used``: what it is planned with.
    """

    entered: int
    learned: int | None = None
    between: tuple[int, int] = (0, 0)
    firings: int = 0
    used: int = 0
    odd: int = 0  # readings that cannot be, and are left out

    @property
    def by_record(self) -> bool:
        """Whether it is planned with what the record says."""
        return self.learned is not None and self.used == self.learned and self.firings >= ENOUGH


@dataclass(frozen=True)
class Known:
    """One program in one kiln. ``cooling`` is what its opening is reckoned by."""

    row: KilnProgram
    fire: Figure
    cool: Figure
    kwh: Figure
    cooling: Cooling

    @property
    def open_c(self) -> float:
        """The temperature at which it may be opened."""
        return opening_c(self.row.kiln)


def opening_c(kiln: Kiln) -> float:
    """The temperature at which the kiln may be opened."""
    return kiln.open_tenths_c / 10


def segments_of(program: Program) -> tuple[Segment, ...]:
    """The ramps of a program as the craft takes them; none where they are not put in, or out of its range."""
    try:
        return tuple(Segment(r["rate"] / 10, r["target"] / 10, r["hold"]) for r in program.ramps)
    except OutOfRange:
        return ()


def top_of(program: Program) -> float:
    """The highest temperature of its ramps, where that fires ware, else the usual one of its stage."""
    segments = segments_of(program)
    hottest = top(segments, ROOM_C).celsius if segments else 0.0
    return hottest if hottest >= LEAST_TOP_C else USUAL_TOP_C[program.stage]


def off_of(program: Program) -> float:
    """The temperature at which it goes off: its highest, or lower where its last steps cool the kiln slowly."""
    segments, hottest = segments_of(program), top_of(program)
    last = segments[-1].target_c if segments else hottest
    return min(hottest, max(last, LEAST_OFF_C))


def reckoned_minutes(program: Program) -> int | None:
    """From the start to the end of the last ramp and hold; None without ramps."""
    segments = segments_of(program)
    return round(minutes(segments, ROOM_C)) if segments else None


def reckoned_kwh(row: KilnProgram) -> int | None:
    """By the kiln's plate and the usual share of time that the elements are on; None without the power."""
    if row.kiln.power_tenths_kw is None:
        return None
    segments = segments_of(row.program)
    try:
        parts = shares_of_power(row.program.stage, segments, row.fire_min / 60, ROOM_C)
        return round(energy_kwh(row.kiln.power_tenths_kw / 10, parts))
    except OutOfRange:
        return None


def known_of(row: KilnProgram, firings: Iterable[FiringState]) -> Known:
    """What is known of a program in its kiln, from those of ``firings`` that are of both."""
    ours = [f for f in firings if (f.kiln, f.program) == (row.kiln.public_id, row.program.public_id) and not f.implied]
    last = sorted(ours, key=lambda f: f.packed)[-LAST:]
    fire = _figure(row.fire_min, row.fire_min, [x for f in last if (x := _took(f)) is not None], row.keeps, STEP)
    said = [x for f in last if (x := kwh_of(f)) is not None]
    base = row.kwh or reckoned_kwh(row) or (sorted(said)[len(said) // 2] if said else 0)
    cool, cooling = _cooling(row, last, fire.used)
    kwh = _figure(row.kwh, base, said, row.keeps, 1)
    return Known(row, fire, cool, kwh, cooling)


def _took(firing: FiringState) -> float | None:
    """Minutes from its start to its end, if somebody told both."""
    if firing.off is None or firing.lit is None or firing.lit_guessed or firing.off <= firing.lit:
        return None
    return firing.off - firing.lit


def kwh_of(firing: FiringState) -> float | None:
    """What it used, as said or by the meter; None where nobody said, or the meter went backwards."""
    if firing.used is not None:
        return firing.used / 10 or None
    try:
        return metered(firing.meter_before, firing.meter_after) or None
    except OutOfRange:
        return None


def metered(before: int | None, after: int | None) -> float | None:
    """kWh between two readings in tenths, None unless both were told; OutOfRange where the meter went backwards."""
    return None if before is None or after is None else metered_kwh(before / 10, after / 10)


def _figure(entered: int, base: float, said: list[float], keeps: bool, step: int) -> Figure:
    """``base``: what the record is compared with, since nothing may be put in."""
    likely = [x for x in said if base and POSSIBLE[0] <= x / base <= POSSIBLE[1]]
    odd = len(said) - len(likely)
    if not likely:
        return Figure(entered, used=entered, odd=odd)
    factor = learned([(base, x) for x in likely])
    low, high = factor.between(0.9)
    times = min(BOUND, max(1 / BOUND, factor.usual))
    found = max(1, ceil(base * times / step - 1e-9) * step) if step > 1 else round(base * times)
    used = found if len(likely) >= ENOUGH and not keeps else entered
    return Figure(entered, found, (round(base * low), round(base * high)), len(likely), used, odd)


def _entered_cooling(row: KilnProgram) -> Cooling:
    """The cooling time that gives back the hours put in; the usual one where they give none."""
    fallen = log((off_of(row.program) - ROOM_C) / (opening_c(row.kiln) - ROOM_C))
    try:
        return Cooling(row.cool_min / 60 / fallen)
    except OutOfRange:
        return Cooling()


def _cooling(row: KilnProgram, firings: list[FiringState], fire: int) -> tuple[Figure, Cooling]:
    before = _entered_cooling(row)
    told = [(f, readings_of(f, fire, row.program)) for f in firings]
    odd = sum(len(_telling(f, fire)) - len(found) for f, found in told)
    readings = [r for _f, found in told for r in found]
    if not readings:
        return Figure(row.cool_min, used=row.cool_min, odd=odd), before
    cooling, n = fitted(readings, before), sum(1 for _f, found in told if found)
    wide, from_c = exp(LEVEL * cooling.spread), off_of(row.program)
    usual = hours_to(opening_c(row.kiln), from_c, ROOM_C, cooling) * 60
    base = row.cool_min or usual
    found = ceil(min(BOUND * base, max(base / BOUND, surely(cooling, from_c, opening_c(row.kiln)))) / STEP) * STEP
    used = found if n >= ENOUGH and not row.keeps else row.cool_min
    figure = Figure(row.cool_min, found, (round(usual / wide), round(usual * wide)), n, used, odd)
    return figure, before if row.keeps else cooling


def surely(cooling: Cooling, from_c: float, open_c: float) -> float:
    """Minutes from ``from_c`` in which the next firing is as cool as ``open_c``, 9 times in 10."""
    return 60 * opens_after(from_c, ROOM_C, _one_time(cooling), open_c, SURE)[1]


def _one_time(cooling: Cooling) -> Cooling:
    """The cooling of a single firing of the kiln, before anything was read off it."""
    return replace(cooling, spread=sqrt(cooling.spread**2 + AGAIN**2))


def ended(firing: FiringState, fire: int) -> int | None:
    """The minute at which its top and the hold there were over: as told, else as long after its start as usual."""
    if firing.lit is None:
        return None
    return firing.off if firing.off is not None and firing.off > firing.lit else firing.lit + fire


def readings_of(firing: FiringState, fire: int, program: Program) -> list[Reading]:
    """Those of its temperatures that tell of its cooling, as the craft takes them."""
    from_c = off_of(program)
    if firing.top is not None and from_c == top_of(program):
        from_c = firing.top / 10
    found = []
    for hours, celsius in _telling(firing, fire):
        try:
            found.append(Reading(hours, celsius, from_c, ROOM_C))
        except OutOfRange:
            continue
    return found


def _telling(firing: FiringState, fire: int) -> list[tuple[float, float]]:
    """Its temperatures, with the hours since it went off, that could tell of its cooling: not those while it heated,
    nor near the room's own, which all kilns come to."""
    end = ended(firing, fire)
    if end is None or (firing.lit_guessed and firing.off is None):
        return []
    told = [((minute - end) / 60, tenths / 10) for minute, tenths in firing.reads]
    return [(h, c) for h, c in told if h >= SOONEST_H and c >= ROOM_C + WARMER_C]


def opens_at(firing: FiringState, known: Known) -> tuple[int, int] | None:
    """The minutes at which a firing reaches its end and may be opened; by what was read off it, if anything was.

    None for one that is not lit.
    """
    end = ended(firing, known.fire.used)
    if end is None:
        return None
    opens = end + known.cool.used
    after = [(m, t / 10) for m, t in firing.reads if m > end and t / 10 > ROOM_C]
    if not after:
        return end, opens
    minute, celsius = after[-1]
    if celsius <= known.open_c:
        return end, next(m for m, c in after if c <= known.open_c)
    readings = readings_of(firing, known.fire.used, known.row.program)
    try:
        cooling = fitted(readings, _one_time(known.cooling))
        return end, minute + ceil(60 * opens_after(celsius, ROOM_C, cooling, known.open_c, SURE)[1])
    except OutOfRange:
        return end, opens
