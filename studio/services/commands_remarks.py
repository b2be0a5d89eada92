"""The command for what people say of ware in passing, where no work is told with it."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext as _

from studio.record.remarks import BOARD_WORDS, IN_MOULD_WORDS, stages_of
from studio.services.answers import DONE, Answer, Refused
from studio.services.commands import command
from studio.services.commands_record import ware_of
from studio.services.context import Context
from studio.services.fields import choice, ids
from studio.services.remarks import slow_of

SAYABLE = tuple(w for w in (*IN_MOULD_WORDS, *BOARD_WORDS) if w != "too_soft")  # which has a command of its own


@command("said", {"batches": ids, "word": choice(SAYABLE)})
def said(ctx: Context, data: dict[str, Any]) -> Answer:
    """A word on ware that stands there: one tap. Bone-dry ware is taken to be dry from now on."""
    word = data["word"]
    wares = [ware_of(ctx, b, *stages_of(word)) for b in data["batches"]]
    if not wares:
        raise Refused(_("Say of which ware."), errors={"batches": _("Please fill this in.")})
    new = [w for w in wares if f"said/{w.id}/{word}" not in ctx.state.seen]
    if not new:
        return Answer(DONE, _("This is noted already."))
    for ware in new:
        ctx.fact("said", {"batch": ware.id, "word": word, "slow": slow_of(ctx, ware.form)})
    return ctx.done(_("Noted. The form’s times learn from it."))
