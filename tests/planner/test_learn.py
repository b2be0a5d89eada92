"""A spread learned from records: a known one is found again, a few count little, one wild value does little."""

from __future__ import annotations

from random import Random

import pytest

from planner.robust import Occasion, Range, Spread, counted_losses, learned_range

USUAL = Spread().work


def factors(true: Range, n: int, seed: int = 1) -> list[float]:
    chance = Random(seed)
    return [true.draw(chance) for _ in range(n)]


def far(a: Range, b: Range) -> float:
    return max(abs(a.low - b.low), abs(a.usual - b.usual), abs(a.high - b.high))


@pytest.mark.parametrize("true", [Range(0.9, 1.2, 1.8), Range(0.6, 0.8, 1.0), Range(1.0, 1.05, 1.6)])
def test_a_known_spread_is_found_again(true: Range) -> None:
    few, many = (learned_range(factors(true, n), USUAL) for n in (12, 2000))
    assert far(many, true) < 0.1
    assert far(few, true) < far(USUAL, true)


def test_without_records_the_default_stands() -> None:
    assert learned_range([], USUAL) is USUAL
    assert counted_losses([]) == (0, 0)


def test_one_record_moves_the_default_by_an_eleventh() -> None:
    """A single factor of 1.2 is worth 1 of 11: (10 × 0.85 + 1.2) ÷ 11 and so on."""
    found = learned_range([1.2], USUAL)
    assert (found.low, found.usual, found.high) == pytest.approx((9.7 / 11, 11.2 / 11, 14.2 / 11))


@pytest.mark.parametrize("wild", [8.0, 2.9, 0.4, 0.01])
def test_one_wild_value_does_little(wild: float) -> None:
    calm = factors(Range(0.9, 1.0, 1.2), 20)
    assert far(learned_range([*calm, wild], USUAL), learned_range(calm, USUAL)) < 0.06


def test_what_is_lost_in_passing_counts_as_it_is() -> None:
    assert counted_losses([Occasion(9, 1, 10)] * 24) == (240, 24)
    assert counted_losses([Occasion(1, 2, 3)]) == (3, 2)  # two always count


def test_a_fallen_shelf_is_no_habit() -> None:
    """Forty of forty lost once count as ten."""
    calm = [Occasion(30, 0, 30)] * 10
    assert counted_losses([*calm, Occasion(0, 40, 40)]) == (310, 10)


def test_a_true_share_is_found_again() -> None:
    chance = Random(3)
    lost = [sum(chance.random() < 0.12 for _ in range(16)) for _ in range(300)]
    came, gone = counted_losses(Occasion(16 - n, n, 16) for n in lost)
    assert gone / came == pytest.approx(0.12, abs=0.01)
