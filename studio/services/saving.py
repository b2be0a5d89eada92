"""What the editing commands share: write a row or a new one, and put things away."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from django.utils.translation import gettext as _

from studio.models import Command
from studio.models.base import Retirable, StudioRow
from studio.services.answers import DONE, NOT_ALLOWED, Answer, Refused
from studio.services.commands import OWNERS, command
from studio.services.context import Context, Row
from studio.services.fields import ident, one, optional, whole
from studio.words import Text

VERSION_READ = whole(1, 2**31 - 1)  # of the row as it was shown: an edit without one is refused
VERSION = optional(VERSION_READ)


PUT_AWAY: dict[str, tuple[str, type[Retirable]]] = {}  # by command, the field that names the row, and its table


def brought_back(ctx: Context, away: Command) -> Answer | None:
    """Undo the command ``away`` that put a row away; None if it is no such command, or did not."""
    if away.kind not in PUT_AWAY or away.status != DONE:
        return None
    if ctx.member.role not in OWNERS:
        raise Refused(_("Only an owner of the studio can change this. Please ask one."), status=NOT_ALLOWED)
    key, model = PUT_AWAY[away.kind]
    row = ctx.find(model, str(one(away.payload[key])).strip(), retired=True)
    if row.retired_at is None:
        raise Refused(_("This was taken back already."))
    row.retired_at = None
    ctx.touch(row)
    return ctx.done(_("%(name)s is back.") % {"name": row})


def edit_spec(key: str) -> dict[str, Any]:
    """The fields of every form that edits: which row (none = a new one) and the version that was read."""
    return {key: optional(ident), "version": VERSION}


def save(ctx: Context, model: type[Row], key: str, data: dict[str, Any], values: dict[str, Any]) -> Row:
    """Write ``values`` to the row that ``data[key]`` names, or to a new one."""
    if data[key] is None:
        return model.objects.create(studio=ctx.studio, **values)
    row = ctx.find(model, data[key], name=key)
    ctx.edit(row, data["version"], values)
    return row


def replace_children(parent: StudioRow, model: type[StudioRow], parent_name: str, rows: list[dict[str, Any]]) -> None:
    """Put ``rows`` in the place of the parts that ``parent`` had. Only for parts that the record never speaks of."""
    model.objects.filter(**{parent_name: parent}).delete()
    model.objects.bulk_create([model(studio=parent.studio, **{parent_name: parent}, **r) for r in rows])


def retiring(name: str, key: str, model: type[Retirable], said: Text = "") -> None:
    """Register the command ``name`` that puts one row of ``model`` away; its undo brings the row back."""

    def put_away(ctx: Context, data: dict[str, Any]) -> Answer:
        row = ctx.find(model, data[key], name=key)
        ctx.retire(row, data["version"])
        text = said or _("%(name)s is put away. What was done with it stays in the record.")
        return replace(ctx.done(str(text) % {"name": row}), undo=ctx.command.client_id)

    PUT_AWAY[name] = (key, model)
    command(name, {key: ident, "version": VERSION}, roles=OWNERS)(put_away)
