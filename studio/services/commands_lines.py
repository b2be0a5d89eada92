"""Commands about one line of an order: to be surer of its day, and to have it again after it was cancelled."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from studio.models import OrderLine
from studio.models.orders import MOST_SPARE_DAYS
from studio.services.answers import Answer, Refused
from studio.services.commands import command
from studio.services.commands_wrong import REPLAN, ask_again
from studio.services.context import Context
from studio.services.fields import ident, whole
from studio.services.saving import VERSION

SURE = {"line": ident, "version": VERSION, "days": whole(0, MOST_SPARE_DAYS), "pieces": whole(0, 100_000),
        "replan": REPLAN}  # fmt: skip


@command("line_sure", SURE)
def line_sure(ctx: Context, data: dict[str, Any]) -> Answer:
    """Plan a line so many ``days`` before its promised day, and start so many ``pieces`` more; 0 and 0 as usual."""
    row = ctx.find(OrderLine, data["line"], name="line")
    if row.cancelled_at is not None or row.order.cancelled_at is not None or row.order.closed_at is not None:
        raise Refused(_("This line is over: nothing of it is planned any more."))
    ctx.edit(row, data["version"], {"spare_days": data["days"], "spare_pieces": data["pieces"]})
    message = _spare(data["days"], data["pieces"])
    answer = {"go": ctx.path(f"orders/{row.order.public_id}/")} | ask_again(ctx, "order", data["replan"])
    return ctx.done(message, line=row.public_id, version=row.version, **answer)


def _spare(days: int, pieces: int) -> str:
    said = []
    if days:
        said.append(ngettext("%(n)d day before its day", "%(n)d days before its day", days) % {"n": days})
    if pieces:
        said.append(ngettext("with %(n)d piece more", "with %(n)d pieces more", pieces) % {"n": pieces})
    if not said:
        return _("It is planned as usual again: for its day, with the usual number of pieces.")
    return _("It is planned %(how)s.") % {"how": ", ".join(said)}


@command("line_restore", {"line": ident, "version": VERSION})
def line_restore(ctx: Context, data: dict[str, Any]) -> Answer:
    """Take the cancelling of a line back."""
    row = ctx.find(OrderLine, data["line"], name="line")
    if row.order.cancelled_at is not None:
        raise Refused(_("All of this order was cancelled: take that back first."))
    if row.order.closed_at is not None:
        raise Refused(_("This order is closed: all of it was sent. Enter a new one."))
    ctx.edit(row, data["version"], {"cancelled_at": None})
    return ctx.done(_("The line stands again."), go=ctx.path(f"orders/{row.order.public_id}/"), line=row.public_id)
