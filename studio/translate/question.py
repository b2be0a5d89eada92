"""A question by when something could be ready, and the planner's answer to it as the studio keeps it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterable
from dataclasses import asdict, dataclass
from typing import TYPE_CHECKING, Any

from planner.jsonio import plan_to_json
from studio.translate.clock import DAY, MINUTE, Clock
from studio.translate.made import Made

if TYPE_CHECKING:
    from planner.promise import EarlierDay, Option, Promise

PROMISE, STOCK, UNKNOWN = "promise", "stock", "unknown"
MOST_DAYS_ON = 14  # a day to promise is found within so many days of the last piece


@dataclass(frozen=True)
class Question:
    """``wanted`` firsts of a form and a glaze, of which ``from_stock`` stand sorted on the shelf and belong to nobody.

    ``to_make`` pieces are to be finished for the others, losses allowed for, ``fresh`` of
    them still to be pressed. ``known``: the planner knows form and
    glaze. ``due``: the minute at which a day's last hours end.
    """

    made: Made
    form: str
    glaze: str
    wanted: int
    from_stock: int
    to_make: int
    fresh: int
    known: bool
    clock: Clock
    due: Callable[[dt.date], int]

    def day(self, done: int) -> dt.date:
        """The first day that can be promised for pieces finished at minute ``done``."""
        return first_day(self.clock, self.due, done)


def first_day(clock: Clock, due: Callable[[dt.date], int], minute: int) -> dt.date:
    """The first day whose last hours, which end at its ``due`` minute, end no earlier than ``minute``."""
    day = clock.when(minute).date()
    return next((d for n in range(MOST_DAYS_ON) if due(d := day + DAY * n) >= minute), day + DAY)


def without_planning(question: Question) -> dict[str, Any] | None:
    """The answer where nothing has to be planned for it: all is there, or it cannot be planned; else None."""
    if not question.known:
        return {**_begun(question), "status": UNKNOWN, "final": True}
    if question.to_make == 0:
        return {**_begun(question), "status": STOCK, "final": True, "day": question.clock.today.isoformat()}
    return None


def answer_of(question: Question, promise: Promise) -> dict[str, Any]:
    """The planner's answer as JSON: days as ISO dates, codes with things and numbers; the pages find the words."""
    said = {**_begun(question), "status": promise.status, "final": promise.final, "measured": promise.measured}
    said["reasons"] = [asdict(r) for r in promise.reasons]
    if promise.done is None:
        return said | {"most_days": promise.most_days}
    return said | {
        "day": question.day(promise.done).isoformat(),
        "done": _iso(question, promise.done),
        "options": list(_options(question, promise.options, question.day(promise.done))),
        "earlier": list(_earlier(question, promise.earlier, question.day(promise.done))),
        "order": promise.order.id, "plans": _plans(question, promise),
    }  # fmt: skip


def _begun(question: Question) -> dict[str, Any]:
    return {
        "start": _iso(question, 0), "wanted": question.wanted, "from_stock": question.from_stock,
        "to_make": question.to_make, "fresh": question.fresh,
    }  # fmt: skip


def _plans(question: Question, promise: Promise) -> dict[str, Any]:
    """The plan that each day stands on: whoever takes the order for that day is planned for from there."""
    days = {question.day(x.done).isoformat(): x.plan for x in reversed(promise.earlier)}
    if promise.done is not None and promise.plan is not None:
        days[question.day(promise.done).isoformat()] = promise.plan
    return {day: plan_to_json(plan) for day, plan in days.items()}


def _iso(question: Question, minute: int) -> str:
    return (question.clock.start + MINUTE * minute).isoformat()


def _options(question: Question, options: Iterable[Option], day: dt.date) -> Iterable[dict[str, Any]]:
    """Those that bring it a day forward at least; hours matter to nobody who waits for pots."""
    for o in options:
        sooner = question.day(o.done)
        if sooner < day:
            yield {
                "code": o.code, "things": o.things, "counts": o.counts, "minutes": o.minutes, "text": o.text,
                "day": sooner.isoformat(), "sooner": (day - sooner).days,
            }  # fmt: skip


def _earlier(question: Question, days: Iterable[EarlierDay], day: dt.date) -> Iterable[dict[str, Any]]:
    told = set()
    for e in days:
        on = question.day(e.done)
        if on < day and on not in told:
            told.add(on)
            later = [{"order": x.order, "pieces": x.pieces, "minutes": x.minutes} for x in e.later]
            yield {"day": on.isoformat(), "later": later}
