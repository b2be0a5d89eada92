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
    planned, unknown = _planned(studio, live, state, until, usual) if live is not None else ((), ())
    there = dict.fromkeys(names, 0.0)
    there[Kind.PLASTER, PLASTER] = float(sum(b.left for b in state.plaster.values()))
    for batch in state.clay.values():
        there[Kind.CLAY, batch.body] = there.get((Kind.CLAY, batch.body), 0.0) + batch.left
    return Stock(planned, there, dict(state.reclaim), names, unknown)


def _planned(
    studio: Studio, live: Live, state: State, until: datetime | None, usual: ClayBody | None
) -> tuple[tuple[Planned, ...], tuple[str, ...]]:
    forms = {f.public_id: f for f in Form.objects.filter(studio=studio).select_related("clay")}
    balls = balls_of(studio, forms.values())
    found: list[Planned] = []
    for task, form, count in _pressings(live, state, until):
        row = forms.get(form)
        if row is not None:
            body = row.clay or usual
            work = _pressing(body.public_id if body is not None else NO_BODY, count, balls[form])
            found.append(Planned(live.when(task.start), row, work))
    pours = [(t, forms[f]) for t, f in _pours(live, state, until) if f in forms]
    mixes = {m.form_id: m for m in MouldMix.objects.filter(studio=studio)} if pours else {}
    unknown = set()
    for task, row in pours:
        grams = plaster_of(mixes[row.pk]) if row.pk in mixes else None
        if grams is None:
            unknown.add(row.name)
        else:
            found.append(Planned(live.when(task.start), row, Pouring(PLASTER, 1, grams)))
    return tuple(sorted(found, key=lambda p: p.at)), tuple(sorted(unknown))


def _pressing(body: str, count: int, ball: Ball) -> Pressing:
    return Pressing(body, count, ball.ball_g, ball.spare_g, ball.handle_g)


def _left(live: Live, state: State, task_id: str | None, until: datetime | None) -> Task | None:
    if task_id is None or task_id in state.done_tasks:
        return None
    task = live.plan.task[task_id]
    return task if until is None or live.when(task.start) < until else None


def _pressings(live: Live, state: State, until: datetime | None) -> Iterable[tuple[Task, str, int]]:
    for batch in live.plan.batches:
        task = _left(live, state, batch.press, until)
        if task is not None:
            yield task, batch.form, batch.count


def _pours(live: Live, state: State, until: datetime | None) -> Iterable[tuple[Task, str]]:
    for cast in live.plan.casts:
        task = _left(live, state, cast.pour, until)
        if task is not None:
            yield task, live.scenario.cast[cast.id].form
