"""The facts of the last days, which losses, durations and faults are learned from: read once, whoever asks.

All but the record's last day is kept, and only that day is read anew, until another day begins.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from functools import lru_cache

from django.db.models import Max

from studio.models import Fact as FactRow
from studio.models import Studio
from studio.queries.record import read_facts
from studio.record.facts import Fact
from studio.record.measured import Measured, measured

DAYS_BACK = 180  # what was longer ago says little of how people work now


@dataclass(frozen=True)
class Recent:
    """The record of ``DAYS_BACK`` days: what happened ``before`` its last day, and on that day."""

    before: tuple[Fact, ...]
    today: tuple[Fact, ...]


def recent(studio: Studio) -> Recent | None:
    """None where nothing is on record."""
    span = _span(studio)
    if span is None:
        return None
    until, head = span
    today = FactRow.objects.filter(studio=studio, happened_at__gte=until)
    return Recent(_before(studio.public_id, until, head), tuple(read_facts(today.order_by("seq"))))


def losses_shown(studio: Studio) -> Measured:
    """What the record shows of losses in the ``DAYS_BACK`` days before its last day.

    That day itself is left out, so that what orders take does not waver while work is told. It is the record's, not
    the clock's: the same record gives the same numbers to every process.
    """
    span = _span(studio)
    return Measured() if span is None else _measured(studio.public_id, *span)


def _span(studio: Studio) -> tuple[dt.datetime, int] | None:
    """The beginning of the record's last day, and the last place in the record of what happened before it.

    The place tells one record from a longer one: nothing in it is ever changed.
    """
    rows = FactRow.objects.filter(studio=studio)
    last = rows.aggregate(at=Max("happened_at"))["at"]
    if last is None:
        return None
    until = last.replace(hour=0, minute=0, second=0, microsecond=0)
    old = rows.filter(happened_at__gt=until - dt.timedelta(days=DAYS_BACK), happened_at__lt=until)
    return until, old.aggregate(seq=Max("seq"))["seq"] or 0


@lru_cache(maxsize=4)
def _before(studio: str, until: dt.datetime, head: int) -> tuple[Fact, ...]:
    if not head:
        return ()
    since = until - dt.timedelta(days=DAYS_BACK)
    rows = FactRow.objects.filter(
        studio__public_id=studio, happened_at__gt=since, happened_at__lt=until, seq__lte=head
    )  # fmt: skip
    return tuple(read_facts(rows.order_by("seq")))


@lru_cache(maxsize=16)
def _measured(studio: str, until: dt.datetime, head: int) -> Measured:
    return measured(_before(studio, until, head))
