"""The state is the same whatever the order of arrival, and whichever snapshots are there."""

from __future__ import annotations

import random
from collections import Counter

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from studio.record.facts import Fact
from studio.record.fold import fold
from studio.record.form import ABOUT_FACTS, check_form
from studio.record.points import Point, usable
from studio.record.state import IN_MOULD, KILN, State
from studio.record.store import state_from_json, state_to_json
from tests.record.anything import records

pytestmark = pytest.mark.one_lane  # no database

calm = settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.too_slow])


@calm
@given(records(), st.randoms(use_true_random=False))
def test_the_order_in_which_facts_are_given_does_not_matter(facts: list[Fact], chance: random.Random) -> None:
    assert all(check_form(f.kind, f.data) == [] for f in facts)
    shuffled = facts[:]
    chance.shuffle(shuffled)
    assert fold(shuffled) == fold(facts)


@calm
@given(records(), st.randoms(use_true_random=False))
def test_folding_on_from_any_usable_snapshot_gives_the_same(facts: list[Fact], chance: random.Random) -> None:
    """At random moments of arrival snapshots are kept at random places; some are dropped; all others must agree."""
    known = {f.id: f for f in facts}
    kept: list[tuple[Point, dict]] = []
    for n in range(1, len(facts) + 1):
        arrived = facts[:n]
        if chance.random() < 0.4:
            place = chance.choice(arrived).place
            state = fold([f for f in arrived if f.place <= place or f.kind in ABOUT_FACTS])
            kept.append((Point(*place, known=n), state_to_json(state)))
        if kept and chance.random() < 0.2:
            kept.pop(chance.randrange(len(kept)))
    whole = fold(facts)
    for point, said in kept:
        if usable(point, facts, known.get):
            start = state_from_json(said)
            before = start.clone()
            assert fold([f for f in facts if f.place > point[:2]], start) == whole
            assert start == before  # the snapshot is not touched


@calm
@given(records())
def test_the_state_survives_being_written_down(facts: list[Fact]) -> None:
    state = fold(facts)
    assert state_from_json(state_to_json(state)) == state


@calm
@given(records())
def test_the_state_holds_together(facts: list[Fact]) -> None:
    """Whatever was recorded, each filled mould holds one piece of one batch and each kiln one firing's ware."""
    state = fold(facts)
    assert all(w.id == key and w.count > 0 for key, w in state.ware.items())
    _moulds_hold_together(state)
    _kilns_hold_together(state)
    assert {t.fact for t in state.troubles} <= {f.id for f in facts}


def _moulds_hold_together(state: State) -> None:
    in_moulds = [w for w in state.ware.values() if w.stage == IN_MOULD]
    assert all(len(w.moulds) == w.count for w in in_moulds)
    filled = {m: w.id for w in in_moulds for m in w.moulds}
    assert sum(len(w.moulds) for w in in_moulds) == len(filled)
    assert {m.id: m.filled_by for m in state.moulds.values() if m.filled_by} == filled


def _kilns_hold_together(state: State) -> None:
    for ware in state.ware.values():
        if ware.stage == KILN:
            assert (
                state.kilns[ware.kiln or ""].holds == ware.firing and ware.id in state.firings[ware.firing or ""].pieces
            )
    holding = Counter(k.holds for k in state.kilns.values() if k.holds)
    assert all(n == 1 and state.firings[f].drawn is None for f, n in holding.items())


def test_the_random_facts_reach_what_they_are_for() -> None:
    """A generator that never packs a kiln or never contradicts itself would prove nothing."""
    stages: Counter[str] = Counter()
    codes: Counter[str] = Counter()

    @settings(max_examples=500, deadline=None, database=None, derandomize=True)
    @given(records(60))
    def look(facts: list[Fact]) -> None:
        state = fold(facts)
        stages.update(w.stage for w in state.ware.values())
        stages.update(["twice"] * len(state.twice))
        codes.update(t.code for t in state.troubles)

    look()
    assert {"in_mould", "leather", "kiln", "bisqued", "glazed", "fired", "twice"} <= set(stages)
    assert {"no_such_ware", "other_stage", "mould_filled", "kiln_full", "drawn_unlit", "id_used"} <= set(codes)
