"""What the record keeps of each mould: its last uses, its last weighings, its dry weight."""

from __future__ import annotations

import json

from studio.record.fold import fold
from studio.record.state import GRAMS_KEPT, TURNS_KEPT
from studio.record.store import state_from_json, state_to_json
from tests.record.making import T0, fact, pressed, taken_out

DAY = 1440


def test_a_use_begins_with_the_pressing_and_ends_when_the_piece_is_out() -> None:
    filled = fold([pressed(0)]).moulds["m1"]
    assert (filled.filled_at, filled.turns) == (T0 - 30, [])
    emptied = fold([pressed(0), taken_out(600)]).moulds["m1"]
    assert (emptied.filled_at, emptied.turns) == (None, [(T0 - 30, T0 + 600)])


def test_a_piece_lost_in_its_mould_ends_the_use_and_the_next_pressing_ends_one_that_was_not_told() -> None:
    lost = fold([pressed(0), fact("lost", 100, batch="b", count=1, where="mould", why="stuck")]).moulds["m3"]
    assert lost.turns == [(T0 - 30, T0 + 100)]
    again = fold([pressed(0), pressed(DAY, "c")]).moulds["m1"]
    assert (again.turns, again.filled_at) == ([(T0 - 30, T0 + DAY - 30)], T0 + DAY - 30)


def test_a_take_out_told_for_before_the_pressing_makes_no_use_that_ends_before_it_begins() -> None:
    odd = fold([pressed(0, started=T0 + 20, ended=T0 + 40, first=T0 + 21), taken_out(10)]).moulds["m1"]
    assert odd.turns == [(T0 + 20, T0 + 20)]


def test_only_the_last_uses_and_weighings_are_kept() -> None:
    facts = []
    for n in range(TURNS_KEPT + 5):
        facts += [pressed(n * DAY, f"b{n}"), taken_out(n * DAY + 600, f"b{n}")]
    facts += [fact("weighed", 50 * DAY + n, mould="m1", grams=2000 + n) for n in range(GRAMS_KEPT + 5)]
    mould = fold(facts).moulds["m1"]
    assert [out for _, out in mould.turns] == [T0 + n * DAY + 600 for n in range(5, TURNS_KEPT + 5)]
    assert [g for _, g in mould.grams] == list(range(2005, 2005 + GRAMS_KEPT))
    assert mould.uses == TURNS_KEPT + 5


def test_the_dry_weight_is_the_last_one_said_and_outlasts_later_weighings() -> None:
    facts = [fact("weighed", n, mould="m1", grams=g, dry=d) for n, (g, d) in enumerate([(1990, True), (2010, True)])]
    facts += [fact("weighed", 10 + n, mould="m1", grams=2100) for n in range(GRAMS_KEPT)]
    mould = fold(facts).moulds["m1"]
    assert mould.dry == (T0 + 1, 2010)
    said = facts[1]
    taken_back = fold([*facts, fact("undo", 40, of=said.id)]).moulds["m1"]
    assert taken_back.dry == (T0, 1990)


def test_a_snapshot_gives_it_all_back() -> None:
    weighed = fact("weighed", 700, mould="m1", grams=1990, dry=True)
    state = fold([pressed(0), taken_out(600), weighed, pressed(900, "c")])
    assert state_from_json(json.loads(json.dumps(state_to_json(state)))) == state
    own = state.clone()
    own.moulds["m1"].turns.append((1, 2))
    assert state.moulds["m1"].turns == [(T0 - 30, T0 + 600)]
