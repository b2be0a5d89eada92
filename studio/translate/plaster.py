"""Working moulds, and those that could be poured."""

from __future__ import annotations

from collections.abc import Iterable

from planner.scenario import Cast, Form, InMould, Mould, Person, Window
from studio.models import Cast as CastRow
from studio.models import FormTimings
from studio.models import Mould as MouldRow
from studio.queries.record import minute_of
from studio.record.state import MouldState, State
from studio.translate.chances import day_of_chance
from studio.translate.clock import Clock
from studio.translate.made import Notes
from studio.translate.moulds_water import Water, Waters
from studio.translate.rows import Rows
from studio.translate.steps import without_model

USUAL_LIFT = (45, 240)  # minutes after the pour; common practice


def moulds(
    rows: Rows, state: State, clock: Clock, forms: dict[str, Form], in_moulds: Iterable[InMould], notes: Notes
) -> tuple[Mould, ...]:
    """Moulds that can be pressed, and those that are filled even if they never can be again.

    A filled mould that no row tells of, or a row gives to another form, still holds what the record says.
    """
    filled = {m: w.form for w in in_moulds for m in w.moulds}
    now = minute_of(clock.start)
    waters = Waters(rows.studio, state, rows.moulds, _timings(rows, now))
    found: dict[str, Mould] = {}
    for row in rows.moulds:
        stands = state.moulds.get(row.public_id, MouldState(row.public_id))
        name = notes.name(row.public_id, f"{row.form.name} {row.number}")
        if row.public_id in filled:
            uses = 0 if stands.gone or row.retired_at else max(0, row.life - row.uses_before - stands.uses)
            found[row.public_id] = Mould(row.public_id, filled[row.public_id], None, min(uses, 10**6), name)
        elif not stands.gone and row.retired_at is None and row.form.public_id in forms:
            mould = notes.built(
                row.public_id,
                lambda: _empty(row, stands, waters.of(row, now), clock, name),  # noqa: B023
            )
            if mould is not None and mould.uses_left > 0:
                found[mould.id] = mould
    for mould_id, form in filled.items():
        found.setdefault(mould_id, Mould(mould_id, form, None, 0))
    return tuple(found.values())


def _timings(rows: Rows, now: int) -> dict[int, FormTimings]:
    found = {row.form_id: rows.timings_at(row.form.public_id, now) for row in rows.moulds}
    return {form: t for form, t in found.items() if t is not None}


def _empty(row: MouldRow, stands: MouldState, water: Water, clock: Clock, name: str | None) -> Mould:
    """Ready when it is dry enough by its own record, and not before its first day.

    One that is filled by the record, with ware that the planner cannot be told of, is as good as empty.
    """
    ready = clock.of_record(minute_of(row.ready_from) if water.ready is None else water.ready)
    return Mould(row.public_id, row.form.public_id, ready, max(0, row.life - row.uses_before - stands.uses), name)


def casts(
    rows: Rows,
    state: State,
    clock: Clock,
    forms: dict[str, Form],
    people: tuple[Person, ...],
    taken: set[str],
    notes: Notes,
) -> tuple[Cast, ...]:
    """Moulds that could be poured, or are poured and wait to be lifted; lifted ones are moulds.

    One that is pressed though nobody recorded its lifting is a mould too: ``taken`` are the ids of the moulds told.
    Of a form without a model none can be poured yet.
    """
    found = []
    waiting = without_model(rows, state)
    for row in rows.casts:
        stands = state.casts.get(row.public_id)
        poured = stands is not None and not stands.gone
        lifted = stands is not None and stands.lifted is not None
        if (
            lifted
            or row.public_id in taken
            or row.form.public_id not in forms
            or (not poured and (row.retired_at is not None or row.form.public_id in waiting))
        ):
            continue
        minute = clock.of_record(stands.poured) if stands is not None and poured else None
        name = notes.name(row.public_id, row.form.name)
        cast = notes.built(row.public_id, lambda: _cast(row, minute, people, name))  # noqa: B023
        if cast is not None:
            found.append(cast)
    return tuple(found)


def _cast(row: CastRow, poured: int | None, people: tuple[Person, ...], name: str | None) -> Cast:
    """Plaster that has stood in its frame too long lifts hard, but it lifts: the next chance is still in time."""
    lo, hi = row.lift_after or USUAL_LIFT
    if poured is not None and poured + hi < 0:
        end = day_of_chance(people, "lift", row.lift_min, 0)
        hi = max(hi, end - poured) if end is not None else hi
    # One that nobody can pour or lift is not asked for: it would leave the whole studio without a plan.
    work = (("pour", row.pour_min), ("lift", row.lift_min))
    can_be = all(day_of_chance(people, kind, minutes, 0) is not None for kind, minutes in work)
    return Cast(
        id=row.public_id, form=row.form.public_id, pour=row.pour_min, lift_after=Window(lo, hi), lift=row.lift_min,
        dry=row.dry_min, uses=row.uses, holds=tuple(dict.fromkeys(row.holds)), cost=row.cost,
        required=row.required and can_be, poured=poured, name=name,
    )  # fmt: skip
