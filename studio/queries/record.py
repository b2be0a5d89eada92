"""Rows of the record as the pure record knows them."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from typing import Any

from django.db.models import Max, Q, QuerySet

from studio.models import Fact as FactRow
from studio.models import Studio
from studio.record.facts import Fact
from studio.record.form import ABOUT_FACTS, check_form
from studio.record.settle import settle

COLUMNS = ("public_id", "kind", "happened_at", "seq", "arrived_at", "person__public_id", "task", "data")


def minute_of(moment: dt.datetime) -> int:
    """Whole minutes since 1970-01-01T00:00Z, seconds cut off."""
    return int(moment.timestamp() // 60)


def moment_of(minute: int) -> dt.datetime:
    """The instant (UTC) of a minute of the record."""
    return dt.datetime.fromtimestamp(minute * 60, dt.UTC)


def read_facts(rows: QuerySet[FactRow]) -> list[Fact]:
    """The facts of ``rows``, in the order of ``rows``."""
    return [_fact(row) for row in rows.values_list(*COLUMNS)]


def _fact(row: tuple[Any, ...]) -> Fact:
    public_id, kind, happened, seq, arrived, person, task, data = row
    return Fact(public_id, kind, minute_of(happened), seq, minute_of(arrived), person, task or None, data)


def fact_of(studio: Studio, public_id: str) -> Fact | None:
    """One fact of the studio by its id."""
    found = read_facts(FactRow.objects.filter(studio=studio, public_id=public_id))
    return found[0] if found else None


def settled(studio: Studio, ids: Iterable[str]) -> dict[str, Fact]:
    """Those facts of ``ids`` that count, as they count now, with their corrections; what was taken back is left out."""
    rows = FactRow.objects.filter(Q(public_id__in=list(ids)) | Q(kind__in=ABOUT_FACTS), studio=studio)
    return {x.fact.id: x.fact for x in settle(read_facts(rows))}


def settled_of(studio: Studio, kind: str, **said: Any) -> list[Fact]:
    """The facts of a ``kind`` that count, with their corrections, in the order of folding; none of a wrong form.

    ``said``: look-ups on the rows, which hold what was said at first.
    """
    ids = list(FactRow.objects.filter(studio=studio, kind=kind, **said).values_list("public_id", flat=True))
    facts = settled(studio, ids).values() if ids else ()
    return [f for f in facts if not check_form(f.kind, f.data)]


def corrected_data(studio: Studio, ids: Iterable[str]) -> dict[str, dict[str, Any]]:
    """By fact, what it says now, of those of ``ids`` of which a correction speaks."""
    of = FactRow.objects.filter(studio=studio, kind="correction").values_list("data", flat=True)
    spoken = {str(data.get("of")) for data in of} & set(ids)
    return {i: fact.data for i, fact in settled(studio, spoken).items()} if spoken else {}


def settled_fact(studio: Studio, public_id: str) -> Fact | None:
    """One fact as it counts now; None if there is none of that id, or it was taken back."""
    return settled(studio, [public_id]).get(public_id)


def facts_of(studio: Studio, ids: Iterable[str] | None = None) -> list[Fact]:
    """All facts of the studio, or those named, in the order of folding."""
    rows = FactRow.objects.filter(studio=studio).order_by("happened_at", "seq")
    return read_facts(rows if ids is None else rows.filter(public_id__in=list(ids)))


def spoken_of(studio: Studio, ids: Iterable[str]) -> list[FactRow]:
    """The facts ``ids`` and all that the undos and corrections among them speak of, however deep."""
    found, wanted = list[FactRow](), set(ids)
    while wanted:
        rows = list(FactRow.objects.filter(studio=studio, public_id__in=wanted))
        found += rows
        wanted = {str(r.data["of"]) for r in rows if r.kind in ABOUT_FACTS}
    return found


def after(place: tuple[int, int]) -> Q:
    """Facts that stand after ``place`` (minute, seq) in the order of folding."""
    at = moment_of(place[0])
    return Q(happened_at__gt=at) | Q(happened_at=at, seq__gt=place[1])


def from_place(place: tuple[int, int]) -> Q:
    """Facts (or snapshots) that stand at ``place`` or after it."""
    at = moment_of(place[0])
    return Q(happened_at__gt=at) | Q(happened_at=at, seq__gte=place[1])


def record_head(studio: Studio) -> int:
    """The seq of the last fact that arrived; 0 while there is none."""
    return FactRow.objects.filter(studio=studio).aggregate(last=Max("seq"))["last"] or 0
