"""Forms, glazes and kilns as the planner wants them."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import Any

from planner.plan import TASK_KINDS
from planner.scenario import Boards, Form, Glaze, Kiln, Limit, Program, Shelving, Step, Window, Work
from studio.models import Form as FormRow
from studio.models import FormTimings, Studio
from studio.models import Glaze as GlazeRow
from studio.models import Kiln as KilnRow
from studio.record.state import State
from studio.translate.air import rest_minutes
from studio.translate.firings import known_of
from studio.translate.made import Notes
from studio.translate.rows import Rows
from studio.translate.times import Times
from studio.translate.waits import Waits, waits_of


def window(value: Any) -> Window | None:
    """A pair from the database, or None where there is none."""
    return Window(value[0], value[1]) if value else None


def steps_of(timings: FormTimings, waits: Waits) -> tuple[Step, ...]:
    """The leather-hard work, each kind once and none that is another task's name."""
    found: dict[str, Step] = {}
    for row, (after, wrapped) in zip(timings.steps, waits.steps, strict=True):
        if row["kind"] not in TASK_KINDS and row["kind"] not in found:
            work = Work(row["fixed"], row["each_s"])
            found[row["kind"]] = Step(row["kind"], work, Window(*after), window(wrapped))
    return tuple(found.values())


def forms(rows: Rows, state: State, now: int, in_use: set[str], kilns: Iterable[str], notes: Notes) -> dict[str, Form]:
    """Every form that is made, or of which something is ``in_use``, by the timings of now (a minute of the record)."""
    found = {}
    known = set(kilns)
    for row in rows.forms:
        if row.retired_at is not None and row.public_id not in in_use:
            continue
        timings = rows.timings_at(row.public_id, now)
        if timings is None:
            notes.leave_out(row.public_id, "no_timings")
            continue
        name = notes.name(row.public_id, row.name)
        form = notes.built(row.public_id, lambda: _form(rows.studio, state, row, timings, known, name))  # noqa: B023
        if form is not None:
            found[form.id] = form
    return found


def _form(studio: Studio, state: State, row: FormRow, t: FormTimings, kilns: set[str], name: str | None) -> Form:
    waits = waits_of(studio, row, t, state.remarks.get(row.public_id, ()))
    return Form(
        id=row.public_id, tool=row.tool.public_id, setup=row.tool.setup_min, recheck=row.tool.recheck_min,
        press=Work(0, t.press_s), release=Work(0, t.release_s), glaze=Work(0, t.glaze_s), finish=Work(0, t.finish_s),
        release_after=Window(*waits.open), release_after_covered=window(waits.covered),
        mould_rest=rest_minutes(studio, t), steps=steps_of(t, waits), dry=waits.dry,
        boards=Boards(t.green_per_board, t.glazed_per_board),
        bisque=_shelving(t.bisque, kilns), glost=_shelving(t.glost, kilns), glaze_dry=t.glaze_dry_min, name=name,
    )  # fmt: skip


def _shelving(said: dict[str, Any], kilns: set[str]) -> Shelving:
    """A kiln of which nobody said how many stand on a shelf, or none do, cannot take the form."""
    return Shelving(said["clearance_mm"], {k: n for k, n in said["per_shelf"].items() if k in kilns and n})


def glazes(rows: Rows, in_use: set[str], kilns: Iterable[Kiln], notes: Notes) -> dict[str, Glaze]:
    """Every glaze that is used, with the glost programs that some kiln has."""
    glost = {p.id for k in kilns for p in k.programs if p.stage == "glost"}
    found = {}
    for row in rows.glazes:
        if row.retired_at is None or row.public_id in in_use:
            name = notes.name(row.public_id, row.name)
            glaze = notes.built(row.public_id, lambda: _glaze(row, glost, name))  # noqa: B023
            if glaze is not None:
                found[glaze.id] = glaze
    return found


def _glaze(row: GlazeRow, glost: set[str], name: str | None) -> Glaze:
    programs = sorted(p.public_id for p in row.programs.all() if p.public_id in glost)
    return Glaze(row.public_id, row.fixed_min, tuple(programs), name)


def kilns(rows: Rows, times: Times, holding: set[str], notes: Notes) -> dict[str, Kiln]:
    """Every kiln that is used or holds something; without its limits, and free at 0: see :func:`settled_kilns`."""
    found = {}
    for row in rows.kilns:
        if row.retired_at is None or row.public_id in holding:
            name = notes.name(row.public_id, row.name)
            kiln = notes.built(row.public_id, lambda: _kiln(row, rows, times, notes, name))  # noqa: B023
            if kiln is not None:
                found[kiln.id] = kiln
    return found


def _kiln(row: KilnRow, rows: Rows, times: Times, notes: Notes, name: str | None) -> Kiln:
    programs = [] if row.retired_at is not None else _programs(rows, times.state, row.public_id, notes)
    return Kiln(
        id=row.public_id, stack_mm=row.stack_mm, shelf_mm=row.shelf_mm, shelves=row.shelves,
        load=row.load_min, unload=row.unload_min, free_at=0, start_spans=times.kiln_starts(row.public_id),
        closed=times.kiln_closed(row.public_id), programs=tuple(programs), limits=(), name=name,
    )  # fmt: skip


def _programs(rows: Rows, state: State, kiln: str, notes: Notes) -> list[Program]:
    found = []
    for timing in rows.programs.get(kiln, []):
        row = timing.program
        if row.retired_at is not None:
            continue
        name = notes.name(row.public_id, row.name)
        k = known_of(timing, state.firings.values())
        program = notes.built(
            f"{kiln}/{row.public_id}",
            lambda: Program(row.public_id, row.stage, k.fire.used, k.cool.used, k.kwh.used, name),  # noqa: B023
        )
        if program is not None:
            found.append(program)
    return found


def settled_kilns(
    kilns: dict[str, Kiln], rows: Rows, forms: dict[str, Form], filled: set[str], free_at: dict[str, int], notes: Notes
) -> tuple[Kiln, ...]:
    """The kilns with their limits, and null for when those that hold ware are free; others are free as told."""
    said = {row.public_id: row.limits for row in rows.kilns}
    return tuple(
        replace(
            k, free_at=None if k.id in filled else free_at.get(k.id, 0), limits=_limits(said[k.id], forms, k.id, notes)
        )
        for k in kilns.values()
    )


def _limits(said: list[dict[str, Any]], forms: dict[str, Form], kiln: str, notes: Notes) -> tuple[Limit, ...]:
    """Limits all of whose forms are made: another one cannot be reached. Loads that do go in are none."""
    found = []
    for i, row in enumerate(said):
        if row["counts"] and not row.get("fits") and all(f in forms for f in row["counts"]):
            limit = notes.built(f"{kiln}/limit {i}", lambda: Limit(row["stage"], dict(row["counts"])))  # noqa: B023
            if limit is not None:
                found.append(limit)
    return tuple(found)
