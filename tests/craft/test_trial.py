"""Trial pressings and the wear of tools."""

from __future__ import annotations

from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.craft.ranges import OutOfRange
from planner.craft.trial import (
    SPARE,
    Trial,
    clay_per_hundred_firsts_g,
    cut_off_per_hundred_g,
    first_ball,
    next_ball,
    settled,
    tool_wear,
)

pytestmark = pytest.mark.one_lane


def test_the_ball_of_the_bowls() -> None:
    """Common practice, no source: balls of 560 g that leave 38 g spare each, so try 545."""
    advice = next_ball([Trial(560, 38), Trial(560, 37), Trial(560, 39)])
    assert advice.ball_g == 545
    assert advice.piece_g == pytest.approx(522)
    assert advice.spare_g == pytest.approx(23)
    assert advice.stop_mm == 0


def test_the_first_ball_leaves_the_same_spare() -> None:
    """Of a piece of 522 g the ball is that of the trials above; 327 / 0.96 = 340.6, the next 5 g up are 345."""
    assert (first_ball(522), first_ball(327)) == (545, 345)
    assert first_ball(480, spare=0.2) == 600
    for piece, spare in ((5, 0.04), (20_000, 0.04), (500, 0.5)):
        with pytest.raises(OutOfRange):
            first_ball(piece, spare)


def test_a_mould_that_did_not_fill_takes_a_larger_ball() -> None:
    assert next_ball([Trial(500, 0, filled=False), Trial(520, 0, filled=False)]).ball_g == 550  # 520 × 1.05 = 546
    assert next_ball([Trial(500, 0, filled=False), Trial(560, 38)]).ball_g == 545  # the filled one tells more


def test_too_thick_a_wall_is_mended_at_the_stop_and_the_ball_follows() -> None:
    """Walls 6, 6, 6 for 5, 5, 5: a sixth less clay (522 × 5/6 = 435), the stop 1 mm in; 435 / 0.96 = 453 → 455."""
    measured = {"foot": 6.0, "wall": 6.0, "rim": 6.0}
    advice = next_ball([Trial(560, 38, measured)], dict.fromkeys(measured, 5.0))
    assert (advice.ball_g, advice.stop_mm) == (455, -1.0)
    assert next_ball([Trial(560, 38, {"wall": 5.1})], {"wall": 5.0}).stop_mm == 0  # within what can be measured


@settings(max_examples=30, deadline=None)
@given(st.integers(0, 10**6), st.floats(100, 2000), st.floats(0.7, 1.6))
def test_it_converges_on_a_made_up_form(seed: int, piece: float, start: float) -> None:
    """A form takes ``piece`` g, weighed to 3 g: the spare ends as wanted, whatever the first ball."""
    chance, trials, ball = Random(seed), list[Trial](), round(piece * start / 0.96, -1)
    for _ in range(12):
        filled = ball > piece
        weighed = max(0.0, min(ball * 0.9, ball - piece + chance.gauss(0, 1.5)))
        trials.append(Trial(ball, weighed if filled else 0, {}, filled))
        ball = next_ball(trials[-2:]).ball_g
    assert ball / piece == pytest.approx(1 / (1 - SPARE), abs=0.01 + 5 / piece)


def test_settled_means_twice_the_same() -> None:
    wanted = {"wall": 5.0}
    good = Trial(545, 22, {"wall": 5.1})
    assert settled([Trial(560, 38, {"wall": 6}), good, good], wanted)
    assert not settled([good], wanted)
    assert not settled([good, Trial(560, 38, {"wall": 5})], wanted)
    assert not settled([good, Trial(545, 22, {"wall": 5.6})], wanted)
    assert not settled([good, Trial(545, 22)], wanted)
    assert not settled([good, Trial(545, 22, {"wall": 5}, filled=False)], wanted)


def test_clay_for_a_hundred() -> None:
    assert cut_off_per_hundred_g([Trial(560, 38), Trial(545, 23)]) == 2300
    assert clay_per_hundred_firsts_g(545, 23, 0.1) == pytest.approx(58_000)  # 100 × 522 / 0.9


ANSCOMBE = list(zip([10, 8, 13, 9, 11, 14, 6, 4, 12, 7, 5],
                    [8.04, 6.95, 7.58, 8.81, 8.33, 9.96, 7.24, 4.26, 10.84, 4.82, 5.68], strict=True))  # fmt: skip


def test_the_line_of_wear_is_anscombes() -> None:
    """Anscombe, The American Statistician 1973, first set: y = 3.00 + 0.500 x. Here x counts hundreds of pressings."""
    wear = tool_wear([(100 * x, y) for x, y in ANSCOMBE], most_mm=12)
    assert wear.new_mm == pytest.approx(3.0001, abs=5e-5)
    assert wear.per_thousand_mm == pytest.approx(5.001, abs=5e-4)
    assert wear.left == 399  # (12 − 3.0001) / 0.0050009 = 1799.6 pressings, of which 1400 are done


def test_a_tool_that_does_not_wear_is_not_worn() -> None:
    assert tool_wear([(0, 5.2), (500, 5.1), (900, 5.2)], 6).per_thousand_mm == pytest.approx(-0.0082, abs=1e-4)
    assert tool_wear([(0, 5.2), (500, 5.1), (900, 5.2)], 6).left is None
    assert tool_wear([(0, 5.0), (500, 5.5), (1000, 6.0)], 5.5).left == 0


def test_what_cannot_be_is_refused_in_words() -> None:
    with pytest.raises(OutOfRange, match="the spare of this ball"):
        Trial(500, 600)
    with pytest.raises(OutOfRange, match="press one and weigh"):
        next_ball([])
    with pytest.raises(OutOfRange, match="press one and weigh"):
        cut_off_per_hundred_g([])
    with pytest.raises(OutOfRange, match="three measurements"):
        tool_wear([(0, 5), (200, 5.1)], 6)
    with pytest.raises(OutOfRange, match="share of the ball"):
        next_ball([Trial(500, 20)], spare=0.5)
