"""The one error of the package says what is out of range, what would do, and the unit."""

from __future__ import annotations

import pytest

from planner.craft.ranges import OutOfRange, within


def test_what_is_within_comes_back() -> None:
    assert within(20, 0, 50, "the temperature", "°C") == 20
    assert within(0, 0, 50, "the temperature") == 0 and within(50, 0, 50, "the temperature") == 50


@pytest.mark.parametrize("value", [-0.001, 50.001, float("nan"), float("inf"), True, "20", None])
def test_what_is_not_is_refused_in_a_sentence(value: float) -> None:
    with pytest.raises(OutOfRange, match=r"the temperature must be .*from 0 to 50 °C, not "):
        within(value, 0, 50, "the temperature", "°C")
