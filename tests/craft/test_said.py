"""What is said in passing gives the form's true scale of time back, within the error that is stated."""

from __future__ import annotations

import random
from math import exp, log

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import norm

from planner.craft import ware
from planner.craft.estimates import Factor
from planner.craft.ranges import OutOfRange
from planner.craft.said import PIECE_SPREAD, PRIOR, Said, Word, chance, fit_scale, learned
from planner.craft.ware import Making
from tests.craft.kinds import WARES

pytestmark = pytest.mark.one_lane


def told(rng: random.Random, key: str, scale: float, n: int) -> list[Said]:
    """What a studio with this true scale would say of n pieces looked at when work allows."""
    made, said = WARES[key], []
    early, late = ware.open_hours_to(made, made.early), ware.open_hours_to(made, made.late)
    leather, dry = ware.board_hours_to(made, made.leather_end), ware.board_hours_to(made, ware.BONE_DRY)
    for _ in range(n):
        own = scale * exp(rng.gauss(0, PIECE_SPREAD))
        if rng.random() < 0.6:
            hours = rng.uniform(0.4 * early, 1.6 * late)
            split = made.making is Making.JIGGER and hours > own * late
            soft = rng.choice((Word.STUCK, Word.TOO_SOFT))
            said.append(Said(Word.STUCK if split else soft if hours < own * early else Word.CLEAN, hours))
        else:
            hours = rng.uniform(0.3 * leather, 1.8 * dry)
            past = Word.BONE_DRY if hours > own * dry else Word.TOO_DRY
            said.append(Said(past if hours > own * leather else Word.LEATHER_HARD, hours))
    return said


def off(estimate: Factor, true: float) -> float:
    """How many of its standard errors an estimate is off."""
    return abs(log(estimate.median / true)) / estimate.spread


@settings(max_examples=40, deadline=None, derandomize=True)
@given(st.sampled_from(sorted(WARES)), st.floats(0.6, 1.7), st.integers(0, 2**32))
def test_the_true_scale_comes_back_within_the_stated_error(key: str, true: float, seed: int) -> None:
    found = fit_scale(WARES[key], told(random.Random(seed), key, true, 30))
    assert off(found, true) < 4.5


def test_the_stated_error_is_neither_boast_nor_excuse() -> None:
    rng = random.Random(11)
    offs = []
    for i in range(80):
        true, key = exp(rng.gauss(0, PRIOR.spread)), sorted(WARES)[i % len(WARES)]
        offs.append(off(fit_scale(WARES[key], told(rng, key, true, 12)), true))
    within_one, within_two = (sum(o < k for o in offs) / len(offs) for k in (1, 2))
    assert 0.55 < within_one < 0.9 and within_two > 0.9  # 0.68 and 0.95 for a perfect error


def test_more_words_are_surer() -> None:
    rng = random.Random(5)
    words = told(rng, "bowl", 1.3, 60)
    spreads = [fit_scale(WARES["bowl"], words[:n]).spread for n in (0, 5, 20, 60)]
    assert spreads == sorted(spreads, reverse=True) and spreads[-1] < PRIOR.spread / 5


@settings(max_examples=20, deadline=None, derandomize=True)
@given(st.sampled_from(sorted(WARES)), st.floats(0.7, 1.4), st.integers(0, 2**32), st.booleans())
def test_one_odd_word_does_no_harm(key: str, true: float, seed: int, early: bool) -> None:
    words = told(random.Random(seed), key, true, 25)
    odd = Said(Word.CLEAN, 0.2) if early else Said(Word.TOO_SOFT, 200)
    clean, disturbed = fit_scale(WARES[key], words), fit_scale(WARES[key], [*words, odd])
    assert abs(log(disturbed.median / clean.median)) < clean.spread


def test_each_word_pulls_where_it_should() -> None:
    bowl = WARES["bowl"]  # out from 6 to 12 h, leather-hard for 8 h, dry in 36 h
    for said, slower in (
        (Said(Word.TOO_SOFT, 8), True),
        (Said(Word.STUCK, 8), True),
        (Said(Word.CLEAN, 5), False),
        (Said(Word.LEATHER_HARD, 10), True),
        (Said(Word.TOO_DRY, 6), False),
        (Said(Word.BONE_DRY, 28), False),
    ):
        assert (fit_scale(bowl, [said]).median > 1) is slower, said
        assert fit_scale(bowl, [said]).spread < PRIOR.spread
    # On a hump, stuck late means shrunk on, so faster than thought.
    plate = WARES["dinner_plate"]
    assert fit_scale(plate, [Said(Word.STUCK, 7)] * 3).median < 1
    assert fit_scale(plate, [Said(Word.STUCK, 6)] * 3).median > 1
    assert fit_scale(plate, [Said(Word.CLEAN, 11)]).median > 1


def test_words_that_say_what_was_known_change_little() -> None:
    bowl = WARES["bowl"]
    usual = [Said(Word.TOO_SOFT, 4), Said(Word.CLEAN, 9), Said(Word.LEATHER_HARD, 4), Said(Word.BONE_DRY, 50)]
    assert fit_scale(bowl, usual).median == pytest.approx(1, abs=0.03)
    assert fit_scale(bowl, []) == PRIOR


def test_the_chance_of_a_censored_word_is_a_normal_tail() -> None:
    # scipy's normal distribution as the reference: 6 h of practice, said after 9 h.
    bowl, plate = WARES["bowl"], WARES["dinner_plate"]
    assert chance(bowl, Said(Word.TOO_SOFT, 9), 1.2) == pytest.approx(float(norm.sf(log(9 / 7.2) / 0.15)), rel=1e-9)
    inside = float(norm.cdf(log(7 / 5) / 0.15) - norm.cdf(log(7 / 8) / 0.15))
    assert chance(plate, Said(Word.CLEAN, 7), 1) == pytest.approx(inside, rel=1e-9)
    for made in (bowl, plate):
        for hours in (0, 3, 8, 30):
            for pair in ((Word.CLEAN, Word.STUCK), (Word.LEATHER_HARD, Word.TOO_DRY)):
                assert sum(chance(made, Said(word, hours), 0.9) for word in pair) == pytest.approx(1)


def test_a_covered_mould_is_judged_by_its_own_earliest_hour() -> None:
    bowl = WARES["bowl"]
    assert chance(bowl, Said(Word.TOO_SOFT, 6.5, covered=True), 1) > chance(bowl, Said(Word.TOO_SOFT, 6.5), 1)


def test_what_was_learned_moves_the_windows() -> None:
    bowl = WARES["bowl"]
    found = fit_scale(bowl, [Said(Word.TOO_SOFT, 8)] * 4)
    assert ware.take_out(learned(bowl, found)).earliest_h == pytest.approx(6 * found.median)
    assert fit_scale(learned(bowl, found), [Said(Word.TOO_SOFT, 8)] * 4) == found  # what it had learned is not used


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (lambda: Said(Word.CLEAN, -1), "time after which it was said"),
        (lambda: Said(Word.CLEAN, 5, out=9), "moisture at taking out"),
        (lambda: chance(WARES["bowl"], Said(Word.CLEAN, 5), 0), "scale of time"),
        (lambda: fit_scale(WARES["bowl"], [Said(Word.CLEAN, 5)], spread=5), "spread among pieces"),
    ],
)
def test_what_is_out_of_range_is_said(call, says: str) -> None:
    with pytest.raises(OutOfRange, match=says):
        call()
