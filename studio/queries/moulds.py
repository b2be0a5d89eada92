"""The working moulds by form: ready, filled, resting, worn, cracked; and those that are being made."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from studio.models import Cast, Form, Mould, Studio
from studio.queries.cards import local
from studio.queries.plans import current_plan
from studio.queries.record import minute_of
from studio.queries.state import state_of
from studio.record.state import CastState, MouldState, State
from studio.translate.air import cupboard_of, plaster_warning, rest_minutes
from studio.translate.moulds_water import Water, Waters
from studio.translate.rows import latest_timings
from studio.words import Text

READY, FILLED, RESTING, WORN, CRACKED, RETIRED = "ready", "filled", "resting", "worn", "cracked", "retired"
NAMES: dict[str, Text] = {
    READY: gettext_lazy("dry enough"), FILLED: gettext_lazy("filled"), RESTING: gettext_lazy("resting"),
    WORN: gettext_lazy("worn"), CRACKED: gettext_lazy("cracked"), RETIRED: gettext_lazy("put away"),
}  # fmt: skip
DAMP_NAMES: dict[str, Text] = {
    "dry": gettext_lazy("dry"), "damp": gettext_lazy("damp"), "wet": gettext_lazy("wet"), "": gettext_lazy("not known"),
}  # fmt: skip
GONE = (CRACKED, RETIRED)
UNKNOWN = Water()
TALL = 40  # height of the picture of uses


@dataclass(frozen=True)
class MouldView:
    """One mould; ``until`` is when a resting one is dry enough, or when a gone one went."""

    id: str
    number: int
    how: str
    uses: int
    life: int
    until: datetime | None = None
    version: int = 1
    grams: int | None = None  # as it was weighed last
    water: Water = UNKNOWN

    @property
    def name(self) -> str:
        return str(NAMES[self.how])

    @property
    def damp(self) -> str:
        """How damp it is, where that is known: "dry", "damp" or "wet"."""
        return "" if self.how in (*GONE, FILLED) else self.water.word

    @property
    def damp_name(self) -> str:
        return str(DAMP_NAMES[self.damp])

    @property
    def source(self) -> str:
        """Where its dampness comes from."""
        n = self.water.weighings
        if n:
            return ngettext("from %(n)d weighing", "from %(n)d weighings", n) % {"n": n}
        return _("from weighings of others") if self.water.others else _("from the usual rest")

    @property
    def odd(self) -> tuple[tuple[datetime, int], ...]:
        """Weighings that cannot be or lie far off: when, and grams."""
        return tuple((local(at), grams) for at, grams in self.water.odd)

    @property
    def high(self) -> float:
        """Its bar in the picture of uses."""
        return round(min(1.0, self.uses / self.life) * TALL, 1) if self.life else 0.0


@dataclass(frozen=True)
class Bar:
    mould: MouldView
    x: int
    y: float


@dataclass(frozen=True)
class CastView:
    """A mould that could be poured, is poured, or is drying; ``planned`` is the pour or lift of the plan in use."""

    id: str
    version: int
    required: bool
    poured: datetime | None = None
    lift_from: datetime | None = None
    lift_until: datetime | None = None
    planned: datetime | None = None


@dataclass(frozen=True)
class FormView:
    """A form with its moulds in the order of their numbers, gone ones last."""

    form: Form
    moulds: tuple[MouldView, ...]
    casts: tuple[CastView, ...] = ()
    rest: int = 0  # minutes that a mould rests this week
    cupboard: bool = False  # it dries in the drying cupboard
    plaster: str = ""  # what to say where that is too warm for plaster

    def of(self, how: str) -> tuple[MouldView, ...]:
        return tuple(m for m in self.moulds if m.how == how)

    @property
    def left(self) -> tuple[MouldView, ...]:
        return tuple(m for m in self.moulds if m.how not in GONE)

    @property
    def gone(self) -> tuple[MouldView, ...]:
        return tuple(m for m in self.moulds if m.how in GONE)

    @property
    def ready(self) -> int:
        return len(self.of(READY))

    @property
    def filled(self) -> int:
        return len(self.of(FILLED))

    @property
    def worn(self) -> int:
        return len(self.of(WORN))

    @property
    def cracked(self) -> int:
        return len(self.of(CRACKED))

    @property
    def resting(self) -> tuple[tuple[int, datetime], ...]:
        """So many, and when they are dry enough."""
        at: dict[datetime, int] = {}
        for m in self.of(RESTING):
            if m.until is not None:
                at[m.until] = at.get(m.until, 0) + 1
        return tuple((n, when) for when, n in sorted(at.items()))

    @property
    def bars(self) -> tuple[Bar, ...]:
        return tuple(Bar(m, 12 * i, round(TALL - m.high, 1)) for i, m in enumerate(self.left))

    @property
    def wide(self) -> int:
        return max(12, 12 * len(self.left))

    @property
    def spread(self) -> tuple[int, int]:
        """Fewest and most uses of those that are left."""
        uses = [m.uses for m in self.left]
        return (min(uses), max(uses)) if uses else (0, 0)


def moulds_of(studio: Studio, *, now: datetime, form: str = "") -> tuple[FormView, ...]:
    """All forms with their moulds, or the one of that id; forms that are put away only while they have moulds."""
    rows = Form.objects.filter(studio=studio).order_by("name")
    forms = list(rows.filter(public_id=form) if form else rows)
    state = state_of(studio)
    timings = latest_timings(studio)
    moulds, casts = _by_form(Mould, studio), _by_form(Cast, studio)
    planned = planned_casts(studio)
    waters = Waters(studio, state, [m for of_form in moulds.values() for m in of_form], timings)
    views = []
    for row in forms:
        t = timings.get(row.pk)
        rest = rest_minutes(studio, t) if t is not None else 0
        many = [_mould(m, state, waters, now) for m in moulds.get(row.pk, [])]
        many.sort(key=lambda m: (m.how in GONE, m.number))
        pours = [_cast(c, state.casts.get(c.public_id), planned) for c in casts.get(row.pk, [])
                 if c.retired_at is None and not _is_over(state.casts.get(c.public_id))]  # fmt: skip
        in_it = row.in_cupboard and cupboard_of(studio) is not None
        view = FormView(row, tuple(many), tuple(pours), rest, in_it, plaster_warning(studio) if in_it else "")
        if row.retired_at is None or view.left or form:
            views.append(view)
    return tuple(views)


def _by_form(model: type[Mould] | type[Cast], studio: Studio) -> dict[int, list]:  # type: ignore[type-arg]
    found: dict[int, list] = {}  # type: ignore[type-arg]
    for row in model.objects.filter(studio=studio).select_related("form").order_by("pk"):
        found.setdefault(row.form_id, []).append(row)
    return found


def _mould(row: Mould, state: State, waters: Waters, now: datetime) -> MouldView:
    stands = state.moulds.get(row.public_id, MouldState(row.public_id))
    uses = row.uses_before + stands.uses
    water = waters.of(row, minute_of(now))
    how, until = _how(row, stands, uses, water, now)
    grams = max(stands.grams)[1] if stands.grams else None
    return MouldView(row.public_id, row.number, how, uses, row.life, until, row.version, grams, water)


def _how(row: Mould, stands: MouldState, uses: int, water: Water, now: datetime) -> tuple[str, datetime | None]:
    if stands.gone is not None:
        at = local(stands.gone_at) if stands.gone_at is not None else None
        return (CRACKED if stands.gone == CRACKED else RETIRED), at
    if row.retired_at is not None:
        return RETIRED, row.retired_at
    if stands.filled_by is not None:
        return FILLED, None
    if uses >= row.life:
        return WORN, None
    dry = local(water.ready) if water.ready is not None else row.ready_from
    return (READY, None) if dry <= now else (RESTING, dry.replace(second=0, microsecond=0))


def _is_over(stands: CastState | None) -> bool:
    """Whether it is a mould by now; one that failed can be poured again."""
    return stands is not None and stands.lifted is not None and not stands.gone


def planned_casts(studio: Studio) -> dict[str, datetime]:
    """By cast, when the plan in use pours it, or lifts it if it is poured."""
    live = current_plan(studio)
    if live is None:
        return {}
    return {c.id: live.when(live.plan.task[c.pour or c.lift].start) for c in live.plan.casts}


def _cast(row: Cast, stands: CastState | None, planned: dict[str, datetime]) -> CastView:
    view = CastView(row.public_id, row.version, row.required, planned=planned.get(row.public_id))
    if stands is None or stands.gone:
        return view
    poured = local(stands.poured)
    lo, hi = row.lift_after or (0, 0)
    return CastView(
        row.public_id, row.version, row.required, poured, poured + timedelta(minutes=lo),
        poured + timedelta(minutes=hi), view.planned,
    )  # fmt: skip
