"""What the coming days take of clay and plaster, and what the studio has of them, for shopping and for pugging."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime

from planner.craft.needs import Item, Kind, Pouring, Pressing, Work
from planner.plan import Task
from studio.models import ClayBody, Form, MouldMix, Studio
from studio.queries.clay import Ball, balls_of
from studio.queries.plans import Live
from studio.queries.plaster import plaster_of
from studio.record.state import State

PLASTER = "plaster"  # the one plaster that the studio keeps bags of
NO_BODY = ""  # the clay of a studio that has named none


@dataclass(frozen=True)
class Span:
    """The tasks of the plan in use that are not done and start before ``until``, or all of them without it."""

    live: Live
    state: State
    until: datetime | None

    def left(self, task: str | None) -> Task | None:
        """The task of that id, if it is among them."""
        if task is None or task in self.state.done_tasks:
            return None
        found = self.live.plan.task[task]
        return found if self.before(found.start) else None

    def before(self, minute: int) -> bool:
        """Whether a minute of the plan comes before the end."""
        return self.until is None or self.live.when(minute) < self.until


@dataclass(frozen=True)
class Planned:
    """A pressing (``count`` balls) or a pour that is still to be done, and when it starts."""

    at: datetime
    form: Form
    work: Work


@dataclass(frozen=True)
class Stock:
    """Keyed as :func:`planner.craft.needs.shopping` wants it: clay by its body's public id, plaster by ``PLASTER``.

    ``there`` in g, without the reclaim, which stands apart by body; ``names`` for people; ``unknown`` names the forms
    to be poured whose plaster nobody has told.
    """

    planned: tuple[Planned, ...]
    there: Mapping[Item, float]
    reclaim: Mapping[str, int]
    names: Mapping[Item, str]
    unknown: tuple[str, ...]

    @property
    def work(self) -> tuple[Work, ...]:
        return tuple(p.work for p in self.planned)


def stock_of(studio: Studio, live: Live | None, state: State, until: datetime | None = None) -> Stock:
    """What is there now, and what the plan in use still presses and pours, before ``until`` or at all."""
    bodies = list(ClayBody.objects.filter(studio=studio).order_by("-usual", "pk"))
    usual = next((b for b in bodies if b.retired_at is None), None)
    names: dict[Item, str] = {(Kind.CLAY, b.public_id): b.name for b in bodies}
    planned, unknown = _planned(studio, Span(live, state, until), usual) if live is not None else ((), ())
    there = dict.fromkeys(names, 0.0)
    there[Kind.PLASTER, PLASTER] = float(sum(b.left for b in state.plaster.values()))
    for batch in state.clay.values():
        there[Kind.CLAY, batch.body] = there.get((Kind.CLAY, batch.body), 0.0) + batch.left
    return Stock(planned, there, dict(state.reclaim), names, unknown)


def _planned(studio: Studio, span: Span, usual: ClayBody | None) -> tuple[tuple[Planned, ...], tuple[str, ...]]:
    forms = {f.public_id: f for f in Form.objects.filter(studio=studio).select_related("clay")}
    balls = balls_of(studio, forms.values())
    found: list[Planned] = []
    for task, form, count in _pressings(span):
        row = forms.get(form)
        if row is not None:
            body = row.clay or usual
            work = _pressing(body.public_id if body is not None else NO_BODY, count, balls[form])
            found.append(Planned(span.live.when(task.start), row, work))
    pours = [(t, forms[f]) for t, f in _pours(span) if f in forms]
    mixes = {m.form_id: m for m in MouldMix.objects.filter(studio=studio)} if pours else {}
    unknown = set()
    for task, row in pours:
        grams = plaster_of(mixes[row.pk]) if row.pk in mixes else None
        if grams is None:
            unknown.add(row.name)
        else:
            found.append(Planned(span.live.when(task.start), row, Pouring(PLASTER, 1, grams)))
    return tuple(sorted(found, key=lambda p: p.at)), tuple(sorted(unknown))


def _pressing(body: str, count: int, ball: Ball) -> Pressing:
    return Pressing(body, count, ball.ball_g, ball.spare_g, ball.handle_g)


def _pressings(span: Span) -> Iterable[tuple[Task, str, int]]:
    for batch in span.live.plan.batches:
        task = span.left(batch.press)
        if task is not None:
            yield task, batch.form, batch.count


def _pours(span: Span) -> Iterable[tuple[Task, str]]:
    for cast in span.live.plan.casts:
        task = span.left(cast.pour)
        if task is not None:
            yield task, span.live.scenario.cast[cast.id].form
