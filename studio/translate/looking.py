"""A kept plan as the planner has to see it to say how sure its dates are, and what it says as the studio keeps it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from planner.checks import check
from planner.jsonio import plan_from_json
from planner.plan import Plan
from planner.robust import Losses, Spread, learned_range
from planner.scenario import Scenario
from studio import models
from studio.models import Member, Studio
from studio.queries.plans import promised
from studio.queries.record import moment_of
from studio.queries.state import state_of
from studio.record.followed import MAKING
from studio.record.measured import Measured, measured
from studio.translate.carry import carried
from studio.translate.clock import Clock
from studio.translate.made import Notes
from studio.translate.orders import OrderMaker
from studio.translate.question import first_day
from studio.translate.rows import Rows
from studio.translate.scenario import scenario_at
from studio.translate.shown import recent
from studio.translate.tuning import TO_FINISH

if TYPE_CHECKING:
    from planner.relief import Relief
    from planner.robust import Sureness

MOST_HELPS = 6
ALONE = "alone"


@dataclass(frozen=True)
class Look:
    """What is left of a plan as things stand, valid for ``scenario``; ``firsts`` that each order still lacks."""

    scenario: Scenario
    plan: Plan
    firsts: dict[str, int]
    spread: Spread
    orders: OrderMaker
    rests: dict[str, Any]  # what the spread rests on

    def day(self, minute: int) -> dt.date:
        """The first day whose hours end no earlier than ``minute``."""
        return first_day(self.orders.clock, self.orders.due, minute)


def look_at(studio: Studio, row: models.Plan, now: dt.datetime) -> Look | None:
    """``row`` with what has happened since taken off it; None if it does not fit any more."""
    rows, state = Rows(studio), state_of(studio)
    made = scenario_at(studio, row.start)
    left = carried(plan_from_json(row.plan), made.scenario, state)
    if check(made.scenario, left):
        return None
    orders = OrderMaker(rows, Clock.at(row.start, studio.time_zone), made.scenario.horizon, {}, {}, Notes())
    shown = recorded(studio)
    scenario = replace(made.scenario, orders=promised(made.scenario.orders, made.margins))
    return Look(scenario, left, made.firsts, spread_of(rows, shown), orders, rests_json(shown))


def recorded(studio: Studio) -> Measured:
    """What the record of the last days (:mod:`studio.translate.shown`) shows of durations and losses.

    Where one alone tells it all, it is theirs, even if nobody has said which of the people they are.
    """
    last = recent(studio)
    facts = [*last.before, *last.today] if last is not None else []
    if Member.objects.filter(studio=studio).count() == 1:
        facts = [replace(f, by=f.by or ALONE) for f in facts]
    return measured(facts)


def spread_of(rows: Rows, shown: Measured | None = None) -> Spread:
    """The planner's usual spread, drawn towards what the record has ``shown``, and each form's losses as learned."""
    shown, usual = shown or Measured(), Spread()
    return Spread(
        kinds={kind: learned_range(factors, usual.of_kind(kind)) for kind, factors in shown.factors.items()},
        losses={form: Losses(*way.shares) for form, way in rows.ways.items()},
    )


def rests_json(shown: Measured) -> dict[str, Any]:
    """What a spread rests on: tasks timed, pressings among them, pieces followed through a stage, since when."""
    since = None if shown.since is None else moment_of(shown.since).isoformat()
    pieces = sum(x.passed + x.lost for (_form, stage), found in shown.losses.items() if stage == MAKING for x in found)
    return {"tasks": sum(map(len, shown.factors.values())), "pressings": len(shown.factors.get("press", ())),
            "pieces": pieces, "since": since}  # fmt: skip


def sure_json(look: Look, rows: Iterable[Sureness], now: dt.datetime) -> dict[str, Any]:
    """By order line: the share of runs on its day, the day that is sure nine times in ten, pieces more to start.

    More are to be started only where what is pressed ``now`` can still be ready on the day.
    """
    last = look.orders.clock.minute(now) + TO_FINISH.none
    due = {o.id: o.due for o in look.scenario.orders}
    return {
        r.order: {
            "on": round(r.on_date, 3), "day": None if r.sure_by is None else look.day(r.sure_by).isoformat(),
            "slack": r.slack, "enough": round(r.enough, 3), "more": r.more if due[r.order] >= last else 0,
            "runs": r.runs,
        }
        for r in rows
    }  # fmt: skip


def helps_json(rows: Iterable[Relief], *, done: bool) -> dict[str, Any]:
    """What would help, the best first; what gains nothing is left out."""
    worth = [r for r in rows if r.rescued or r.piece_minutes > 0 or r.finished > 0]
    return {"done": done, "items": [
        {"code": r.code, "things": r.things, "counts": r.counts, "minutes": r.minutes, "rescued": list(r.rescued),
         "piece_minutes": r.piece_minutes, "finished": r.finished, "kwh": r.kwh, "text": r.text}
        for r in worth[:MOST_HELPS]
    ]}  # fmt: skip
