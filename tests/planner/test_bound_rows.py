"""Rows in whole numbers forbid nothing that they do not forbid in fractions."""

from __future__ import annotations

import random
from fractions import Fraction

import pytest

from planner.model.proof.exact import scaled
from planner.model.proof.mip import INFINITY, Mip, Row, Var


def row_of(factors: list[float], lo: float, hi: float) -> tuple[Row, list[Var]]:
    mip = Mip()
    made = [mip.var(10) for _ in factors]
    return Row(dict(zip(made, factors, strict=True)), lo, hi), made


def test_a_row_of_fractions_is_scaled_exactly() -> None:
    row, (a, b) = row_of([1 / 110, 0.75], -INFINITY, 1.5)  # × 220: 2 a + 165 b ≤ 330
    assert scaled(row) == ({a: 2, b: 165}, None, 330)


def test_both_sides_are_kept_where_they_are_whole() -> None:
    row, (a, b) = row_of([1.0, -3.0], 2, 2)
    assert scaled(row) == ({a: 1, b: -3}, 2, 2)


@pytest.mark.parametrize("seed", range(60))
def test_what_keeps_a_row_keeps_it_scaled(seed: int) -> None:
    """Factors whose common denominator is far too large, in exact fractions, at points that touch the row."""
    chance = random.Random(seed)
    exact = [Fraction(chance.randint(-50, 90), chance.choice([97, 89, 83, 79, 73, 71])) for _ in range(6)]
    point = [chance.randint(0, 10) for _ in exact]
    side = sum((f * n for f, n in zip(exact, point, strict=True)), Fraction(0))
    upper = seed % 2 == 0
    row, made = row_of([float(f) for f in exact], *((-INFINITY, float(side)) if upper else (float(side), INFINITY)))
    factors, lo, hi = scaled(row)
    total = sum(factors.get(v, 0) * n for v, n in zip(made, point, strict=True))
    assert (lo is None or lo <= total) and (hi is None or total <= hi)
    assert (hi is None) != upper
