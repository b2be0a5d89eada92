"""The one error of this package: a number outside the range in which a formula holds, in words for people."""

from __future__ import annotations

from math import isfinite


class OutOfRange(ValueError):
    """A number, or several together, that a formula cannot take. The text is a sentence for who gave them."""


def within(value: float, low: float, high: float, what: str, unit: str = "") -> float:
    """The value itself if low ≤ value ≤ high, else ``OutOfRange`` with its name, the range allowed and the unit.

    What is not a number at all, or not a finite one, is outside every range.
    """
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise OutOfRange(f"{what} must be a number from {_said(low, high, unit)}, not {value!r}")
    if not isfinite(value) or not low <= value <= high:
        raise OutOfRange(f"{what} must be from {_said(low, high, unit)}, not {value:g}")
    return value


def _said(low: float, high: float, unit: str) -> str:
    return f"{low:g} to {high:g}" + (f" {unit}" if unit else "")
