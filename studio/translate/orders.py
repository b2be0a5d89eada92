"""Open order lines as the planner's orders: how many pieces, and by when."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from planner.scenario import Form, Glaze, Order
from studio.models import OrderLine
from studio.record.state import BISQUED, FIRED, GLAZED, IN_MOULD, KILN, LEATHER, State, Ware
from studio.translate.clock import Clock, within_years
from studio.translate.made import Notes
from studio.translate.quantity import Need
from studio.translate.rows import Rows
from studio.translate.shelf import Share, shares_of
from studio.translate.stages import is_drying
from studio.translate.tuning import DAY_ENDS, TO_FINISH

OWN = (FIRED, "glost kiln", GLAZED)  # ware of one order; most advanced first
DRYING = "drying"
SHARED = (BISQUED, "bisque kiln", DRYING, LEATHER, IN_MOULD)  # ware of any order for the form


def stage_of(ware: Ware, rows: Rows) -> str:
    """The stage, with what is in which kiln and what dries told apart."""
    if ware.stage == KILN:
        return f"{ware.kiln_stage} kiln"
    return DRYING if ware.stage == LEATHER and is_drying(ware, rows) else ware.stage


def stages_ahead(stage: str) -> int:
    """How many stages of loss pieces at ``stage`` must still pass.

    Making losses show until the leather-hard work is done, bisque losses at the drawing, glost losses at the drawing
    and on the sorting bench.
    """
    return 1 if stage in (*OWN, BISQUED) else 3 if stage in (LEATHER, IN_MOULD) else 2


@dataclass
class Shelf:
    """What stands there for the lines still to come: taken by one line, it is gone for the next."""

    own: dict[tuple[str, str], int]  # (line, stage) -> pieces
    shared: dict[tuple[str, str], int]  # (form, stage) -> pieces
    stock: dict[str, int]  # "form/glaze" -> firsts that are nobody's
    lines: dict[str, Share]  # what finished pots each line has


def shelf_of(state: State, rows: Rows) -> Shelf:
    """What stands there; ware of another form or glaze than its line's is nobody's, as for the planner."""
    kinds = {x.public_id: (x.form.public_id, x.glaze.public_id) for x in rows.lines}
    own: dict[tuple[str, str], int] = {}
    shared: dict[tuple[str, str], int] = {}
    for ware in state.ware.values():
        stage = stage_of(ware, rows)
        if stage in SHARED:
            shared[ware.form, stage] = shared.get((ware.form, stage), 0) + ware.count
        elif ware.order is not None and kinds.get(ware.order) == (ware.form, ware.glaze):
            own[ware.order, stage] = own.get((ware.order, stage), 0) + ware.count
    shares = shares_of(state, rows.lines)
    return Shelf(own, shared, shares.firsts, shares.lines)


@dataclass(frozen=True)
class OrderMaker:
    """Turns open lines into orders, those due first having the first claim on what is shared."""

    rows: Rows
    clock: Clock
    horizon: int
    forms: dict[str, Form]
    glazes: dict[str, Glaze]
    notes: Notes

    def all(self, shelf: Shelf) -> tuple[dict[str, Order], dict[str, int]]:
        """The orders by id, and the firsts from stock counted off each line; what they claim is taken off ``shelf``."""
        found: dict[str, Order] = {}
        from_stock: dict[str, int] = {}
        for line in self.rows.lines:
            self.notes.name(line.public_id, line.order.customer.name)
            if line.form.public_id not in self.forms or line.glaze.public_id not in self.glazes:
                self.notes.leave_out(line.public_id, "no_such_form")
                continue
            share = shelf.lines[line.public_id]
            if share.stock:
                from_stock[line.public_id] = share.stock
            missing = share.missing
            if missing <= 0:
                continue
            due = self.due(line.order.due)
            if due > self.horizon and not any(i == line.public_id for i, _s in shelf.own):
                self.notes.leave_out(line.public_id, "far")
                continue
            order = self.notes.built(line.public_id, lambda: self._order(line, missing, due, shelf))  # noqa: B023
            if order is not None:
                found[order.id] = order
                self.notes.firsts[order.id] = missing
        return found, from_stock

    def _order(self, line: OrderLine, missing: int, due: int, shelf: Shelf) -> Order:
        form = line.form.public_id
        need = self.claimed(form, missing, shelf, own=line.public_id)
        name = self.notes.names.get(line.public_id)
        if line.spare_days:
            promised, due = due, self.due(line.order.due - dt.timedelta(days=line.spare_days))
            self.notes.margins[line.public_id] = promised - due
        if line.spare_pieces:
            need = self._with_spare(form, need, line, shelf)
        return Order(line.public_id, form, line.glaze.public_id, need.qty, due, line.order.weight, name)

    def _with_spare(self, form: str, need: Need, line: OrderLine, shelf: Shelf) -> Need:
        """``need`` with the pieces that are started to be sure: what stands there first, the most advanced before.

        None is pressed for it any more once clay would take longer than the promised day leaves.
        """
        places = [(shelf.own, (line.public_id, s)) for s in OWN] + [(shelf.shared, (form, s)) for s in SHARED]
        taken, left = list(need.taken), line.spare_pieces
        for i, (pieces, key) in enumerate(places):
            use = min(left, pieces.get(key, 0))
            if use:
                pieces[key] -= use
                taken[i] += use
                left -= use
        fresh = need.fresh + (left if self.due(line.order.due) >= TO_FINISH.none else 0)
        return Need(sum(taken) + fresh, tuple(taken), fresh)

    def claimed(self, form: str, missing: int, shelf: Shelf, own: str = "") -> Need:
        """The pieces of ``form`` to finish for ``missing`` firsts; those that stand there are taken off ``shelf``.

        ``own`` is the order line that has glazed ware of its own there.
        """
        places = [(shelf.own, (own, s), s) for s in OWN] + [(shelf.shared, (form, s), s) for s in SHARED]
        standing = [(pieces.get(key, 0), stages_ahead(stage)) for pieces, key, stage in places]
        need = self.rows.ways[form].need(missing, standing)
        for (pieces, key, _stage), taken in zip(places, need.taken, strict=True):
            if taken:
                pieces[key] -= taken
        return need

    def due(self, day: dt.date) -> int:
        """The end of ``day``'s last hours that anybody has; 17:00 if nobody has any."""
        there = {p.pk for p in self.rows.people}
        ends = [
            h.ends for h in self.rows.hours if h.person_id in there and h.weekday == day.weekday() and not h.evening
        ]
        return within_years(self.clock.end(day, max(ends, default=dt.time.fromisoformat(DAY_ENDS))))
