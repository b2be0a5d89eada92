"""The setting with which a form is pressed (ball, tool, stop), and those that it had before."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from studio import words
from studio.models import Form, Studio, Tool
from studio.queries.cards import local
from studio.queries.record import settled_of
from studio.queries.state import state_of

KEPT = 12  # of the last settings on the page


@dataclass(frozen=True)
class SettingView:
    """One setting in words, and since when it was used."""

    since: datetime
    said: str


@dataclass(frozen=True)
class FormSetting:
    """What holds now; ``since`` None where nobody ever said it. ``before``: the others, the last first."""

    said: str
    ball_g: int
    tool: str
    tool_name: str
    stop: str
    since: datetime | None
    before: tuple[SettingView, ...]

    def same(self, ball_g: int, tool: str, stop: str) -> bool:
        """Whether this is the setting told (its tool by name)."""
        return (self.ball_g, self.tool_name, self.stop) == (ball_g, tool, stop)


def setting_of(studio: Studio, form: Form) -> FormSetting:
    """The setting of a form."""
    there = state_of(studio).settings.get(form.public_id)
    stop = there.stop if there is not None else ""
    facts = settled_of(studio, "setting", data__form=form.public_id)[::-1]
    tools = dict(Tool.objects.filter(studio=studio).values_list("public_id", "name"))
    before = tuple(
        SettingView(local(f.happened), words.setting(f.data["ball_g"], tools.get(f.data["tool"], ""), f.data["stop"]))
        for f in facts[1 : 1 + KEPT]
    )
    return FormSetting(
        words.setting(form.ball_g, form.tool.name, stop), form.ball_g, form.tool.public_id, form.tool.name, stop,
        local(there.at) if there is not None else None, before,
    )  # fmt: skip
