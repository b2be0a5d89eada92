"""Figures asked in the address of a page, in any units; what is wrong with them, in words and in the studio's units."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from django.utils.translation import gettext as _

from planner.craft.ranges import OutOfRange
from studio import units

NUMBER = r"-?\d+(?:\.\d+)?"
_SAY = {"mm": units.length, "g": units.weight, "l": units.volume}
_RANGE = re.compile(rf"from ({NUMBER}) to ({NUMBER}) (mm|g|l), not ({NUMBER})(?![\w.+])")
_MEASURE = re.compile(rf"({NUMBER}) (mm|g|l)\b")
_ENDS = (*units.ENTRIES, units.QUARTS)


class Asked:
    """What an address asks. ``values`` fill the form again, ``errors`` say by field what cannot be read."""

    def __init__(self, given: Mapping[str, str]) -> None:
        self._given = given
        self.values: dict[str, Any] = {}
        self.errors: dict[str, str] = {}

    def text(self, name: str, allowed: tuple[str, ...]) -> str:
        """One of the words allowed, the first where another or none stands there."""
        word = self._given.get(name, "")
        self.values[name] = word if word in allowed else allowed[0]
        return str(self.values[name])

    def number(self, name: str, usual: float | None = None, must: bool = False) -> float | None:
        """The figure ``name`` in mm, g, l or as it is; ``usual`` where nothing is entered.

        An entry in inches, pounds or quarts stands under the name with their ending, as the fields send it.
        """
        entry = next((e for e in _ENDS if self._given.get(f"{name}{e.end}", "").strip()), None)
        key = f"{name}{entry.end}" if entry else name
        raw = self._given.get(key, "").strip()
        if not raw:
            self.values[name] = "" if usual is None else _plain(usual)
            if must:
                self.errors[name] = _("Please fill this in.")
            return usual
        self.values[key] = raw
        try:
            value = float(raw.replace(",", ".")) * (entry.each if entry else 1)
        except ValueError:
            self.errors[name] = _("Enter a number, such as 6 or 7.5.")
            return None
        self.values[name] = _plain(value)
        return value

    def between(self, name: str, low: float, high: float, usual: float | None = None) -> float | None:
        """A figure without a unit from ``low`` to ``high``."""
        value = self.number(name, usual)
        if value is not None and not low <= value <= high:
            self.errors[name] = _("Enter a number from %(lo)g to %(hi)g.") % {"lo": low, "hi": high}
            return None
        return value

    def whole(self, name: str, low: int, high: int, usual: int) -> int:
        """A whole number from ``low`` to ``high``."""
        value = self.number(name, usual)
        if value is None or not low <= value <= high or value != int(value):
            self.errors.setdefault(name, _("Enter a whole number from %(lo)d to %(hi)d.") % {"lo": low, "hi": high})
            return usual
        return int(value)


def _plain(value: float) -> float | int | str:
    """A figure as a field shows it: 300, not 300.0; nothing for what is no finite number."""
    if value != value or abs(value) > 1e12:
        return ""
    return int(value) if value == int(value) else round(value, 3)


def in_words(fault: OutOfRange) -> str:
    """A refusal of the reckoning as a sentence, its lengths, weights and volumes in the studio's units."""
    text = str(fault)
    if units.current() == units.US:
        text = _RANGE.sub(lambda m: _range(m[1], m[2], m[4], m[3]), text)
        text = _MEASURE.sub(lambda m: _SAY[m[2]](float(m[1])), text)
    return text[:1].upper() + text[1:] + "."


def _range(low: str, high: str, given: str, unit: str) -> str:
    say = _SAY[unit]
    return f"from {say(float(low))} to {say(float(high))}, not {say(float(given))}"
