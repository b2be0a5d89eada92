"""Putting facts on record and reading the state back through snapshots."""

from __future__ import annotations

import datetime as dt
import random

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from hypothesis.extra.django import TestCase

from studio.models import Fact as FactRow
from studio.models import Snapshot, Studio
from studio.queries.record import facts_of, moment_of, record_head
from studio.queries.state import state_of
from studio.record.facts import Fact
from studio.record.fold import fold
from studio.services import record as service
from studio.services.record import FactRefused, NewFact, append_facts
from tests.record.anything import records
from tests.record.making import T0, pressed, taken_out, whole_way

NOW = dt.datetime(2026, 1, 1, tzinfo=dt.UTC)


@pytest.fixture
def studio(db: None) -> Studio:
    return Studio.objects.create(name="North Yard")


def put(studio: Studio, *facts: Fact) -> list[FactRow]:
    new = [NewFact(f.id, f.kind, f.data, f.happened, f.task) for f in facts]
    return append_facts(studio=studio, facts=new, command=None, now=NOW)


def test_facts_get_the_next_places_in_the_record(studio: Studio) -> None:
    assert record_head(studio) == 0
    put(studio, pressed(0))
    rows = put(studio, taken_out(600), taken_out(700, "c"))
    assert [r.seq for r in rows] == [2, 3] and record_head(studio) == 3
    other = Studio.objects.create(name="Fen")
    assert record_head(other) == 0 and state_of(other).ware == {}


def test_all_of_them_or_none(studio: Studio) -> None:
    bad = Fact("x", "lit", T0, 0, T0)
    with pytest.raises(FactRefused, match="firing: is missing"):
        put(studio, pressed(0), bad)
    assert FactRow.objects.count() == 0 and record_head(studio) == 0
    with pytest.raises(FactRefused, match="no fact nothing on record"):
        put(studio, Fact("x", "undo", T0, 0, T0, data={"of": "nothing"}))


def test_an_undo_stands_after_what_it_undoes_even_by_a_wrong_clock(studio: Studio) -> None:
    out = taken_out(600)
    put(studio, pressed(0), out)
    put(studio, Fact("u", "undo", T0 - 999, 0, T0, data={"of": out.id}))
    assert state_of(studio).ware["b"].stage == "in_mould"


def test_the_state_at_an_earlier_moment_by_what_is_known_today(studio: Studio) -> None:
    put(studio, *whole_way())
    assert state_of(studio, moment_of(T0 + 599)).ware["b"].stage == "in_mould"
    assert state_of(studio, moment_of(T0 + 3000)).ware["b"].stage == "kiln"
    assert state_of(studio).ware == {}


def test_a_late_fact_drops_the_snapshots_that_it_touches(studio: Studio, monkeypatch: pytest.MonkeyPatch) -> None:
    _small(monkeypatch)
    put(studio, *whole_way()[:6])
    put(studio, *whole_way()[6:])
    assert Snapshot.objects.filter(happened_at__gte=moment_of(T0 + 700)).exists()
    put(studio, Fact("late", "lost", T0 + 700, 0, T0, data={"batch": "b", "count": 1, "where": "", "why": ""}))
    before = Snapshot.objects.filter(known_seq__lt=record_head(studio))
    assert not before.filter(happened_at__gte=moment_of(T0 + 700)).exists()
    assert state_of(studio) == fold(facts_of(studio)) and state_of(studio).lost == {"bowl/leather": 1}


def test_a_snapshot_that_missed_a_fact_is_not_believed(studio: Studio, monkeypatch: pytest.MonkeyPatch) -> None:
    """As when one process keeps a snapshot while another records something earlier."""
    _small(monkeypatch)
    put(studio, *whole_way())
    kept = list(Snapshot.objects.values("happened_at", "seq", "known_seq", "shape", "state"))
    put(studio, Fact("late", "lost", T0 + 700, 0, T0, data={"batch": "b", "count": 1, "where": "", "why": ""}))
    Snapshot.objects.all().delete()
    Snapshot.objects.bulk_create([Snapshot(studio=studio, **k) for k in kept])
    assert kept and state_of(studio) == fold(facts_of(studio))


def test_a_snapshot_of_another_shape_is_ignored(studio: Studio, monkeypatch: pytest.MonkeyPatch) -> None:
    _small(monkeypatch)
    put(studio, *whole_way())
    Snapshot.objects.update(shape=0, state={"nonsense": True})
    assert state_of(studio) == fold(facts_of(studio))


def _small(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(service, "EVERY", 2)
    monkeypatch.setattr(service, "SETTLED", 1)
    monkeypatch.setattr("studio.record.points.SETTLED", 1)


class Arrivals(TestCase):
    """In any order of arrival, in any parcels, whatever snapshots are dropped in between: the same state."""

    @settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow])
    @given(records(25), st.randoms(use_true_random=False))
    def test_any_order_of_arrival_gives_the_same_state(self, facts: list[Fact], chance: random.Random) -> None:
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(service, "EVERY", 4)
            patch.setattr(service, "SETTLED", 2)
            patch.setattr("studio.record.points.SETTLED", 2)
            apart = _apart(facts)
            one, other = Studio.objects.create(name="One"), Studio.objects.create(name="Other")
            put(one, *apart)
            for fact in _shuffled(apart, chance):
                put(other, fact)
                _drop_some(other, chance)
            assert state_of(one) == fold(facts_of(one))
            assert state_of(other) == fold(facts_of(other)) == state_of(one)


def _apart(facts: list[Fact]) -> list[Fact]:
    """The facts each at a minute of its own: two in one minute are told apart by their arrival alone."""
    ordered = sorted(facts, key=lambda f: f.place)
    return [Fact(f.id, f.kind, T0 + n, f.seq, T0, None, f.task, f.data) for n, f in enumerate(ordered)]


def _shuffled(facts: list[Fact], chance: random.Random) -> list[Fact]:
    """In random order, but what speaks of a fact after that fact, as it can be no other way."""
    rest, found = facts[:], []
    while rest:
        there = {f.id for f in found}
        fact = chance.choice([f for f in rest if f.data.get("of") is None or f.data["of"] in there])
        rest.remove(fact)
        found.append(fact)
    return found


def _drop_some(studio: Studio, chance: random.Random) -> None:
    for pk in Snapshot.objects.filter(studio=studio).values_list("pk", flat=True):
        if chance.random() < 0.2:
            Snapshot.objects.filter(pk=pk).delete()
