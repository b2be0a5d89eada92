"""What people say of ware in passing, put on record with the air in which it stood."""

from __future__ import annotations

from studio.models import FormTimings
from studio.services.context import Context
from studio.translate.air import slow_pct

OUT_WORDS, STEP_WORDS = ("clean", "stuck"), ("leather_hard", "too_dry")


def slow_of(ctx: Context, form: str) -> int:
    """How long the form's ware takes to dry in this air, in percent of an ordinary week's time."""
    rows = FormTimings.objects.filter(studio=ctx.studio, form__public_id=form)
    timings = rows.order_by("valid_from").last()
    return slow_pct(ctx.studio, timings) if timings is not None else 100


def with_word(ctx: Context, word: str | None) -> None:
    """A word said along with "done": it is told of the ware that was just taken out or worked on.

    One that does not belong to this work, or of ware of which nothing is left, is passed over: the work counts.
    """
    wanted = {"taken_out": OUT_WORDS, "step_done": STEP_WORDS}
    for draft in tuple(ctx.drafts):
        ware = ctx.state.ware.get(draft.data.get("batch", ""))
        if word in wanted.get(draft.kind, ()) and ware is not None:
            data = {"batch": ware.id, "word": word, "slow": slow_of(ctx, ware.form)}
            ctx.fact("said", data, happened=draft.happened)
