"""What the very small studios share: a person's hours and simple needs."""

from __future__ import annotations

import random
from collections.abc import Callable
from typing import Any

from planner.scenario import Job, Person
from tests.planner import builders as b
from tests.planner.brute import Done, Need

Problem = tuple[Any, int | None]  # a scenario and the least cost; None: there is no valid plan


def there(r: random.Random, horizon: int, least: float, **given: object) -> Person:
    """A person who is there for two spans, maybe with some minutes of extra between them."""
    marks = sorted(r.sample(range(horizon + 1), 4))
    if r.random() < least:
        marks = [0, horizon // 2, horizon // 2 + r.choice([0, 1]), horizon]
    hours = [(a, z) for a, z in (marks[:2], marks[2:]) if a < z]
    extra = [(marks[1], marks[2])] if marks[1] < marks[2] and r.random() < 0.5 else []
    return b.person(hours=hours, extra=extra, **given)


def taking(minutes: int) -> Callable[[Done], int]:
    """The same number whatever is placed already."""
    return lambda done: minutes


at = taking  # the same constant function, read as a minute


def of_job(j: Job) -> Need:
    return Need(j.id, "job", taking(j.minutes), at(j.window.lo), at(j.window.hi), person=j.person, station=j.station)
