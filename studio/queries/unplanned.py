"""What can be recorded although no plan asked for it: pressing, and the next step of whatever stands there."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from studio import words
from studio.faults import Fault, faults_seen
from studio.models import Form, FormTimings, Glaze, OrderLine, Studio
from studio.queries.cards import local, names_of
from studio.queries.choices import Choices, glaze_choices
from studio.queries.state import state_of
from studio.record.followed import GLOST, GREEN, OUT
from studio.record.state import BISQUED, FIRED, IN_MOULD, LEATHER, Ware


@dataclass(frozen=True)
class Standing:
    """Ware with what may be done to it now: ``step`` is the next leather-hard work, if any is left."""

    id: str
    name: str
    pot: str
    count: int
    since: datetime | None
    step: str = ""
    todo: str = ""


@dataclass(frozen=True)
class Fired:
    """Fired ware of one order line, or of one form and glaze for stock."""

    name: str
    pot: str
    count: int
    order: str
    form: str
    glaze: str
    whose: str


@dataclass(frozen=True)
class LineChoice:
    id: str
    name: str


@dataclass(frozen=True)
class Unplanned:
    forms: tuple[Form, ...]
    filled: tuple[Standing, ...]
    leather: tuple[Standing, ...]
    bisqued: tuple[tuple[Form, int], ...]
    glazes: Choices
    lines: dict[str, tuple[LineChoice, ...]]  # by form
    fired: tuple[Fired, ...]

    @property
    def faults(self) -> dict[str, tuple[Fault, ...]]:
        """What can be seen at each of the works that end a stage."""
        return {"out": faults_seen(OUT), "green": faults_seen(GREEN), "glost": faults_seen(GLOST)}


def unplanned_of(studio: Studio) -> Unplanned:
    """All of it, from where everything stands now."""
    state, names = state_of(studio), names_of(studio)
    steps = _steps(studio)
    wares = sorted((w for w in state.ware.values() if w.count > 0), key=lambda w: (names.form(w.form), w.id))
    forms = tuple(f for f in sorted(names.forms.values(), key=lambda f: f.name) if f.retired_at is None)

    def standing(ware: Ware) -> Standing:
        since = ware.released[1] if ware.released else ware.pressed[0] if ware.pressed else None
        step = next((k for k in steps.get(ware.form, []) if k not in ware.steps), "")
        todo = words.todo(step, n=ware.count, thing=names.form(ware.form)) if step else ""
        at = local(since) if since is not None else None
        return Standing(ware.id, names.form(ware.form), names.pot(ware.form), ware.count, at, step, todo)

    leather = tuple(standing(w) for w in wares if w.stage == LEATHER)
    bisqued = [(f, sum(w.count for w in wares if w.stage == BISQUED and w.form == f.public_id)) for f in forms]
    return Unplanned(
        forms=forms, filled=tuple(standing(w) for w in wares if w.stage == IN_MOULD),
        leather=tuple(s for s in leather if s.step), bisqued=tuple((f, n) for f, n in bisqued if n),
        glazes=glaze_choices(studio), lines=_lines(studio),
        fired=_fired([w for w in wares if w.stage == FIRED], studio),
    )  # fmt: skip


def _steps(studio: Studio) -> dict[str, list[str]]:
    """By form, the kinds of its leather-hard work in order, by its latest timings."""
    rows = FormTimings.objects.filter(studio=studio).order_by("valid_from").values_list("form__public_id", "steps")
    return {form: [s["kind"] for s in steps] for form, steps in rows}


def _lines(studio: Studio) -> dict[str, tuple[LineChoice, ...]]:
    """Open order lines by form."""
    open_lines = OrderLine.objects.filter(
        studio=studio, cancelled_at=None, order__cancelled_at=None, order__closed_at=None
    ).select_related("form", "glaze", "order__customer")
    found: dict[str, tuple[LineChoice, ...]] = {}
    for line in open_lines.order_by("order__due", "pk"):
        name = f"{line.order.customer.name}, {line.qty} × {line.glaze.name}"
        found[line.form.public_id] = (*found.get(line.form.public_id, ()), LineChoice(line.public_id, name))
    return found


def _fired(wares: list[Ware], studio: Studio) -> tuple[Fired, ...]:
    names = names_of(studio)
    glazes = dict(Glaze.objects.filter(studio=studio).values_list("public_id", "name"))
    counts: dict[tuple[str, str, str], int] = {}
    for w in wares:
        key = (w.order or "", w.form, w.glaze or "")
        counts[key] = counts.get(key, 0) + w.count
    return tuple(
        Fired(
            f"{names.form(form)}, {glazes[glaze]}" if glaze in glazes else names.form(form), names.pot(form), n,
            order, form, glaze, names.customer(order),
        )
        for (order, form, glaze), n in counts.items()
    )  # fmt: skip
