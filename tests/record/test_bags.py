"""Bags of plaster as moulds are poured, and the steps of a casting session."""

from __future__ import annotations

from typing import Any

import pytest

from studio.record.bags import in_order
from studio.record.facts import Fact
from studio.record.fold import fold
from studio.record.form import check_form
from studio.record.state import State
from tests.record.making import T0, fact, undo

pytestmark = pytest.mark.one_lane  # no database


def came(at: int, bag: str, grams: int = 25_000, **more: Any) -> Fact:
    return fact("plaster_in", at, bag=bag, grams=grams, **more)


def poured(at: int, cast: str = "c", grams: int = 4000) -> Fact:
    return fact("poured", at, cast=cast, form="bowl", started=T0 + at - 45, ended=T0 + at, plaster_g=grams)


def left(state: State) -> dict[str, int]:
    return {k: b.left for k, b in state.plaster.items()}


def test_the_open_bag_is_used_first_and_then_the_oldest() -> None:
    facts = [came(0, "new", made="2027-03-01"), came(1, "old", 5000, made="2027-01-10"), came(2, "undated", 9000)]
    state = fold([*facts, poured(60, "c1"), poured(70, "c2"), poured(80, "c3", 24_000)])
    # 4 of the old one; its last kg and 3 of the new; then the new one's 22 and 2 of the undated.
    assert left(state) == {"new": 0, "old": 0, "undated": 7000}
    assert [b.id for b in in_order(state)] == ["undated"]
    assert state.plaster["new"].opened == T0 + 70 and state.plaster["undated"].opened == T0 + 80


def test_a_bag_said_to_be_open_goes_before_an_older_one() -> None:
    facts = [came(0, "old", made="2027-01-10"), came(1, "new", made="2027-03-01")]
    state = fold([*facts, fact("plaster_opened", 5, bag="new"), poured(60)])
    assert left(state) == {"old": 25_000, "new": 21_000}


def test_more_than_there_is_leaves_none_and_a_pour_without_a_figure_takes_none() -> None:
    assert left(fold([came(0, "a", 1000), poured(60)])) == {"a": 0}
    bare = fact("poured", 60, cast="c", form="bowl", started=T0, ended=T0 + 60)
    assert left(fold([came(0, "a", 1000), bare])) == {"a": 1000}


def test_a_pour_taken_back_gives_its_plaster_back() -> None:
    told = poured(60)
    assert left(fold([came(0, "a"), told, undo(70, told)])) == {"a": 25_000}


def test_what_failed_is_gone_and_poured_again_takes_as_much() -> None:
    lost = fact("cast_lost", 100, cast="c")
    assert left(fold([came(0, "a"), poured(60), lost, poured(200)])) == {"a": 17_000}


def test_the_scale_has_the_last_word_and_unknown_bags_are_told() -> None:
    state = fold([came(0, "a"), fact("plaster_left", 5, bag="a", grams=300), fact("plaster_left", 6, bag="b", grams=1)])
    assert left(state) == {"a": 300} and [t.code for t in state.troubles] == ["no_such_bag"]


def test_the_steps_of_a_session_are_kept_until_it_failed() -> None:
    steps = [fact("cast_step", 10, cast="c", step="soaped"), fact("cast_step", 90, cast="c", step="frame_off")]
    state = fold([steps[0], poured(60), steps[1]])
    assert state.casting == {"c": {"soaped": T0 + 10, "frame_off": T0 + 90}}
    again = fact("cast_step", 130, cast="c", step="soaped")
    state = fold([steps[0], poured(60), steps[1], fact("cast_lost", 120, cast="c"), again])
    assert state.casting == {"c": {"soaped": T0 + 130}} and state.twice == {}
    assert state.clone() == state


@pytest.mark.parametrize("day", ["", "15 March", "2027-3-5", 20270315, "2027-13-01"])
def test_a_bag_s_day_is_a_day(day: object) -> None:
    assert check_form("plaster_in", {"bag": "a", "grams": 1, "made": day}) != []
