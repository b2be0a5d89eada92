"""What a pressing takes of clay, put on record with it: body, ball and what is cut off, so that none need be asked."""

from __future__ import annotations

from typing import Any

from studio.models import ClayBody, Form
from studio.queries.clay import balls_of
from studio.services.context import Context


def usual_body(ctx: Context) -> ClayBody | None:
    """The body of forms that name none."""
    rows = ClayBody.objects.filter(studio=ctx.studio, retired_at=None)
    return rows.order_by("-usual", "pk").first()


def press_keys(ctx: Context, form: Form, batch: str | None = None) -> dict[str, Any]:
    """``batch`` is the one that a person names, else the one in use then; nothing where no clay is known."""
    body = form.clay or usual_body(ctx)
    if body is None:
        return {}
    ball = balls_of(ctx.studio, [form])[form.public_id]
    said = {"clay": batch} if batch in ctx.state.clay else {}
    return {"body": body.public_id, "ball_g": ball.grams, "spare_g": ball.spare_g, **said}


def press_keys_of(ctx: Context, form: str) -> dict[str, Any]:
    """The same for a form by its public id; nothing where it is not the studio's any more."""
    row = Form.objects.filter(studio=ctx.studio, public_id=form).select_related("clay").first()
    return {} if row is None else press_keys(ctx, row)
