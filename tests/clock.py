"""A clock that runs as ever and shows another day, here and in the worker processes of a test."""

from __future__ import annotations

import datetime as dt
import os

from django.utils import timezone

VARIABLE = "STUDIO_TEST_SHIFT"  # seconds
_real_now = timezone.now


def shifted_now() -> dt.datetime:
    """The real time and the shift that the environment names, 0 without one."""
    return _real_now() + dt.timedelta(seconds=float(os.environ.get(VARIABLE, "0")))


def shift_to(weekday: int, clock: dt.time) -> float:
    """The seconds from now to the next such weekday (0 = Monday) and time of day, both in UTC."""
    now = _real_now()
    day = now.date() + dt.timedelta(days=(weekday - now.weekday()) % 7)
    return (dt.datetime.combine(day, clock, dt.UTC) - now).total_seconds()
