"""How damp each mould is and from when it can be pressed, from its own record (:mod:`planner.craft.mould_record`).

A form's moulds begin with constants that give back the rest that the studio knows: pressed in a steady rhythm, a mould
is ready after just that rest. One that rested longer before is ready sooner, one that was pressed early is ready later.
The present air is taken for the past days too, as it is for the rest: nobody keeps a record of the air.

A mould that was weighed, and of which a dry weight is known, goes by the scale; what it lost between two weighings says
how fast it dries, and what all moulds say is the studio's own rate, which the others go by. Nothing here fails: where
the craft says that something is out of its range, the usual rest holds.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache
from math import ceil, exp
from statistics import median

from planner.craft.estimates import Factor
from planner.craft.form_mould import usual_mould
from planner.craft.moisture import Basis, Moisture
from planner.craft.mould_rate import STUDIO_PRIOR, Dried, fit_rate, mould_prior, odd_ones
from planner.craft.mould_record import Record, Span, Use, dried_between, odd_weighings, present, ready_h
from planner.craft.moulds import ORDINARY_PA, Mould, Weighing, at_constant_weight, water_taken_g
from planner.craft.ranges import OutOfRange
from planner.craft.ware import EARLY, PRESSED
from studio.models import FormTimings, Studio
from studio.models import Mould as MouldRow
from studio.queries.record import minute_of
from studio.record.state import MouldState, State
from studio.translate.air import rest_minutes
from studio.translate.rows import latest_timings

LEAST, MOST = 0.5, 2.0  # of the rest: no record makes a mould ready sooner or later than that
DRY_A_BALL = 3.0  # grams of dry plaster to a gram of ball: common practice, no source
SPARE = 0.1  # of the ball, cut off at the rim: common practice, no source
FASTEST = 4.0  # times the usual rate, either way: beyond, the scale or the dry weight is wrong
END = 10**8  # minutes of the record: a pot in the mould, not out yet
PAIRS = 24  # of weighings, the last ones, that the studio's rate is learned from
DAMP, WET = 1.05, 2.0  # times the free water at which it can be pressed: from there it is damp, wet


@dataclass(frozen=True)
class Water:
    """One mould: the minute of the record from which it can be pressed (None: it is filled), how damp it is as a share
    of what is dry enough (None: nothing is known), and where that comes from."""

    ready: int | None = None
    damp: float | None = None
    weighings: int = 0  # believed ones of its own that it goes by
    others: int = 0  # pairs of weighings of other moulds that its rate goes by
    odd: tuple[tuple[int, int], ...] = ()  # weighings, minute and grams, that cannot be or lie far off
    constant: bool = False  # at constant weight by its last weighings

    @property
    def word(self) -> str:
        """One of "dry", "damp" and "wet"; an empty text where nothing is known."""
        if self.damp is None:
            return ""
        return "dry" if self.damp < DAMP else "damp" if self.damp < WET else "wet"


class Waters:
    """The moulds of a studio, with their forms; ``timings`` are those of now by the form's key. Makes no query."""

    def __init__(
        self, studio: Studio, state: State, rows: Iterable[MouldRow], timings: Mapping[int, FormTimings]
    ) -> None:
        self.state, self.rows = state, list(rows)
        self.rests = {k: (t.mould_rest_min, rest_minutes(studio, t)) for k, t in timings.items()}

    def of(self, row: MouldRow, now: int) -> Water:
        """The mould as it stands at a minute of the record."""
        stands = self.stands(row)
        rest, craft = self._rest(row)[1], self._craft(row)
        if craft is not None and rest:
            try:
                return self._reckoned(row, stands, craft, now)
            except OutOfRange:
                pass
        return _by_rest(row, stands, rest, now)

    def stands(self, row: MouldRow) -> MouldState:
        """The mould as the record has it."""
        return self.state.moulds.get(row.public_id) or MouldState(row.public_id)

    def _rest(self, row: MouldRow) -> tuple[int, int]:
        """Minutes of rest in an ordinary week, and in the present air."""
        return self.rests.get(row.form_id, (0, 0))

    def _reckoned(self, row: MouldRow, stands: MouldState, craft: Mould, now: int) -> Water:
        mould, seen, others = self._calibrated(row, craft)
        record = self._record(row, stands, craft)
        wrong = odd_weighings(mould, record)
        told = [w for w in record.weighings if w not in wrong]
        far = [w for w, (_, odd) in zip(told[1:], seen, strict=False) if odd]
        record = replace(record, weighings=tuple(w for w in told if w not in far))
        constant = is_constant(stands)
        odd = tuple((round(w.at_h * 60), round(w.grams)) for w in [*wrong, *far])
        if stands.emptied is None and stands.filled_by is None:
            ready = _first_ready(row, stands)
            return Water(ready, self._new(mould, record, ready, now), len(record.weighings), others, odd, constant)
        damp = present(mould, record, now / 60).free_g / mould.ready_g
        ready_at = _ready(mould, record, stands, self._rest(row)[1], now)
        if ready_at is not None:
            ready_at = max(ready_at, minute_of(row.ready_from))
            damp = min(damp, 1.0) if ready_at <= now else max(damp, DAMP)  # the bounds hold for the word too
        return Water(ready_at, damp, len(record.weighings), others, odd, constant)

    @staticmethod
    def _new(mould: Mould, record: Record, ready: int, now: int) -> float:
        """How damp a mould is that was never pressed: what leaves it dry enough when it is ready."""
        hours = (ready - now) / 60 * record.spans[0].deficit_pa / ORDINARY_PA
        return min(mould.full_g / mould.ready_g, exp(max(-20.0, min(20.0, mould.rate_per_h * hours))))

    def _record(self, row: MouldRow, stands: MouldState, craft: Mould) -> Record:
        """Just dry enough when it was first pressed, or, where all its uses are told, when it was first there.

        Without a dry weight of its own a weighing does not say how damp it is, so it is left out.
        """
        turns = [*stands.turns, *([(stands.filled_at, END)] if stands.filled_at is not None else [])]
        start = minute_of(row.ready_from)
        if turns and (stands.uses > len(turns) or turns[0][0] < start):
            start = turns[0][0]
        weighings = _weighings(stands) if own_dry_g(stands) is not None else ()
        air = Span(start / 60, _pulling(*self._rest(row)))
        return Record(start / 60, craft.ready_g, (air,), tuple(Use(a / 60, b / 60) for a, b in turns), weighings)

    @cached_property
    def _dry_by_form(self) -> dict[int, float]:
        """By form, the middle of the dry weights that were found."""
        found: dict[int, list[float]] = {}
        for row in self.rows:
            dry = own_dry_g(self.stands(row))
            if dry is not None:
                found.setdefault(row.form_id, []).append(dry)
        return {form: median(dry) for form, dry in found.items()}

    def _craft(self, row: MouldRow) -> Mould | None:
        """The constants to begin with; None outside the range of the craft."""
        ball = row.form.ball_g
        dry = own_dry_g(self.stands(row)) or self._dry_by_form.get(row.form_id, DRY_A_BALL * ball)
        return _craft_mould(dry, ball, self._rest(row)[0])

    @cached_property
    def _pairs(self) -> dict[str, tuple[Dried, ...]]:
        """By mould, what its weighings say of its rate."""
        found = {}
        for row in self.rows:
            stands = self.stands(row)
            if len(_weighings(stands)) < 2 or not all(self._rest(row)):
                continue
            craft = self._craft(row)
            try:
                found[row.public_id] = tuple(dried_between(craft, self._record(row, stands, craft))) if craft else ()
            except OutOfRange:
                continue
        return {mould: pairs for mould, pairs in found.items() if pairs}

    @cached_property
    def _studio(self) -> tuple[Factor, int]:
        """The studio's own factor on the usual rates, and from how many pairs."""
        pairs = [p for of_mould in self._pairs.values() for p in of_mould][-PAIRS:]
        return _fitted(tuple(pairs), STUDIO_PRIOR), len(pairs)

    def _calibrated(self, row: MouldRow, craft: Mould) -> tuple[Mould, list[tuple[Dried, bool]], int]:
        """The mould at its own rate; its pairs with whether each lies far off; how many pairs of others count."""
        studio, pairs = self._studio
        own = self._pairs.get(row.public_id, ())
        factor = _fitted(own, mould_prior(studio))
        odd = set(odd_ones(own, factor)) if own else set()
        times = min(FASTEST, max(1 / FASTEST, factor.median))
        seen = [(pair, i in odd) for i, pair in enumerate(own)]
        return replace(craft, rate_per_h=craft.rate_per_h * times), seen, pairs - len(own)


def waters_of(studio: Studio, state: State) -> Waters:
    """All the studio's moulds by their present timings: two queries."""
    rows = MouldRow.objects.filter(studio=studio).select_related("form").order_by("number")
    return Waters(studio, state, rows, latest_timings(studio))


@lru_cache(maxsize=512)
def _fitted(seen: tuple[Dried, ...], prior: Factor) -> Factor:
    return fit_rate(seen, prior)


@lru_cache(maxsize=512)
def _craft_mould(dry_g: float, ball_g: int, rest_min: int) -> Mould | None:
    try:
        pressed, out = Moisture(PRESSED, Basis.DRY), Moisture(EARLY, Basis.DRY)
        return usual_mould(dry_g, water_taken_g(ball_g, SPARE * ball_g, pressed, out), rest_min / 60)
    except OutOfRange:
        return None


def own_dry_g(stands: MouldState) -> float | None:
    """The dry weight of this mould: as a person said, else its weight once that was constant; None if neither."""
    if stands.dry is not None:
        return float(stands.dry[1])
    weighings = _weighings(stands)
    found = [w.grams for n, w in enumerate(weighings, 1) if _is_constant(stands, weighings[:n])]
    return min(found) if found else None


def is_constant(stands: MouldState) -> bool:
    """Whether it has come to constant weight by its last weighings."""
    return _is_constant(stands, _weighings(stands))


def _is_constant(stands: MouldState, weighings: tuple[Weighing, ...]) -> bool:
    """Constant weight by the last of ``weighings``, with no use since the first of those that are compared."""
    if not weighings:
        return False
    last = [stands.filled_at, *(out for _, out in stands.turns)]
    used = max((m / 60 for m in last if m is not None and m / 60 <= weighings[-1].at_h), default=0.0)
    return at_constant_weight([w for w in weighings if w.at_h >= used])


def _weighings(stands: MouldState) -> tuple[Weighing, ...]:
    """Those of 10 g and more, which is what the craft takes."""
    told = dict([*([stands.dry] if stands.dry is not None else []), *stands.grams])
    return tuple(Weighing(at / 60, float(grams)) for at, grams in sorted(told.items()) if grams >= 10)


def _pulling(usual: int, rest: int) -> float:
    """The deficit in which a mould needs ``rest`` where it needs ``usual`` in an ordinary week."""
    return min(20_000.0, max(10.0, ORDINARY_PA * usual / rest))


def _ready(mould: Mould, record: Record, stands: MouldState, rest: int, now: int) -> int | None:
    """From the last that is known of the mould, so that time that passes alone does not move it."""
    if stands.filled_by is not None or stands.emptied is None:
        return None
    weighed = max((round(w.at_h * 60) for w in record.weighings if w.at_h * 60 <= now), default=0)
    last = max(stands.emptied, weighed)
    ready = ceil(ready_h(mould, record, last / 60) * 60 - 1e-3)
    return min(last + int(MOST * rest), max(stands.emptied + ceil(LEAST * rest), ready))


def _first_ready(row: MouldRow, stands: MouldState) -> int:
    """A new mould can be pressed from its first day, or once it is at constant weight if that comes before."""
    first, weighings = minute_of(row.ready_from), _weighings(stands)
    return min(first, round(weighings[-1].at_h * 60)) if is_constant(stands) else first


def _by_rest(row: MouldRow, stands: MouldState, rest: int, now: int) -> Water:
    """As the usual rest alone has it."""
    if stands.filled_by is not None:
        return Water()
    ready = _first_ready(row, stands)
    if stands.emptied is not None:
        ready = max(minute_of(row.ready_from), stands.emptied + rest)
    return Water(ready, 1.0 if ready <= now else DAMP, constant=is_constant(stands))
