"""Putting facts on record, and keeping snapshots of what follows from them."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Protocol

from django.db import transaction

from studio.models import Command, Person, Snapshot, Studio
from studio.models import Fact as FactRow
from studio.queries.record import after, fact_of, from_place, minute_of, moment_of, record_head
from studio.queries.state import state_up_to
from studio.record.facts import Fact
from studio.record.form import ABOUT_FACTS, check_form
from studio.record.points import EVERY, SETTLED, snapshot_place
from studio.record.settle import touches
from studio.record.state import SHAPE
from studio.record.store import state_to_json

SNAPSHOTS_KEPT = 6


class FactRefused(ValueError):
    """A fact without the form of its kind; ``faults`` say what is wrong."""

    def __init__(self, kind: str, faults: list[str]) -> None:
        self.faults = faults
        super().__init__(f"{kind}: " + "; ".join(faults))


class Recordable(Protocol):
    """What :func:`append_facts` takes: a :class:`NewFact` or whatever looks like one."""

    id: str
    kind: str
    data: dict[str, Any]
    happened: int
    task: str | None


@dataclass(frozen=True)
class NewFact:
    """A fact that is to be put on record. ``happened`` is a minute of the record; ``id`` is made by the client."""

    id: str
    kind: str
    data: dict[str, Any]
    happened: int
    task: str | None = None


@transaction.atomic
def append_facts(
    *,
    studio: Studio,
    facts: Sequence[Recordable],
    command: Command | None,
    now: dt.datetime,
    person: Person | None = None,
) -> list[FactRow]:
    """Put ``facts`` on record in this order; their rows. Raises :class:`FactRefused`, and then none is recorded.

    Each gets the next place in the studio's record. Snapshots that hold what a fact touches are dropped.
    """
    locked = Studio.objects.select_for_update().get(pk=studio.pk)
    known: dict[str, Fact] = {}
    rows = []
    for new in facts:
        of = _of(studio, new, known)
        happened = new.happened if of is None else max(new.happened, of.happened)
        row = FactRow(
            studio=studio, public_id=new.id, seq=locked.next_seq, kind=new.kind, data=new.data, task=new.task or "",
            happened_at=moment_of(happened), arrived_at=now, person=person, command=command,
        )  # fmt: skip
        known[new.id] = Fact(new.id, new.kind, happened, locked.next_seq, happened, data=new.data)
        locked.next_seq += 1
        rows.append(row)
    FactRow.objects.bulk_create(rows)
    locked.save(update_fields=["next_seq"])
    studio.next_seq = locked.next_seq
    if rows:
        first = min(touches(f, lambda i: known.get(i) or fact_of(studio, i)) for f in known.values())
        Snapshot.objects.filter(from_place(first), studio=studio).delete()
        keep_snapshot(studio=studio)
    return rows


def _of(studio: Studio, new: Recordable, known: dict[str, Fact]) -> Fact | None:
    """The fact that an undo or correction speaks of; refuses what has not the form of a fact."""
    faults = check_form(new.kind, new.data)
    if not new.id or len(new.id) > 80:
        faults.append("id: an id of 1 to 80 characters is wanted")
    if faults:
        raise FactRefused(new.kind, faults)
    if new.kind not in ABOUT_FACTS:
        return None
    of = known.get(new.data["of"]) or fact_of(studio, new.data["of"])
    if of is None:
        raise FactRefused(new.kind, [f"of: there is no fact {new.data['of']} on record"])
    return of


@transaction.atomic
def keep_snapshot(*, studio: Studio) -> Snapshot | None:
    """Keep a snapshot if enough facts have come since the last one; the oldest beyond a few are let go."""
    last = Snapshot.objects.filter(studio=studio, shape=SHAPE).order_by("-happened_at", "-seq").first()
    facts = FactRow.objects.filter(studio=studio)
    if last is not None:
        facts = facts.filter(after((minute_of(last.happened_at), last.seq)))
    if facts.count() <= EVERY + SETTLED:
        return None
    places = [(minute_of(h), s) for h, s in facts.order_by("happened_at", "seq").values_list("happened_at", "seq")]
    happened, seq = snapshot_place(places)
    snapshot = Snapshot.objects.create(
        studio=studio, happened_at=moment_of(happened), seq=seq, known_seq=record_head(studio), shape=SHAPE,
        state=state_to_json(state_up_to(studio, (happened, seq))),
    )  # fmt: skip
    kept = Snapshot.objects.filter(studio=studio).order_by("-happened_at", "-seq").values_list("pk", flat=True)
    Snapshot.objects.filter(studio=studio).exclude(pk__in=list(kept[:SNAPSHOTS_KEPT])).delete()
    return snapshot
