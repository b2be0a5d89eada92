"""How many pieces are made for an order, with losses allowed for."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from studio.translate.quantity import Standing, pieces_to_make, survival

pytestmark = pytest.mark.one_lane  # no database


@pytest.mark.parametrize(
    ("passes_pct", "rolled"),
    [
        # Rolled throughput yield, Minitab's support page on it: .95 × .84 × .88, printed there as .70.
        ((95, 84, 88), "0.70224"),
        # The same rule, worked by hand: .98 × .97 × .99 × .96 = .90345…
        ((98, 97, 99, 96), "0.9034502"),
    ],
)
def test_the_share_that_comes_through_is_the_rolled_yield(passes_pct: tuple[int, ...], rolled: str) -> None:
    found = survival(100 - p for p in passes_pct)
    assert abs(found - Fraction(rolled)) < Fraction(1, 10**6)


def test_the_worked_example_of_the_docstring() -> None:
    pressing = survival([4, 1, 4])
    assert pressing == Fraction("0.912384")
    fired, bisqued = survival([4]), survival([4])
    need = pieces_to_make(20, [Standing(6, fired), Standing(10, bisqued)], pressing)
    assert need == (6 + 10 + 6, (6, 10), 6)
    need = pieces_to_make(20, [Standing(6, fired), Standing(30, bisqued)], pressing)
    assert need == (6 + 15, (6, 15), 0)


def test_nothing_missing_asks_for_nothing() -> None:
    assert pieces_to_make(0, [Standing(5, Fraction(1))], Fraction(1)) == (0, (0,), 0)
    assert pieces_to_make(-3, [], Fraction(1)) == (0, (), 0)


def test_without_losses_it_is_what_is_missing() -> None:
    assert pieces_to_make(12, [Standing(5, Fraction(1))], Fraction(1)) == (12, (5,), 7)


def test_a_form_that_always_fails_does_not_ask_for_endless_pieces() -> None:
    assert survival([100]) == Fraction(1, 100)
    assert pieces_to_make(3, [], survival([100])).qty == 300


@given(
    st.integers(0, 500),
    st.lists(st.tuples(st.integers(0, 200), st.integers(0, 90)), max_size=6),
    st.integers(0, 90),
)
def test_it_is_enough_and_one_piece_fewer_would_not_be(missing: int, stages: list, loss: int) -> None:
    standing = [Standing(n, survival([pct])) for n, pct in stages]
    pressing = survival([loss])
    need = pieces_to_make(missing, standing, pressing)
    worths = [s.survival for s, taken in zip(standing, need.taken, strict=True) for _i in range(taken)]
    worths += [pressing] * need.fresh
    assert need.qty == len(worths) and sum(worths) >= missing
    assert not worths or sum(worths[:-1]) < missing
    assert all(taken <= s.pieces for s, taken in zip(standing, need.taken, strict=True))
