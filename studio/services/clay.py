"""What a pressing is made with, put on record with it: the tool, and the clay with its ball and what is cut off."""

from __future__ import annotations

from typing import Any

from studio.models import Form
from studio.queries.bodies import body_of
from studio.queries.clay import balls_of
from studio.services.context import Context


def press_keys(ctx: Context, form: Form, batch: str | None = None) -> dict[str, Any]:
    """Tool and clay; of the clay nothing where none is known. ``batch`` is the one that a person names, else the one
    in use then."""
    tool, body = {"tool": form.tool.public_id}, body_of(ctx.studio, form)
    if body is None:
        return tool
    ball = balls_of(ctx.studio, [form])[form.public_id]
    said = {"clay": batch} if batch in ctx.state.clay else {}
    return {**tool, "body": body.public_id, "ball_g": ball.grams, "spare_g": ball.spare_g, **said}


def press_keys_of(ctx: Context, form: str) -> dict[str, Any]:
    """The same for a form by its public id; nothing where it is not the studio's any more."""
    row = Form.objects.filter(studio=ctx.studio, public_id=form).select_related("clay", "tool").first()
    return {} if row is None else press_keys(ctx, row)
