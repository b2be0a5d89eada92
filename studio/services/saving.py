"""What the editing commands share: write a row or a new one, and put things away."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext as _

from studio.models.base import Retirable, StudioRow
from studio.services.answers import Answer
from studio.services.commands import OWNERS, command
from studio.services.context import Context, Row
from studio.services.fields import ident, optional, whole

VERSION = optional(whole(1, 2**31 - 1))


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


def retiring(name: str, key: str, model: type[Retirable]) -> None:
    """Register the command ``name`` that puts one row of ``model`` away."""

    def put_away(ctx: Context, data: dict[str, Any]) -> Answer:
        row = ctx.find(model, data[key], name=key)
        ctx.retire(row, data["version"])
        return ctx.done(_("%(name)s is put away. What was done with it stays in the record.") % {"name": row})

    command(name, {key: ident, "version": VERSION}, roles=OWNERS)(put_away)
