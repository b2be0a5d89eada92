"""The one door for changes: every page and phone sends commands, and each is answered exactly once.

A command carries an id that its sender made. The same id with the same content gets the same answer again, however
often and by how many at once it is sent; a refused one may be sent again with other content. All that a command does
is written together or not at all.
"""

from __future__ import annotations

import datetime as dt
import json
import logging
import secrets
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache
from importlib import import_module
from typing import Any

from django.contrib.auth.models import User
from django.core.serializers.json import DjangoJSONEncoder
from django.db import IntegrityError, OperationalError, transaction
from django.utils.translation import gettext as _

from studio import units
from studio.models import Command, Member, Studio
from studio.services.answers import BROKEN, NOT_ALLOWED, NOT_FOUND, STALE, UNCLEAR, Answer, Refused
from studio.services.context import Context
from studio.services.fields import Spec, read_payload
from studio.services.storable import storable

log = logging.getLogger("studio.commands")

OWNER, MAKER = Member.Role.OWNER.value, Member.Role.MAKER.value
ANYONE = (OWNER, MAKER)
OWNERS = (OWNER,)
LONGEST_AGO = dt.timedelta(days=14)
SECRET = "secret"  # data under this key is shown once and never kept

Handler = Callable[[Context, dict[str, Any]], Answer]


@dataclass(frozen=True)
class Kind:
    """One kind of command: who may send it, what its payload holds, and what it does."""

    name: str
    roles: tuple[str, ...]
    spec: Spec
    handler: Handler


REGISTRY: dict[str, Kind] = {}
MODULES = ("tasks", "record", "wrong", "undo", "orders", "forms", "people", "shop", "plan", "members", "start",
           "when", "air", "recount", "lines", "trial", "remarks", "glaze", "clay",
           "firings", "kiln", "plaster", "life", "setting", "profile",
           "shrinkage", "cupboard", "shelf")  # fmt: skip


def command(name: str, spec: Spec, *, roles: tuple[str, ...] = ANYONE) -> Callable[[Handler], Handler]:
    """Register a handler for commands of the kind ``name``."""

    def register(handler: Handler) -> Handler:
        if name in REGISTRY:
            raise ValueError(f"two handlers for {name}")
        REGISTRY[name] = Kind(name, roles, spec, handler)
        return handler

    return register


@cache
def kinds() -> dict[str, Kind]:
    """All kinds of command by name."""
    for module in MODULES:
        import_module(f"studio.services.commands_{module}")
    return REGISTRY


def run_command(
    *,
    studio: Studio,
    user: User,
    client_id: str,
    kind: str,
    payload: Mapping[str, Any],
    recorded_at: dt.datetime | None = None,
    sent_at: dt.datetime | None = None,
    now: dt.datetime,
) -> Answer:
    """Do what ``kind`` says with ``payload`` in ``studio``, once; the answer.

    ``now`` is the arrival (aware); ``recorded_at`` and ``sent_at`` are by the sender's clock, and only their
    difference counts. Never raises for what a person or a page sent.
    """
    if not client_id or len(client_id) > 80 or not client_id.isprintable():
        return Answer(UNCLEAR, _("This was sent without a number of its own. Please open the page again."))
    if kind not in kinds():
        return Answer(UNCLEAR, _("This page asks for something that is not known here. Please open the page again."))
    happened = happened_at(now, recorded_at, sent_at)
    said = storable(json.loads(json.dumps(dict(payload), cls=DjangoJSONEncoder)))  # as it will be read back
    row = Command(
        studio=studio, client_id=client_id, kind=kind, payload=said, recorded_at=recorded_at,
        sent_at=sent_at, happened_at=happened, arrived_at=now, user=user, status=0, answer={},
    )  # fmt: skip
    try:
        return _once(row)
    except IntegrityError:
        # The same id came twice at once and the other one was first: its answer stands.
        known = Command.objects.filter(studio=studio, client_id=client_id).first()
        return _again(known, row) if known is not None else _broke(row)
    except OperationalError:
        log.warning("the database was busy during %s", kind, exc_info=True)
        return Answer(BROKEN, _("The studio's book was busy just now and nothing was saved. Please try again."))
    except Exception:
        return _broke(row)


def happened_at(now: dt.datetime, recorded_at: dt.datetime | None, sent_at: dt.datetime | None) -> dt.datetime:
    """When it happened by our clock: as long before its arrival as it waited on the sender's clock, within the last
    14 days and never in the future."""
    if recorded_at is None or sent_at is None:
        return now
    waited = min(max(sent_at - recorded_at, dt.timedelta()), LONGEST_AGO)
    return now - waited


def _once(row: Command) -> Answer:
    """Answer from the book if the command is known, else do it and keep the answer."""
    with transaction.atomic():
        # One command at a time in a studio: what it reads cannot change under it.
        row.studio = Studio.objects.select_for_update().get(pk=row.studio.pk)
        known = Command.objects.filter(studio=row.studio, client_id=row.client_id).first()
        if known is not None and (known.status < 400 or _same(known, row)):
            return _again(known, row)
        if known is not None:
            row.pk = known.pk  # refused before, and it left nothing: the new content takes its place
        row.save(force_insert=known is None)
        answer = _attempt(row)
        row.status = answer.status
        kept = {k: v for k, v in answer.data.items() if k != SECRET}
        row.answer = {**answer.as_dict(), "data": kept}
        row.save(update_fields=["status", "answer"])
        return answer


def _attempt(row: Command) -> Answer:
    """Run the handler in a savepoint: what is refused leaves nothing but its answer."""
    try:
        with transaction.atomic():
            kind = REGISTRY[row.kind]
            member = _member(row, kind)
            context = Context(row.studio, member, row, dict(row.payload), row.happened_at, row.arrived_at)
            with units.override(row.studio.units):
                answer = kind.handler(context, read_payload(context.payload, kind.spec))
                return _recorded(context, answer)
    except Refused as refused:
        return refused.answer


def _member(row: Command, kind: Kind) -> Member:
    member = Member.objects.filter(studio=row.studio, user=row.user, left_at=None).select_related("person").first()
    if member is None:
        raise Refused(_("There is no such studio."), status=NOT_FOUND)
    if member.role not in kind.roles:
        raise Refused(_("Only an owner of the studio can change this. Please ask one."), status=NOT_ALLOWED)
    return member


def _recorded(context: Context, answer: Answer) -> Answer:
    """Put the gathered facts on record; the answer, with what does not add up said in it."""
    from studio.services.recording import record

    return record(context, answer) if context.drafts else answer


def _same(known: Command, row: Command) -> bool:
    return known.kind == row.kind and known.payload == row.payload


def _again(known: Command, row: Command) -> Answer:
    if not _same(known, row):
        return Answer(
            STALE,
            _("This form was sent once already, with other entries. Please open it again and enter the change there."),
        )
    return Answer(**known.answer)


def _broke(row: Command) -> Answer:
    """Something unforeseen: a number to quote for the person, the rest for the log."""
    code = secrets.token_hex(4)
    log.exception("command %s broke off, code %s", row.kind, code)
    return Answer(
        BROKEN,
        _("Something went wrong on our side and nothing was saved. If it happens again, quote %(code)s.")
        % {"code": code},
        data={"code": code},
    )
