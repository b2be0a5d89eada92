"""Finished pots on the shelf: seconds that a customer takes, and what leaves the shelf without an order."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from studio import words
from studio.models import Form, Glaze, OrderLine
from studio.services.answers import Answer, Refused
from studio.services.commands import command
from studio.services.context import Context
from studio.services.fields import choice, ident, optional, whole
from studio.translate.rows import Rows
from studio.translate.shelf import Share, Shares, kind_of, shares_of


@command("seconds_taken", {"line": ident, "count": whole(1, 100_000)})
def seconds_taken(ctx: Context, data: dict[str, Any]) -> Answer:
    """The customer of an open line takes ``count`` seconds of its form and glaze, as far as it lacks pieces.

    They count for the line from now on: the next plan makes that many fewer, and they are sent with it.
    """
    line, n = ctx.find(OrderLine, data["line"], name="line"), data["count"]
    shares = _shares(ctx)
    there = shares.seconds.get(kind_of(line), 0)
    lacks = shares.lines.get(line.public_id, Share()).missing
    if n > min(there, lacks):
        raise Refused(_few(there, lacks), errors={"count": _("At most %(n)d.") % {"n": min(there, lacks)}})
    form, glaze = line.form.public_id, line.glaze.public_id
    ctx.fact("seconds_taken", {"line": line.public_id, "form": form, "glaze": glaze, "count": n})
    return ctx.done(ngettext(
        "%(n)d second goes with the order. The next plan makes one fewer.",
        "%(n)d seconds go with the order. The next plan makes that many fewer.", n,
    ) % {"n": n})  # fmt: skip


def _few(there: int, lacks: int) -> str:
    if not lacks:
        return _("This line lacks nothing: its pieces are there, or it is not open any more.")
    if not there:
        return _("No second of this form and glaze is on the shelf for it.")
    return _("So many cannot go with it: the line lacks %(lacks)d, and %(there)d seconds are on the shelf.") % {
        "lacks": lacks, "there": there}  # fmt: skip


_LEAVES = optional(whole(0, 100_000), 0)


@command("off_shelf", {"form": ident, "glaze": ident, "firsts": _LEAVES, "seconds": _LEAVES,
                       "how": choice(words.LEFT)})  # fmt: skip
def off_shelf(ctx: Context, data: dict[str, Any]) -> Answer:
    """Pots that are nobody's leave the shelf: sold as they stood there, given away or broken."""
    form = ctx.find(Form, data["form"], retired=True, name="form")
    glaze = ctx.find(Glaze, data["glaze"], retired=True, name="glaze")
    shares, kind = _shares(ctx), f"{form.public_id}/{glaze.public_id}"
    there = {"firsts": shares.firsts.get(kind, 0), "seconds": shares.seconds.get(kind, 0)}
    wrong = {k: _("At most %(n)d.") % {"n": n} for k, n in there.items() if data[k] > n}
    if wrong:
        raise Refused(_("So many are not there, or they are for orders."), errors=wrong)
    n = data["firsts"] + data["seconds"]
    if not n:
        raise Refused(_("Say how many leave the shelf."), errors={k: _("How many?") for k in there if there[k]})
    ctx.fact("off_shelf", {"form": form.public_id, "glaze": glaze.public_id, **{k: data[k] for k in (*there, "how")}})
    return ctx.done(ngettext("%(n)d pot is off the shelf.", "%(n)d pots are off the shelf.", n) % {"n": n})


def _shares(ctx: Context) -> Shares:
    return shares_of(ctx.state, Rows(ctx.studio).lines)
