"""How far the leather-hard work on a ware has come, and how long it may wait where it stands."""

from __future__ import annotations

from collections.abc import Sequence

from planner.scenario import Form, Step, Window
from studio.models import FormTimings
from studio.record.state import Ware
from studio.translate.rows import Rows


def mould_wait(ware: Ware, form: Form) -> tuple[Window, bool]:
    """How long ware stays in its moulds, and whether that is under a cover: without figures for it, it counts as open.
    """
    covered = form.release_after_covered if ware.covered_in_mould else None
    return covered or form.release_after, covered is not None


def work_waits(ware: Ware, todo: Sequence[Step]) -> tuple[list[Window], bool]:
    """How long ware waits for each leather-hard step still ``todo``, and whether that is wrapped.

    It counts as open where one of the steps has no figures for wrapped ware.
    """
    covered = [s.after_covered for s in todo if s.after_covered is not None]
    wrapped = ware.wrapped and len(covered) == len(todo)
    return covered if wrapped else [s.after for s in todo], wrapped


def softer(ask_at: int | None, end: int, earliest: int) -> int:
    """By how many minutes all is later where somebody found it still too soft: from ``end`` of the work before it to
    when it is asked again, beyond the ``earliest``. All in minutes of one clock."""
    return 0 if ask_at is None else max(0, ask_at - (end + earliest))


def timings_of(ware: Ware, rows: Rows) -> FormTimings | None:
    """The timings that were valid when it was pressed."""
    at = ware.pressed[0] if ware.pressed is not None else ware.last_end or 0
    return rows.timings_at(ware.form, at)


def steps_behind(ware: Ware, kinds: list[str], rows: Rows) -> int:
    """How many of its form's ``kinds`` of leather-hard work are behind a ware; all of them: it dries.

    Whoever did a later step has passed by the ones before it. A step that the form did not have when the ware was
    pressed is not asked of it.
    """
    if ware.dry_at is not None:
        return len(kinds)
    behind = max((i + 1 for i, kind in enumerate(kinds) if kind in ware.steps), default=0)
    timings = timings_of(ware, rows)
    asked = {row["kind"] for row in timings.steps} if timings is not None else set(kinds)
    while behind < len(kinds) and kinds[behind] not in asked:
        behind += 1
    return behind


def is_drying(ware: Ware, rows: Rows) -> bool:
    """Whether nothing leather-hard is left to do on a ware that is out of its moulds, by what its form has now."""
    timings = rows.timings.get(ware.form)
    kinds = [row["kind"] for row in timings[-1].steps] if timings else []
    return steps_behind(ware, kinds, rows) >= len(kinds)
