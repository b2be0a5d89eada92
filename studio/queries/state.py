"""Where everything in the studio stands, folded from its record with the help of snapshots."""

from __future__ import annotations

import datetime as dt
from typing import NamedTuple

from django.db.models import Q

from studio.models import Fact as FactRow
from studio.models import Snapshot, Studio
from studio.queries.record import after, fact_of, minute_of, read_facts, record_head
from studio.record.facts import Fact
from studio.record.fold import fold
from studio.record.form import ABOUT_FACTS
from studio.record.points import Point, usable
from studio.record.state import SHAPE, State
from studio.record.store import state_from_json

__all__ = ["record_head", "state_of"]

END = (10**9, 10**18)  # after everything
TRIED = 3  # snapshots, from the last one backwards, before everything is folded anew


def state_of(studio: Studio, at: dt.datetime | None = None) -> State:
    """The state after all facts, or after those that happened by ``at``, by what is known today.

    An undo or correction counts whenever it was made. The state is the caller's own.
    """
    return state_up_to(studio, END if at is None else (minute_of(at), END[1]))


def state_up_to(studio: Studio, place: tuple[int, int]) -> State:
    """The state after all facts that stand at ``place`` (minute, seq) or before it."""
    facts = FactRow.objects.filter(studio=studio)
    for base in _snapshots(studio, place):
        tail = read_facts(facts.filter(Q(seq__gt=base.known) | after(base.place)))
        if _holds(studio, base, tail):
            row = Snapshot.objects.filter(pk=base.pk).first()
            if row is not None:
                later = [f for f in tail if f.place > base.place]
                return fold(_up_to(later, place), state_from_json(row.state), owned=True)
    return fold(_up_to(read_facts(facts), place))


class _Base(NamedTuple):
    pk: int
    place: tuple[int, int]
    known: int


def _snapshots(studio: Studio, place: tuple[int, int]) -> list[_Base]:
    """The last snapshots up to ``place``, without their states, the latest first."""
    rows = Snapshot.objects.filter(studio=studio, shape=SHAPE).order_by("-happened_at", "-seq")
    places = rows.values_list("pk", "happened_at", "seq", "known_seq")
    found = [_Base(pk, (minute_of(happened), seq), known) for pk, happened, seq, known in places]
    return [b for b in found if b.place <= place][:TRIED]


def _holds(studio: Studio, base: _Base, tail: list[Fact]) -> bool:
    """Whether nothing that arrived since touches what the snapshot has folded."""
    known = {f.id: f for f in tail}
    return usable(Point(*base.place, base.known), tail, lambda i: known.get(i) or fact_of(studio, i))


def _up_to(facts: list[Fact], place: tuple[int, int]) -> list[Fact]:
    return [f for f in facts if f.kind in ABOUT_FACTS or f.place <= place]
