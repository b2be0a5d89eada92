"""One of two plans that are held against each other, told in the days and half days of the studio."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from dataclasses import dataclass

from planner.plan import OrderDone, Task
from studio import words
from studio.queries.cards import Subject, subjects
from studio.queries.plans import Live


@dataclass(frozen=True)
class Side:
    """One of the two plans, without what is done or gone by."""

    live: Live
    done: frozenset[str]
    since: dt.datetime

    @property
    def about(self) -> dict[str, Subject]:
        return subjects(self.live.plan, self.live.scenario)

    def tasks(self) -> list[Task]:
        first = self.live.minute(self.since)
        return [t for t in self.live.plan.tasks if t.id not in self.done and t.start >= first]

    def date(self, minute: int) -> dt.date:
        return self.live.when(minute).date()

    def half(self, minute: int) -> tuple[dt.date, str]:
        at = self.live.when(minute)
        return at.date(), words.half_of(at)

    def order_done(self) -> dict[str, OrderDone]:
        return {o.id: o for o in self.live.plan.orders}

    def per_day(self, kind: str) -> dict[str, Counter[dt.date]]:
        """Pieces of each form that go through ``kind`` of work on each day."""
        about = self.about
        found: dict[str, Counter[dt.date]] = {}
        for task in self.tasks():
            if task.kind == kind and task.id in about:
                subject = about[task.id]
                found.setdefault(subject.form, Counter())[self.date(task.start)] += subject.count
        return found

    def form(self, form: str) -> str:
        row = self.live.scenario.form.get(form)
        return (row.name if row else None) or form
