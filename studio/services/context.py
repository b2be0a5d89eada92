"""What a command has at hand while it runs, and how it finds the studio's rows."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any, TypeVar
from zoneinfo import ZoneInfo

from django.db import models
from django.utils.translation import gettext as _

from studio.models import Command, Member, Person, Studio
from studio.models.base import Retirable, StudioRow
from studio.queries.record import minute_of, moment_of
from studio.queries.state import state_of
from studio.record.facts import Fact
from studio.record.fold import fold
from studio.record.state import State
from studio.services.answers import DONE, NOT_FOUND, STALE, Answer, Refused

__all__ = ["Context", "Draft", "Row", "minute_of", "moment_of", "stale"]

Row = TypeVar("Row", bound=StudioRow)
LATER = 10**12  # places in the record behind all those that are taken


@dataclass(frozen=True)
class Draft:
    """A fact that is to be recorded; ``happened`` is a minute of the record."""

    id: str
    kind: str
    data: dict[str, Any]
    happened: int
    task: str | None = None


@dataclass
class Context:
    """One command on its way. Facts are gathered here and recorded together at its end."""

    studio: Studio
    member: Member
    command: Command
    payload: dict[str, Any]
    happened: dt.datetime
    now: dt.datetime
    drafts: list[Draft] = field(default_factory=list)
    _state: State | None = None
    _folded: int = 0

    @property
    def minute(self) -> int:
        """When it happened, as a minute of the record."""
        return minute_of(self.happened)

    @property
    def zone(self) -> ZoneInfo:
        return ZoneInfo(self.studio.time_zone)

    @property
    def person(self) -> Person | None:
        return self.member.person

    @property
    def state(self) -> State:
        """Where everything stands, all facts on record and those gathered so far folded."""
        if self._state is None:
            self._state = state_of(self.studio)
        if self._folded < len(self.drafts):
            new = self.drafts[self._folded :]
            facts = [Fact(d.id, d.kind, d.happened, LATER + i, self.minute, None, d.task, d.data)
                     for i, d in enumerate(new, self._folded)]  # fmt: skip
            self._state, self._folded = fold(facts, self._state), len(self.drafts)
        return self._state

    def fact(self, kind: str, data: dict[str, Any], *, task: str | None = None, happened: int | None = None) -> str:
        """Gather one fact; its id, made of the command's, comes back."""
        at = self.minute if happened is None else happened
        draft = Draft(f"{self.command.client_id[:70]}.{len(self.drafts)}", kind, data, at, task)
        self.drafts.append(draft)
        return draft.id

    def done(self, message: str, *, go: str | None = None, **data: Any) -> Answer:
        """The answer of a command that was done; with facts it can be undone."""
        undo = self.command.client_id if self.drafts else None
        return Answer(DONE, str(message), undo=undo, go=go, data=data)

    def find(self, model: type[Row], public_id: str, *, retired: bool = False, name: str = "") -> Row:
        """The studio's own row; another studio's or an unknown one is refused like one that never was."""
        row = model.objects.filter(studio=self.studio, public_id=public_id).first()
        if row is None or (not retired and getattr(row, "retired_at", None) is not None):
            raise Refused(
                _("That cannot be found in this studio. It may have been put away; please open the page again."),
                status=NOT_FOUND,
                errors={name: _("Not found.")} if name else {},
            )
        return row

    def find_all(self, model: type[Row], public_ids: Iterable[str], *, name: str = "") -> list[Row]:
        """Several of the studio's rows, in the order asked for."""
        return [self.find(model, i, name=name) for i in public_ids]

    def edit(self, row: StudioRow, version: int | None, changes: dict[str, Any]) -> list[str]:
        """Write ``changes`` to ``row`` if nobody wrote to it since ``version`` was read; the changed fields' names.

        A stale edit is refused with what stands there now, so that the person can decide; their entries are kept by
        the page. ``version`` None (a form sent without one) is refused likewise.
        """
        changed = [k for k, v in changes.items() if getattr(row, k) != v]
        if version != row.version:
            raise stale(row, changes)
        for key in changed:
            setattr(row, key, changes[key])
        self.touch(row)
        return changed

    def touch(self, row: StudioRow) -> None:
        """Raise the version and save."""
        row.version += 1
        row.save()

    def retire(self, row: Retirable, version: int | None) -> None:
        """Put a thing away; it stays in the record."""
        self.edit(row, version, {"retired_at": self.now})

    def path(self, page: str = "") -> str:
        """The address of a page of this studio."""
        return f"/s/{self.studio.public_id}/{page}"


def stale(row: models.Model, changes: dict[str, Any]) -> Refused:
    """The refusal of an edit that somebody else's edit overtook, naming what differs now."""
    now_there = {k: str(getattr(row, k)) for k, v in changes.items() if getattr(row, k) != v}
    fields = {k: row._meta.get_field(k).verbose_name for k in now_there}
    lines = "; ".join(f"{fields[k]}: {v}" for k, v in now_there.items())
    message = _("Somebody else changed this in the meantime. Nothing of yours was saved, and it is still in the form.")
    if lines:
        message += " " + _("There it now says: %(what)s.") % {"what": lines}
    errors = {k: _("Now: %(value)s") % {"value": v} for k, v in now_there.items()}
    return Refused(message, status=STALE, errors=errors, data={"version": row.version})  # type: ignore[attr-defined]
