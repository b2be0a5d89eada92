"""Which batch of clay a pressing is of, what is left, and what goes to the reclaim."""

from __future__ import annotations

from typing import Any

import pytest

from planner.craft.needs import Pressing, reclaimed_g
from studio.record.clay import in_use
from studio.record.facts import Fact
from studio.record.fold import fold
from studio.record.state import State
from tests.record.making import correction, fact, packed, pressed, step_done, taken_out, undo

pytestmark = pytest.mark.one_lane  # no database


def came(at: int, batch: str, grams: int = 10_000, body: str = "stone", **more: Any) -> Fact:
    return fact("clay_in", at, batch=batch, body=body, grams=grams, how="delivered", **more)


def bowls(at: int, batch: str = "b", n: int = 3, **more: Any) -> Fact:
    """Balls of 560 g, of which 60 are cut off."""
    moulds = tuple(f"{batch}-m{i}" for i in range(n))
    return pressed(at, batch, moulds, **{"body": "stone", "ball_g": 560, "spare_g": 60, **more})


def left(state: State) -> dict[str, int]:
    return {k: c.left for k, c in state.clay.items()}


def test_the_oldest_with_clay_left_is_in_use() -> None:
    state = fold([came(0, "k1", 2000), came(5, "k2"), bowls(10, "b1"), bowls(20, "b2"), bowls(30, "b3")])
    # 3 × 560 = 1680 a pressing: k1 ends within the second, which began with it.
    assert state.clay_of == {"b1": "k1", "b2": "k1", "b3": "k2"}
    assert left(state) == {"k1": 0, "k2": 12_000 - 3 * 1680}
    assert state.troubles == []


def test_what_is_begun_goes_before_what_is_older() -> None:
    facts = [came(0, "k1"), came(5, "k2", 2000), fact("clay_begun", 8, batch="k2")]
    state = fold([*facts, bowls(10, "b1"), bowls(20, "b2"), bowls(30, "b3")])
    assert state.clay_of == {"b1": "k2", "b2": "k2", "b3": "k1"}


def test_a_pressing_told_late_is_of_the_batch_of_its_time() -> None:
    state = fold([came(0, "k1", 2000), came(5, "k2"), bowls(20, "b2"), bowls(30, "b3"), bowls(10, "b1")])
    assert state.clay_of == {"b1": "k1", "b2": "k1", "b3": "k2"}


def test_a_person_may_say_another() -> None:
    told = bowls(10)
    state = fold([came(0, "k1"), came(5, "k2"), told, correction(40, told, clay="k2")])
    assert state.clay_of == {"b": "k2"} and left(state) == {"k1": 10_000, "k2": 8320}


def test_the_scale_has_the_last_word() -> None:
    state = fold([came(0, "k1"), bowls(10), fact("clay_left", 15, batch="k1", grams=0), came(16, "k2")])
    stone = in_use(state, "stone")
    assert stone is not None and stone.id == "k2" and in_use(state, "black") is None


def test_a_pressing_without_a_word_of_clay_draws_on_nothing() -> None:
    state = fold([came(0, "k1"), pressed(10)])
    assert left(state) == {"k1": 10_000} and state.clay_of == {} and state.reclaim == {}


def test_spare_and_lost_wet_pieces_come_back_in_part() -> None:
    state = fold([came(0, "k1"), bowls(10)])
    assert state.reclaim == {"stone": reclaimed_g(Pressing("stone", 3, 560, 60))} == {"stone": 144}
    state = fold([came(0, "k1"), bowls(10), taken_out(600, good=2, lost=1), step_done(700, good=1, lost=1)])
    assert state.reclaim == {"stone": 144 + 2 * 400}  # two pieces of 500 g, four fifths of each


def test_a_piece_lost_in_the_kiln_is_no_reclaim() -> None:
    way = [came(0, "k1"), bowls(10), taken_out(600), step_done(660), packed(2400, b=3)]
    state = fold([*way, fact("lost", 2500, batch="b", count=1, where="kiln", why="")])
    assert state.reclaim == {"stone": 144}


def test_pugging_takes_from_the_reclaim_and_a_look_sets_it_right() -> None:
    facts = [came(0, "k1"), bowls(10), fact("reclaim_left", 20, body="stone", grams=5000)]
    pugged = fact("clay_in", 30, batch="k2", body="stone", grams=9000, how="pugged", reclaim_g=4000)
    assert fold([*facts, pugged]).reclaim == {"stone": 1000}
    assert fold([*facts, pugged, undo(40, pugged)]).reclaim == {"stone": 5000}


def test_of_a_batch_that_is_not_on_record_nothing_follows() -> None:
    state = fold([fact("clay_begun", 0, batch="k9"), fact("clay_left", 1, batch="k9", grams=5)])
    assert [t.code for t in state.troubles] == ["no_such_clay", "no_such_clay"] and state.clay == {}
