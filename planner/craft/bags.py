"""How long a bag of plaster keeps. Old plaster has drawn damp: it sets late or lumpy, and moulds of it are soft."""

from __future__ import annotations

from datetime import date, timedelta
from enum import StrEnum

KEEPS_DAYS = 120  # one maker's figure for a plaster to jigger on, as Digitalfire's page on plaster tells it
SOON_DAYS = 21  # before it ends, to be used first: common practice, no source


class Age(StrEnum):
    GOOD = "good"
    SOON = "soon"
    OLD = "old"
    UNKNOWN = "unknown"


def keeps_until(made: date | None, best: date | None) -> date | None:
    """The last day: that on the bag, else 120 days after it was bagged; None where it tells neither."""
    if best is not None:
        return best
    return None if made is None else made + timedelta(days=KEEPS_DAYS)


def age_on(day: date, until: date | None) -> Age:
    """How old a bag is on a day, by the last day on which it keeps: soon within three weeks of it, old after it."""
    if until is None:
        return Age.UNKNOWN
    if day > until:
        return Age.OLD
    return Age.SOON if day > until - timedelta(days=SOON_DAYS) else Age.GOOD
