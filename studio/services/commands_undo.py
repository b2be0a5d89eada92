"""Commands about the record itself, and sending off what is finished."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from studio.models import Command, Fact, Order, OrderLine, Studio
from studio.queries.record import fact_of
from studio.record.form import ABOUT_FACTS, check_form
from studio.services.answers import NOT_FOUND, Answer, Refused
from studio.services.commands import command
from studio.services.context import Context
from studio.services.fields import Fault, flat_counts, ident, listed, optional, whole
from studio.services.saving import brought_back
from studio.services.weather import air_again
from studio.translate.rows import Rows
from studio.translate.shelf import shares_of


@command("undo", {"command": optional(ident), "fact": optional(ident)})
def undo(ctx: Context, data: dict[str, Any]) -> Answer:
    """Take back all that a command recorded, or one fact, however long ago. Undoing an undo brings it back.

    A command that put a thing away recorded no fact; its undo brings the thing back.
    """
    if data["command"] and not data["fact"]:
        known = Command.objects.filter(studio=ctx.studio, client_id=data["command"]).first()
        back = brought_back(ctx, known) if known is not None else None
        if back is not None:
            return back
    facts = _facts(ctx, data)
    gone = undone(ctx.studio, [f.public_id for f in facts])
    standing = [f for f in facts if f.public_id not in gone]
    if not standing:
        raise Refused(_("This was taken back already."))
    for fact in reversed(standing):
        ctx.fact("undo", {"of": fact.public_id})
    air_again(ctx, [f.public_id for f in standing])
    again = any(f.kind == "undo" for f in standing)
    return ctx.done(_("It stands again.") if again else _("Taken back."))


def _facts(ctx: Context, data: dict[str, Any]) -> list[Fact]:
    rows = Fact.objects.filter(studio=ctx.studio)
    if data["fact"]:
        found = list(rows.filter(public_id=data["fact"]))
    elif data["command"]:
        found = list(rows.filter(command__client_id=data["command"]).order_by("seq"))
    else:
        raise Refused(_("Say what is to be taken back."))
    if found:
        return found
    known = Command.objects.filter(studio=ctx.studio, client_id=data["command"] or "").exists()
    message = _("There is nothing on record of it that could be taken back.") if known else _("This is not on record.")
    raise Refused(message, status=NOT_FOUND)


def undone(studio: Studio, ids: list[str]) -> set[str]:
    """Those of the facts ``ids`` that an undo which itself stands has taken back."""
    undos = {i: list(Fact.objects.filter(studio=studio, kind="undo", data__of=i)) for i in ids}
    if not any(undos.values()):
        return set()
    below = undone(studio, [u.public_id for many in undos.values() for u in many])
    return {i for i, many in undos.items() if any(u.public_id not in below for u in many)}


def _replaced(value: Any) -> dict[str, Any]:
    if not isinstance(value, dict) or not value or len(value) > 30:
        raise Fault(_("Say what is to be corrected."))
    return dict(value)


@command("correct", {"fact": ident, "data": _replaced})
def correct(ctx: Context, data: dict[str, Any]) -> Answer:
    """Put other values in the place of some that a fact has; the fact itself stays as it was written."""
    fact = fact_of(ctx.studio, data["fact"])
    if fact is None:
        raise Refused(_("This is not on record."), status=NOT_FOUND)
    if fact.kind in ABOUT_FACTS:
        raise Refused(_("An undo or a correction can only be taken back."))
    faults = check_form(fact.kind, {**fact.data, **data["data"]})
    if faults:
        errors = {f.split(":", 1)[0]: f.split(":", 1)[1].strip() for f in faults}
        raise Refused(_("So it cannot have been: please look at what is marked."), errors=errors)
    ctx.fact("correction", {"of": fact.id, "data": data["data"]})
    air_again(ctx, [fact.id])
    return ctx.done(_("Corrected."))


SENT = {"line": ident, "count": whole(1, 100_000)}


@command("shipped", {"order": optional(ident), "lines": optional(listed(SENT, most=200), [])})
def shipped(ctx: Context, data: dict[str, Any]) -> Answer:
    """Sent off: ``lines`` with counts, or all that is still owed of an ``order`` and finished.

    Firsts of the same form and glaze are taken from stock where the line itself has too few. A plain form sends the
    counts in fields named ``n:<line id>``.
    """
    named = data["lines"] or [{"line": i, "count": n} for i, n in flat_counts(ctx.payload)]
    rows = _owed(ctx, data["order"]) if data["order"] and not named else [
        (ctx.find(OrderLine, x["line"], name="lines"), x["count"]) for x in named
    ]  # fmt: skip
    if not rows:
        raise Refused(_("Nothing of this order is finished yet."), errors={"lines": _("What is sent?")})
    lines = [{"line": r.public_id, "count": n, "form": r.form.public_id, "glaze": r.glaze.public_id} for r, n in rows]
    ctx.fact("shipped", {"lines": lines})
    n = sum(n for _row, n in rows)
    return ctx.done(ngettext("%(n)d piece is on its way.", "%(n)d pieces are on their way.", n) % {"n": n})


def _owed(ctx: Context, order_id: str) -> list[tuple[OrderLine, int]]:
    """By open line, what stands finished for it: firsts of its own and seconds that its customer takes."""
    order = ctx.find(Order, order_id, name="order")
    lines = Rows(ctx.studio).lines
    shares = shares_of(ctx.state, lines).lines
    mine = [(x, shares[x.public_id]) for x in lines if x.order_id == order.pk]
    return [(x, n) for x, share in mine if (n := share.firsts + share.seconds)]
