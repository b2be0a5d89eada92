"""The clay page: each body with its batches, the reclaim, the week's balls, and what was pressed from what."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from planner.craft.needs import Kind
from studio.models import ClayBody, Fact, Form, Studio
from studio.queries.cards import local
from studio.queries.clay import Ball, balls_of
from studio.queries.plans import current_plan
from studio.queries.pug import AHEAD, BodyNeed, needs_of
from studio.queries.state import state_of
from studio.queries.stock import stock_of
from studio.record.clay import batches_of, in_use
from studio.record.state import State

SHOWN = 6  # batches with clay left, and pressings


@dataclass(frozen=True)
class BatchView:
    id: str
    how: str
    came: datetime
    grams: int
    left: int
    water_pct: int | None
    in_use: bool


@dataclass(frozen=True)
class BodyView:
    """One body; ``need`` is what the plan presses from it in the next seven days."""

    row: ClayBody
    there: float
    reclaim: int
    batches: tuple[BatchView, ...]
    need: BodyNeed


@dataclass(frozen=True)
class PressingView:
    """A pressing and the batch that it is tied to."""

    ware: str
    form: str
    count: int
    at: datetime
    batch: str


@dataclass(frozen=True)
class FormBall:
    row: Form
    ball: Ball


@dataclass(frozen=True)
class ClaySeen:
    """All of it; ``choices`` are the batches that a pressing may have been of."""

    bodies: tuple[BodyView, ...]
    pressings: tuple[PressingView, ...]
    choices: tuple[BatchView, ...]
    balls: tuple[FormBall, ...]
    has_plan: bool

    def batch(self, batch_id: str) -> BatchView | None:
        return next((b for b in self.choices if b.id == batch_id), None)


def clay_seen(studio: Studio, now: datetime) -> ClaySeen:
    """The studio's clay as it stands at ``now``."""
    state, live = state_of(studio), current_plan(studio)
    stock = stock_of(studio, live, state, now + AHEAD)
    held = {c.body for c in state.clay.values() if c.left > 0}
    bodies = [b for b in ClayBody.objects.filter(studio=studio).order_by("-usual", "pk")
              if b.retired_at is None or b.public_id in held]  # fmt: skip
    views = tuple(
        BodyView(
            b, stock.there.get((Kind.CLAY, b.public_id), 0.0), state.reclaim.get(b.public_id, 0),
            _batches(state, b.public_id), needs_of(stock, b.public_id, b.name),
        )
        for b in bodies
    )  # fmt: skip
    forms = list(Form.objects.filter(studio=studio, retired_at=None).select_related("clay").order_by("name"))
    balls = balls_of(studio, forms)
    choices = tuple(b for v in views for b in v.batches)
    return ClaySeen(
        views, _pressings(studio, state, {f.public_id: f.name for f in forms}), choices,
        tuple(FormBall(f, balls[f.public_id]) for f in forms), live is not None,
    )  # fmt: skip


def _batches(state: State, body: str) -> tuple[BatchView, ...]:
    """Those with clay left, the oldest first, and the last one that was used up, to set right what was said of it."""
    many = batches_of(state, body)
    used = in_use(state, body)
    gone = [b for b in many if b.left == 0 and b is not used]
    shown = [b for b in many if b.left > 0 or b is used or b in gone[-1:]][-SHOWN:]
    return tuple(
        BatchView(b.id, b.how, local(b.came), b.grams, b.left, b.water_pct, b is used and b.left > 0) for b in shown
    )


def _pressings(studio: Studio, state: State, forms: dict[str, str]) -> tuple[PressingView, ...]:
    """The last ones that are tied to a batch, the latest first."""
    rows = Fact.objects.filter(studio=studio, kind="pressed").order_by("-happened_at", "-seq")[: 2 * SHOWN]
    found = [
        PressingView(d["batch"], forms.get(d["form"], ""), d["count"], local(d["ended"]), state.clay_of[d["batch"]])
        for d in rows.values_list("data", flat=True)
        if d["batch"] in state.clay_of
    ]
    return tuple(found[:SHOWN])
