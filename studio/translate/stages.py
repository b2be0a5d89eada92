"""How far the leather-hard work on a ware has come."""

from __future__ import annotations

from studio.models import FormTimings
from studio.record.state import Ware
from studio.translate.rows import Rows


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
