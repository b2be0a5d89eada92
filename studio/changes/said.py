"""What a change is, and the two plans that it lies between."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from django.utils.formats import date_format
from django.utils.translation import gettext as _

from studio import words
from studio.queries.sides import Side

NEAR = 7  # days: what changes in them is told piece by piece, what comes later is counted


@dataclass(frozen=True)
class Change:
    """One sentence. ``kind``: "order_late", "order_better", "order_new", "order_gone", "order_stays", "spoiled",
    "moved", "more", "fewer", "firing", "evening", "later_on", "within_days", "load_over", "load_smaller",
    "nothing_else", "nothing" or "first".
    ``things``: the ids of what it is about (orders, tasks, firings, forms, ware)."""

    kind: str
    text: str
    things: tuple[str, ...] = ()


@dataclass(frozen=True)
class Both:
    """The plan before and the one after it, each without what is done or gone by when the second begins."""

    old: Side
    new: Side

    def _off(self, day: dt.date) -> int:
        return (day - self.new.since.astimezone(self.new.live.zone).date()).days

    def is_near(self, *days: dt.date) -> bool:
        """Whether one of ``days`` lies in the week that the second plan begins with."""
        return any(self._off(day) < NEAR for day in days)

    def day(self, day: dt.date) -> str:
        """A day by its name, with the date where that name comes again before it."""
        return date_format(day, "l" if 0 <= self._off(day) < NEAR else "l j F")

    def half(self, half: tuple[dt.date, str]) -> str:
        """A half day of a day."""
        return _("%(day)s %(half)s") % {"day": self.day(half[0]), "half": words.HALVES[half[1]]}
