"""A year of a busy studio: some fifteen thousand facts, of which a page reads only the last few."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from typing import Any

import pytest

from studio.models import Fact as FactRow
from studio.models import Studio
from studio.queries import state as reading
from studio.queries.record import facts_of, moment_of
from studio.queries.state import state_of
from studio.record.facts import Fact
from studio.record.fold import fold
from studio.record.points import EVERY, SETTLED
from studio.services.record import keep_snapshot
from tests.record.making import drawn, fact, glazed, packed, pressed, sorted_, step_done, taken_out

FACTS = 15_000
NOW = dt.datetime(2026, 1, 1, tzinfo=dt.UTC)


def year() -> list[Fact]:
    """Batches of eight bowls, each eight of them through one bisque and one glost firing."""
    found: list[Fact] = []
    for n in range(10**6):
        if len(found) >= FACTS:
            return found
        at, batches = n * 280, [f"b{n}-{i}" for i in range(8)]
        for i, b in enumerate(batches):
            moulds = tuple(f"m{(n * 8 + i) % 15}-{k}" for k in range(8))
            t = at + i * 30
            found += [
                pressed(t, b, moulds, task=f"p{b}"),
                taken_out(t + 3, b, 8, task=f"o{b}"),
                step_done(t + 6, b, good=8),
            ]
        load: dict[str, Any] = dict.fromkeys(batches, 8)
        found += [packed(at + 250, f"f{n}", **load), fact("lit", at + 251, firing=f"f{n}"), drawn(at + 252, f"f{n}")]
        lots = [f"l{b}" for b in batches]
        found += [glazed(at + 253, lot, f"o-{n}", **{b: 8}) for lot, b in zip(lots, batches, strict=True)]
        load = dict.fromkeys(lots, 8)
        found += [
            packed(at + 254, f"g{n}", "glost", **load),
            fact("lit", at + 255, firing=f"g{n}"),
            drawn(at + 256, f"g{n}"),
        ]
        found += [sorted_(at + 257, 7, 1, order=f"o-{n}", **{lot: 8}) for lot in lots]
    return found


def rows(studio: Studio, facts: Iterable[Fact]) -> list[FactRow]:
    return [
        FactRow(studio=studio, public_id=f.id, seq=n, kind=f.kind, data=f.data, task=f.task or "",
                happened_at=moment_of(f.happened), arrived_at=NOW)
        for n, f in enumerate(facts, 1)
    ]  # fmt: skip


@pytest.mark.django_db
def test_a_year_is_read_through_its_last_snapshot(monkeypatch: pytest.MonkeyPatch) -> None:
    studio = Studio.objects.create(name="Busy")
    FactRow.objects.bulk_create(rows(studio, year()), batch_size=2000)
    whole = fold(facts_of(studio))
    assert whole.troubles == [] and whole.twice == {} and whole.made["bowl"] > 20_000
    assert keep_snapshot(studio=studio) is not None
    folded: list[int] = []

    def counted(facts: list[Fact], *args: Any, **kwargs: Any) -> Any:
        folded.append(len(facts))
        return fold(facts, *args, **kwargs)

    monkeypatch.setattr(reading, "fold", counted)
    state = state_of(studio)
    assert state == whole and folded[0] <= EVERY + SETTLED
