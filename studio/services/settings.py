"""The setting with which a form is pressed (tool, ball, stop): each change is a fact, and the form follows it."""

from __future__ import annotations

from studio.models import Form, Tool
from studio.queries.record import spoken_of
from studio.record.form import ABOUT_FACTS
from studio.record.state import State
from studio.services.context import Context


def keep_setting(ctx: Context, form: Form, was: tuple[str, int], stop: str | None = None) -> None:
    """Put the setting that ``form`` has now on record. ``was``: tool and ball before; ``stop`` None: as it was."""
    before = ctx.state.settings.get(form.public_id)
    said = stop if stop is not None else before.stop if before is not None else ""
    ctx.fact("setting", {
        "form": form.public_id, "tool": form.tool.public_id, "ball_g": form.ball_g, "stop": said,
        "was_tool": was[0], "was_ball_g": was[1],
    })  # fmt: skip


def follow_settings(ctx: Context, state: State) -> None:
    """After an undo or a correction: each form it speaks of gets the setting that counts now, or the one it had before
    there was any on record."""
    ids = {str(d.data["of"]) for d in ctx.drafts if d.kind in ABOUT_FACTS}
    for fact in (f for f in spoken_of(ctx.studio, ids) if f.kind == "setting"):
        form = Form.objects.filter(studio=ctx.studio, public_id=fact.data["form"]).select_related("tool").first()
        if form is None:
            continue
        there = state.settings.get(form.public_id)
        tool, ball = (there.tool, there.ball_g) if there else (fact.data["was_tool"], fact.data["was_ball_g"])
        row = Tool.objects.filter(studio=ctx.studio, public_id=tool).first() or form.tool
        if (row.pk, ball) != (form.tool_id, form.ball_g):
            form.tool, form.ball_g = row, ball
            ctx.touch(form)
