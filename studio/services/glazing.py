"""Which batch of glaze is meant: the one that was said, or the one in use."""

from __future__ import annotations

from django.utils.translation import gettext as _

from studio.record.glazes import batch_in_use
from studio.record.state import GlazeBatch
from studio.services.answers import NOT_FOUND, Refused
from studio.services.context import Context


def batch_of(ctx: Context, batch_id: str) -> GlazeBatch:
    """A batch of glaze on record."""
    batch = ctx.state.glaze_batches.get(batch_id)
    if batch is None:
        raise Refused(
            _("This batch of glaze is not on record. Please open the page again."),
            status=NOT_FOUND,
            errors={"glaze_batch": _("Not found.")},
        )
    return batch


def batch_for(ctx: Context, glaze: str, said: str | None = None, at: int | None = None) -> str | None:
    """The batch that something was glazed from at a minute (now without one): the one said, else the one in use then;
    none where no batch is on record."""
    if said is None:
        there = batch_in_use(ctx.state, glaze, ctx.minute if at is None else at)
        return there.id if there is not None else None
    batch = batch_of(ctx, said)
    if batch.glaze != glaze:
        raise Refused(
            _("This batch is of another glaze."), errors={"glaze_batch": _("Choose one of the glaze itself.")}
        )
    return batch.id
