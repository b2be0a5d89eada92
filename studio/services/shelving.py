"""How many of each form a kiln shelf takes, kept in the dated timings of the forms."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext as _

from studio.defaults import KINDS, form_defaults
from studio.defaults.forms import shelf_shape
from studio.models import Form, FormTimings, Kiln, Studio
from studio.services.context import Context
from studio.services.fields import Fault, one

STAGES = ("bisque", "glost")


def shelf_kind(value: Any) -> str:
    """A kind of shelf: 590 (square), 430 (round), or s or r with the width in mm."""
    value = str(one(value) or "").strip()
    try:
        shelf_shape(value)
    except ValueError:
        raise Fault(_("Enter 590 (square), 430 (round), or s or r and the width in mm, such as s500.")) from None
    return value


def kilns_of(studio: Studio) -> dict[str, str]:
    """The kilns in use and their kinds of shelf."""
    return dict(Kiln.objects.filter(studio=studio, retired_at=None).values_list("public_id", "shelf_kind"))


def latest(form: Form) -> FormTimings:
    """The timings that hold from the last change on."""
    return form.timings.order_by("valid_from").last()


def new_timings(form: Form, now: Any, changes: dict[str, Any]) -> FormTimings:
    """Timings valid from ``now``: the ones before with ``changes``. Those before stay for what was made by them."""
    before = latest(form)
    if before.valid_from >= now:  # twice within the same instant
        for key, value in changes.items():
            setattr(before, key, value)
        before.version += 1
        before.save()
        return before
    columns = [f.name for f in FormTimings._meta.concrete_fields if f.name not in ("id", "public_id", "version")]
    values = {c: getattr(before, c) for c in columns} | {"valid_from": now} | changes
    return FormTimings.objects.create(**values)


def count_for_kiln(ctx: Context, kiln: Kiln) -> None:
    """Give every form a usual count for ``kiln`` where it has none yet."""
    for form in Form.objects.filter(studio=ctx.studio, retired_at=None).select_related("tool"):
        if form.kind not in KINDS:
            continue
        draft = form_defaults(form.kind, form.fired_mm, form.foot, form.handle, form.ball_g)
        now_there = latest(form)
        changes = {}
        for stage in STAGES:
            shelves = getattr(now_there, stage)
            count = draft.per_shelf(stage, kiln.shelf_kind)
            if kiln.public_id not in shelves["per_shelf"] and count > 0:
                changes[stage] = {**shelves, "per_shelf": {**shelves["per_shelf"], kiln.public_id: count}}
        if changes:
            new_timings(form, ctx.now, changes)
