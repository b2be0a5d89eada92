"""A studio at an instant as a scenario: every state that its record can reach gives one."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from planner.jsonio import plan_from_json
from planner.plan import Plan
from planner.scenario import Form, InKiln, InMould, Kiln, Racks, Scenario, Wip
from studio.models import Pin, Studio
from studio.models import Plan as PlanRow
from studio.queries.record import record_head
from studio.queries.state import state_of
from studio.record.state import State
from studio.translate.clock import Clock
from studio.translate.forms import forms, glazes, kilns, settled_kilns
from studio.translate.jobs import JobMaker
from studio.translate.made import Made, Notes
from studio.translate.orders import OrderMaker
from studio.translate.plans import moved
from studio.translate.plaster import casts, moulds
from studio.translate.rows import Rows
from studio.translate.times import Times
from studio.translate.tuning import AFTER_DUE_DAYS, LEAST_DAYS, MOST_DAYS, TO_FINISH, WEIGHTS
from studio.translate.ware import WareMaker


def scenario_at(studio: Studio, now: dt.datetime) -> Made:
    """The scenario of ``studio`` with minute 0 at ``now`` (aware; its seconds are cut off).

    Total: what the planner could not take is left out or made sensible and noted in :class:`Made`. The plan in use,
    if there is one, stands in ``previous`` with the times and pins that it has from the new start.
    """
    head = record_head(studio)
    state = state_of(studio)
    return _Making(Rows(studio), state, Clock.at(now, studio.time_zone), Notes()).made(head)


@dataclass(frozen=True)
class _Making:
    rows: Rows
    state: State
    clock: Clock
    notes: Notes

    def made(self, head: int) -> Made:
        horizon = self._horizon()
        times = Times(self.rows, self.state, self.clock, horizon)
        people = times.people(self.notes)
        kilns_by_id = kilns(self.rows, times, {w.kiln for w in self.state.ware.values() if w.kiln}, self.notes)
        forms_by_id = self._forms(kilns_by_id)
        glazes_by_id = glazes(self.rows, self._glazes_in_use(), kilns_by_id.values(), self.notes)
        orders, from_stock = OrderMaker(
            self.rows, self.state, self.clock, horizon, forms_by_id, glazes_by_id, self.notes
        ).all()
        ware = WareMaker(
            self.rows, self.state, self.clock, forms_by_id, kilns_by_id, glazes_by_id, orders, people, self.notes
        )
        wip = ware.all()
        stations = times.stations(self.notes, {f.id: f.tool for f in forms_by_id.values()})
        jobs = JobMaker(
            self.rows, self.state, self.clock, horizon, {p.id: p for p in people}, {s.id: s for s in stations},
            self.notes,
        )  # fmt: skip
        previous, pins = self._previous()
        scenario = Scenario(
            start=self.clock.iso,
            horizon=horizon,
            people=people,
            stations=stations,
            racks=self._racks(),
            forms=tuple(forms_by_id.values()),
            moulds=moulds(
                self.rows, self.state, self.clock, forms_by_id, (w for w in wip if isinstance(w, InMould)), self.notes
            ),
            casts=casts(self.rows, self.state, self.clock, forms_by_id, people, self.notes),
            glazes=tuple(glazes_by_id.values()),
            kilns=settled_kilns(
                kilns_by_id, self.rows, forms_by_id, {w.kiln for w in wip if isinstance(w, InKiln)},
                self._empty_firings(ware, wip), self.notes,
            ),
            jobs=jobs.all(),
            orders=tuple(orders.values()),
            wip=wip,
            to_finish=TO_FINISH,
            weights=WEIGHTS,
            previous=previous,
            pins=pins,
        )  # fmt: skip
        n = self.notes
        return Made(scenario, n.names, head, self.clock.start, n.left_out, tuple(n.asks), from_stock)

    def _horizon(self) -> int:
        """Whole days to a midnight: two weeks, or up to three where orders are due later."""
        last = max((x.order.due for x in self.rows.lines), default=self.clock.today)
        days = (last - self.clock.today).days + 1 + AFTER_DUE_DAYS
        return self.clock.midnight(min(max(days, LEAST_DAYS), MOST_DAYS))

    def _forms(self, kilns_by_id: dict[str, Kiln]) -> dict[str, Form]:
        in_use = {w.form for w in self.state.ware.values()} | {x.form.public_id for x in self.rows.lines}
        now = int(self.clock.start.timestamp()) // 60
        return forms(self.rows, now, in_use, kilns_by_id, self.notes)

    def _glazes_in_use(self) -> set[str]:
        ware = {w.glaze for w in self.state.ware.values() if w.glaze is not None}
        return ware | {x.glaze.public_id for x in self.rows.lines}

    def _racks(self) -> Racks:
        boards = {"damp": 0, "drying": 0, "glazed": 0}
        for rack in self.rows.racks:
            boards[rack.use] += rack.boards
        return Racks(**{use: min(n, 10**6) for use, n in boards.items()})

    def _empty_firings(self, ware: WareMaker, wip: tuple[Wip, ...]) -> dict[str, int]:
        """When kilns are free that fire although all that was in them is lost or cannot be told of."""
        filled = {w.kiln for w in wip if isinstance(w, InKiln)}
        held = {k.id: self.state.firings[k.holds] for k in self.state.kilns.values() if k.holds is not None}
        return {kiln: max(0, ware.opens(f)) for kiln, f in held.items() if kiln not in filled}

    def _previous(self) -> tuple[Plan | None, tuple[str, ...]]:
        row = PlanRow.objects.filter(studio=self.rows.studio, is_current=True).first()
        if row is None:
            return None, ()
        plan = moved(plan_from_json(row.plan), self.clock.minute(row.start), self.state.done_tasks)
        pins = Pin.objects.filter(studio=self.rows.studio).order_by("pk")
        kept = [p.task for p in pins if p.until is None or p.until > self.clock.start]
        return plan, tuple(p for p in kept if p in plan.task and p not in self.state.done_tasks)
