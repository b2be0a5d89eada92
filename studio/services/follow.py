"""Rows that follow from the record: a lifted cast is a mould, an order sent off is closed, a form has its setting.

They are settled anew from the state after every recording command, so that an undo takes them back as well.
"""

from __future__ import annotations

import datetime as dt

from django.db.models import Max

from studio.models import Cast, Mould, Order
from studio.queries.record import moment_of
from studio.record.state import CastState, State
from studio.services.context import Context
from studio.services.settings import follow_settings

CASTS = {"lifted", "poured", "cast_lost"}
LINES = {"shipped"}
ABOUT = {"undo", "correction"}


def follow_record(context: Context, state: State) -> None:
    """Bring the rows in line with ``state`` after what was just recorded."""
    kinds = {d.kind for d in context.drafts}
    if kinds & (CASTS | ABOUT):
        _casts(context, state)
    if kinds & (LINES | ABOUT):
        _orders(context, state)
    if kinds & ABOUT:
        follow_settings(context, state)


def _casts(context: Context, state: State) -> None:
    """A mould for every lifted cast, none for one whose lift was undone."""
    for cast in Cast.objects.filter(studio=context.studio).select_related("form"):
        stands = state.casts.get(cast.public_id)
        lifted = stands is not None and stands.lifted is not None
        mould = Mould.objects.filter(studio=context.studio, public_id=cast.public_id).first()
        if lifted and stands is not None:
            _mould_of(cast, stands, mould)
        elif mould is not None and mould.retired_at is None:
            mould.retired_at = context.now
            context.touch(mould)
        if lifted != (cast.retired_at is not None) and (lifted or mould is not None):
            cast.retired_at = context.now if lifted else None
            context.touch(cast)


def _mould_of(cast: Cast, stands: CastState, mould: Mould | None) -> None:
    ready = moment_of(stands.lifted or 0) + dt.timedelta(minutes=cast.dry_min)
    if mould is None:
        highest = Mould.objects.filter(form=cast.form).aggregate(m=Max("number"))["m"] or 0
        Mould.objects.create(
            studio=cast.studio, public_id=cast.public_id, form=cast.form, number=highest + 1, ready_from=ready,
            life=cast.uses,
        )  # fmt: skip
    elif mould.ready_from != ready or mould.retired_at is not None:
        mould.ready_from, mould.retired_at = ready, None
        mould.version += 1
        mould.save()


def _orders(context: Context, state: State) -> None:
    """An order all of whose lines were sent is closed, any other one is open."""
    orders = Order.objects.filter(studio=context.studio, cancelled_at=None).prefetch_related("lines")
    for order in orders:
        lines = [x for x in order.lines.all() if x.cancelled_at is None]
        sent = bool(lines) and all(
            x.public_id in state.lines and state.lines[x.public_id].shipped >= x.qty for x in lines
        )
        if sent != (order.closed_at is not None):
            order.closed_at = context.now if sent else None
            order.save(update_fields=["closed_at"])  # no new version: nothing was edited
