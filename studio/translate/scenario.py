"""A studio at an instant as a scenario: every state that its record can reach gives one."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection
from dataclasses import dataclass
from functools import cached_property

from planner.jsonio import plan_from_json
from planner.plan import Plan
from planner.scenario import (
    Cast,
    Form,
    Glaze,
    InKiln,
    InMould,
    Job,
    Kiln,
    Mould,
    Order,
    Person,
    Racks,
    Scenario,
    Station,
    Wip,
)
from studio.models import Pin, Studio
from studio.models import Plan as PlanRow
from studio.queries.record import record_head
from studio.queries.state import state_of
from studio.record.state import State
from studio.translate.clock import Clock
from studio.translate.forms import forms, glazes, kilns, settled_kilns
from studio.translate.jobs import JobMaker
from studio.translate.made import Made, Notes
from studio.translate.orders import OrderMaker, Shelf, shelf_of
from studio.translate.plans import moved
from studio.translate.plaster import casts, moulds
from studio.translate.quantity import Need
from studio.translate.question import Question
from studio.translate.reach import days_ahead
from studio.translate.rows import Rows
from studio.translate.steps import StepMaker
from studio.translate.times import Times
from studio.translate.tuning import TO_FINISH, weights_of
from studio.translate.ware import WareMaker

LONG_AGO = 366 * 1440  # minutes: a plan from before that says nothing any more


def scenario_at(studio: Studio, now: dt.datetime, matters: Collection[str] | None = None) -> Made:
    """The scenario of ``studio`` with minute 0 at ``now`` (aware; its seconds are cut off).

    ``matters``: what matters more than usual (keys of tuning.MORE); None: what the studio has chosen.

    Total: what the planner could not take is left out or made sensible and noted in :class:`Made`. The plan in use,
    if there is one, stands in ``previous`` with the times and pins that it has from the new start.
    """
    head = record_head(studio)
    state = state_of(studio)
    return _Making(Rows(studio), state, Clock.at(now, studio.time_zone), Notes(), matters).made(head)


def question_at(studio: Studio, now: dt.datetime, *, form: str, glaze: str, qty: int) -> Question:
    """``qty`` firsts of ``form`` in ``glaze`` (public ids) asked for at ``now``, beside all that is ordered already.

    Present orders have the first claim on what stands there; so has a new order, by its day, only behind them.
    """
    head = record_head(studio)
    making = _Making(Rows(studio), state_of(studio), Clock.at(now, studio.time_zone), Notes())
    made, maker = making.made(head), making.order_maker
    stock = min(qty, making.shelf.stock.get(f"{form}/{glaze}", 0))
    known = form in making.forms and glaze in making.glazes
    need = maker.claimed(form, qty - stock, making.shelf) if known else Need(0, (), 0)
    return Question(made, form, glaze, qty, stock, need.qty, need.fresh, known, making.clock, maker.due)


@dataclass(frozen=True)
class _Making:
    """One scenario in the making; each part is made when another first needs it."""

    rows: Rows
    state: State
    clock: Clock
    notes: Notes
    matters: Collection[str] | None = None

    def made(self, head: int) -> Made:
        notes, scenario = self.notes, self._scenario()
        _orders, from_stock = self.orders
        return Made(scenario, notes.names, head, self.clock.start, notes.left_out, tuple(notes.asks), from_stock,
                    notes.firsts, notes.margins)  # fmt: skip

    def _scenario(self) -> Scenario:
        previous, pins = self._previous()
        return Scenario(
            start=self.clock.iso,
            horizon=self.horizon,
            people=self.people,
            stations=self.stations,
            racks=self._racks(),
            forms=tuple(self.forms.values()),
            moulds=self.moulds,
            casts=self._casts(),
            glazes=tuple(self.glazes.values()),
            kilns=self._kilns(),
            jobs=self._jobs(),
            orders=tuple(self.orders[0].values()),
            wip=self.wip,
            to_finish=TO_FINISH,
            weights=weights_of(self._matters()),
            previous=previous,
            pins=pins,
        )

    def _matters(self) -> Collection[str]:
        return self.rows.studio.matters.get("more", ()) if self.matters is None else self.matters

    @cached_property
    def horizon(self) -> int:
        """Whole days to a midnight."""
        return self.clock.midnight(days_ahead(self.rows, self.state, self.clock.today))

    @cached_property
    def times(self) -> Times:
        return Times(self.rows, self.state, self.clock, self.horizon)

    @cached_property
    def people(self) -> tuple[Person, ...]:
        return self.times.people(self.notes)

    @cached_property
    def stations(self) -> tuple[Station, ...]:
        return self.times.stations(self.notes, {f.id: f.tool for f in self.forms.values()})

    @cached_property
    def free_kilns(self) -> dict[str, Kiln]:
        """The kilns by id, without regard to what is in them."""
        return kilns(self.rows, self.times, {w.kiln for w in self.state.ware.values() if w.kiln}, self.notes)

    @cached_property
    def forms(self) -> dict[str, Form]:
        in_use = {w.form for w in self.state.ware.values()} | {x.form.public_id for x in self.rows.lines}
        now = int(self.clock.start.timestamp()) // 60
        return forms(self.rows, self.state, now, in_use, self.free_kilns, self.notes)

    @cached_property
    def glazes(self) -> dict[str, Glaze]:
        in_use = {w.glaze for w in self.state.ware.values() if w.glaze is not None}
        in_use |= {x.glaze.public_id for x in self.rows.lines}
        return glazes(self.rows, in_use, self.free_kilns.values(), self.notes)

    @cached_property
    def shelf(self) -> Shelf:
        """What stands there, and once ``orders`` are made, what they leave of it."""
        return shelf_of(self.state, self.rows)

    @cached_property
    def order_maker(self) -> OrderMaker:
        return OrderMaker(self.rows, self.clock, self.horizon, self.forms, self.glazes, self.notes)

    @cached_property
    def orders(self) -> tuple[dict[str, Order], dict[str, int]]:
        return self.order_maker.all(self.shelf)

    @cached_property
    def ware(self) -> WareMaker:
        return WareMaker(
            self.rows, self.state, self.clock, self.forms, self.free_kilns, self.glazes, self.orders[0], self.people,
            self.notes,
        )  # fmt: skip

    @cached_property
    def wip(self) -> tuple[Wip, ...]:
        return self.ware.all()

    @cached_property
    def moulds(self) -> tuple[Mould, ...]:
        in_moulds = (w for w in self.wip if isinstance(w, InMould))
        return moulds(self.rows, self.state, self.clock, self.forms, in_moulds, self.notes)

    def _casts(self) -> tuple[Cast, ...]:
        taken = {m.id for m in self.moulds}
        return casts(self.rows, self.state, self.clock, self.forms, self.people, taken, self.notes)

    def _kilns(self) -> tuple[Kiln, ...]:
        filled = {w.kiln for w in self.wip if isinstance(w, InKiln)}
        return settled_kilns(self.free_kilns, self.rows, self.forms, filled, self._empty_firings(filled), self.notes)

    def _empty_firings(self, filled: set[str]) -> dict[str, int]:
        """When kilns are free that fire although all that was in them is lost or cannot be told of."""
        held = {k.id: self.state.firings[k.holds] for k in self.state.kilns.values() if k.holds is not None}
        return {kiln: max(0, self.ware.opens(f)) for kiln, f in held.items() if kiln not in filled}

    def _jobs(self) -> tuple[Job, ...]:
        people, stations = {p.id: p for p in self.people}, {s.id: s for s in self.stations}
        told = (self.rows, self.state, self.clock, self.horizon, people, stations)
        return (*JobMaker(*told, self.notes).all(), *StepMaker(*told, self.moulds, self.notes).all())

    def _racks(self) -> Racks:
        boards = {"damp": 0, "drying": 0, "glazed": 0}
        for rack in self.rows.racks:
            boards[rack.use] += rack.boards
        return Racks(**{use: min(n, 10**6) for use, n in boards.items()})

    def _previous(self) -> tuple[Plan | None, tuple[str, ...]]:
        row = PlanRow.objects.filter(studio=self.rows.studio, is_current=True).first()
        by = self.clock.minute(row.start) if row is not None else 0
        if row is None or by < -LONG_AGO:
            return None, ()
        plan = moved(plan_from_json(row.plan), by, self.state.done_tasks)
        pins = Pin.objects.filter(studio=self.rows.studio).order_by("pk")
        kept = [p.task for p in pins if p.until is None or p.until > self.clock.start]
        return plan, tuple(p for p in kept if p in plan.task and p not in self.state.done_tasks)
