"""How much each profile tool has pressed, when its edge is to be looked at, and how it wears."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from django.utils.translation import gettext as _

from planner.craft import trial as craft
from planner.craft.ranges import OutOfRange
from studio import units
from studio.models import Form, Studio, Tool
from studio.queries.cards import local
from studio.queries.state import state_of
from studio.record.forms import untold
from studio.record.state import State, ToolState

WORN_MM = 0.5  # thicker than with the new edge: then it is reground; common practice, no source


@dataclass(frozen=True)
class ToolView:
    """A tool: pressings on record, those since its edge was last looked at, and what its sections say."""

    id: str
    name: str
    pressed: int
    since: int
    check_after: int
    checked: datetime | None
    reground: bool
    wear: str

    @property
    def due(self) -> bool:
        """Whether it is time to look at its edge."""
        return self.since >= self.check_after


def tools_of(studio: Studio, state: State | None = None) -> dict[str, ToolView]:
    """By public id, each profile tool that is in use."""
    state = state_of(studio) if state is None else state
    forms: dict[int, list[str]] = {}
    for tool, form in Form.objects.filter(studio=studio).order_by("pk").values_list("tool_id", "public_id"):
        forms.setdefault(tool, []).append(form)
    rows = Tool.objects.filter(studio=studio, retired_at=None).order_by("name")
    return {t.public_id: _view(t, state, forms.get(t.pk, ())) for t in rows}


def due_tools(studio: Studio, state: State) -> tuple[ToolView, ...]:
    """The tools whose edge is to be looked at."""
    return tuple(t for t in tools_of(studio, state).values() if t.due)


def _view(row: Tool, state: State, forms: Iterable[str]) -> ToolView:
    own = state.tools.get(row.public_id, ToolState(row.public_id))
    many = [own, *(state.tools[n] for f in forms if (n := untold(f)) in state.tools)]
    pressed, since = sum(t.pressed for t in many), sum(t.since for t in many)
    checked = local(own.checked) if own.checked is not None else None
    return ToolView(
        row.public_id, row.name, pressed, since, row.check_after, checked, own.what == "reground", _wear(own, pressed)
    )


def _wear(tool: ToolState, pressed: int) -> str:
    """A sentence on its wear after ``pressed`` pressings; nothing while too little was measured."""
    sections = [(at, tenths / 10) for at, tenths in tool.sections]
    try:
        wear = craft.tool_wear(sections, sections[0][1] + WORN_MM) if sections else None
    except OutOfRange:
        return ""
    if wear is None:
        return ""
    if wear.left is None:
        return _("The walls measured show no wear.")
    left = max(0, round(wear.left - (pressed - sections[-1][0]), -1))
    said = {"by": units.gauge(wear.per_thousand_mm), "left": left, "worn": units.gauge(WORN_MM)}
    text = _("The wall gets %(by)s thicker in a thousand pressings; %(worn)s more than new in some %(left)d.")
    return text % said
