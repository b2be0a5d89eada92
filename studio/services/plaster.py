"""What a pour takes of plaster, put on record with it: by the mix that is kept for the form, or as a person says."""

from __future__ import annotations

from typing import Any

from studio.models import MouldMix
from studio.queries.plans import current_plan
from studio.queries.plaster import plaster_of
from studio.services.context import Context


def plaster_keys(ctx: Context, form: str, said_g: int | None = None) -> dict[str, Any]:
    """The key of a ``poured`` fact for the plaster used; nothing where no mix of the form is known."""
    if said_g is not None:
        return {"plaster_g": said_g}
    mix = MouldMix.objects.filter(studio=ctx.studio, form__public_id=form).first()
    grams = None if mix is None else plaster_of(mix)
    return {} if grams is None else {"plaster_g": grams}


def task_of(ctx: Context, cast: str, what: str) -> str | None:
    """The task of the plan in use that pours or lifts this cast (``what`` "pour" or "lift") and is not done yet."""
    live = current_plan(ctx.studio)
    planned = next((c for c in live.plan.casts if c.id == cast), None) if live else None
    task = getattr(planned, what) if planned else None
    return task if task and task not in ctx.state.done_tasks else None
