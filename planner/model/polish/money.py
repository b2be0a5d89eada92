"""The price of lateness in a sub-model, piece by piece as the rules reckon it, and that of moved tasks."""

from __future__ import annotations

from collections import defaultdict

from planner.model.polish.batches import BatchVar
from planner.model.polish.context import Literal, Number, Sub, TooHard
from planner.model.polish.firings import FiringVar
from planner.model.polish.flows import FinishVar, Flows
from planner.promised import BROKEN, EASE
from planner.scenario import Bisqued, Drying, Fired, Glazed, InKiln, Order


def add_lateness(sub: Sub, flows: Flows, batches: dict[str, BatchVar], firings: dict[str, FiringVar]) -> None:
    """Finished pieces count at the end of their task, the others at the stage they reach, earlier orders first."""
    left = _LeftOver(sub, flows, batches, firings)
    by_order: dict[str, list[FinishVar]] = defaultdict(list)
    for x in flows.finishes.values():
        by_order[x.order].append(x)
    for order in sorted(sub.s.orders, key=lambda o: o.due):  # stable: place in the list decides ties
        finished = by_order[order.id]
        if sum(x.count for x in sub.plan.finishes if x.order == order.id) > order.qty:
            raise TooHard("more pieces are finished than the order owes")
        done = sum(x.count for x in finished)
        if not isinstance(done, int):
            sub.m.add(done <= order.qty)
        tardy = _Tardy(sub, order)
        for x in finished:
            _finish_cost(sub, order, x, tardy)
        _reckoned_cost(sub, order, left.stages(order, done), tardy)
        tardy.close()


class _Tardy:
    """Whether an order is late at all, and so a date broken: one literal, forced by every late piece."""

    def __init__(self, sub: Sub, order: Order) -> None:
        self.sub, self.order = sub, order
        self._sure = False
        self.price = sub.s.weights.tardy * order.weight + BROKEN * (order.id in sub.promised.orders)
        self._lit: Literal | None = None

    def surely(self) -> None:
        self._sure = True

    def lit(self) -> Literal:
        if self._lit is None:
            self._lit = self.sub.m.new_bool_var(f"{self.order.id}.tardy")
        return self._lit

    def close(self) -> None:
        price = self.price
        if self._sure:
            self.sub.costs.append(price)
        elif self._lit is not None:
            self.sub.costs.append(price * self._lit)


def _finish_cost(sub: Sub, order: Order, x: FinishVar, tardy: _Tardy) -> None:
    """Started steps after ``due``, for each piece of one finish."""
    w = sub.s.weights
    rate = w.late * order.weight
    end = x.task.end
    if isinstance(end, int) and isinstance(x.count, int):
        over = max(0, end - order.due)
        sub.costs.append(rate * x.count * -(-over // w.late_step))
        if over > 0:
            tardy.surely()
        return
    worst = max(0, sub.hi - order.due)
    if worst == 0:
        return
    m = sub.m
    here = x.here
    if tardy.price:
        m.add(end <= order.due).only_enforce_if([here, ~tardy.lit()])
    if rate == 0:
        return
    most_steps = -(-worst // w.late_step)
    steps = m.new_int_var(0, most_steps, f"{x.id}.late")
    m.add(w.late_step * steps >= end - order.due).only_enforce_if(here)
    if isinstance(x.count, int):
        sub.costs.append(rate * x.count * steps)
        return
    total = m.new_int_var(0, most_steps * x.most, f"{x.id}.late-pieces")
    if most_steps <= 12:  # each further step costs every piece of the task
        parts = []
        for k in range(most_steps):
            part = m.new_int_var(0, x.most, "")
            beyond = m.new_bool_var("")
            m.add(end <= order.due + k * w.late_step).only_enforce_if([here, ~beyond])
            m.add(part >= x.count).only_enforce_if(beyond)
            parts.append(part)
        m.add(total == sum(parts))
    else:
        m.add_multiplication_equality(total, [x.count, steps])
    sub.costs.append(rate * total)


def _reckoned_cost(sub: Sub, order: Order, stages: list[tuple[int, Number]], tardy: _Tardy) -> None:
    """Pieces that are not finished: (minute at which they count, how many), the best stage first."""
    w = sub.s.weights
    for minute, pieces in stages:
        over = max(0, minute - order.due)
        if over == 0:
            continue
        sub.costs.append(w.late * order.weight * -(-over // w.late_step) * pieces)
        if isinstance(pieces, int):
            if pieces > 0:
                tardy.surely()
        elif tardy.price:
            sub.m.add(pieces <= 0).only_enforce_if(~tardy.lit())


class _LeftOver:
    """Pieces that nobody finishes, by stage: an order's own first, then what the form has in common."""

    def __init__(
        self, sub: Sub, flows: Flows, batches: dict[str, BatchVar], firings: dict[str, FiringVar]
    ) -> None:
        self.sub, self.flows, self.batches, self.firings = sub, flows, batches, firings
        self._unloaded = {f.kiln.id for f in firings.values() if f.now}
        self._bisqued = {f.id: self._bisqued_left(f.id) for f in sub.s.forms}
        self._green = {f.id: self._green_left(f.id) for f in sub.s.forms}

    def stages(self, order: Order, done: Number) -> list[tuple[int, Number]]:
        """How many pieces of ``order`` count at each reckoned minute. Call it for the orders of a form by due date."""
        end, to = self.sub.s.horizon, self.sub.s.to_finish
        owed = order.qty - done
        out = []
        fired, glazed = self._own(order)
        for minutes, there in ((to.fired, fired - done), (to.glazed, glazed)):
            taken = self._take(order, owed, there)
            out.append((end + minutes, taken))
            owed = owed - taken
        for minutes, common in ((to.bisqued, self._bisqued), (to.green, self._green)):
            taken = self._take(order, owed, common[order.form])
            common[order.form] = common[order.form] - taken
            out.append((end + minutes, taken))
            owed = owed - taken
        return [*out, (end + to.none, owed)]

    def _take(self, order: Order, owed: Number, there: Number) -> Number:
        return self.sub.least_of(owed, there, order.qty)

    def _own(self, order: Order) -> tuple[Number, Number]:
        """Own pieces out of a glost firing, and own glazed pieces that are not."""
        fired: Number = 0
        glazed: Number = sum(x.count for x in self.flows.lots.values() if x.order == order.id)
        for w in self.sub.s.wip:
            if isinstance(w, Fired) and w.order == order.id:
                fired = fired + w.count
            elif isinstance(w, Glazed) and w.order == order.id:
                glazed = glazed + w.count
            elif isinstance(w, InKiln) and w.fired_stage == "glost" and w.order == order.id:
                if w.kiln in self._unloaded:
                    fired = fired + w.count
                else:
                    glazed = glazed + w.count
        for f in self.firings.values():
            if f.stage == "glost" and not f.now:
                out = f.holds(order.form, order.id)
                fired, glazed = fired + out, glazed - out
        return fired, glazed

    def _bisqued_left(self, form: str) -> Number:
        """Bisqued pieces of ``form`` that are not glazed."""
        there: Number = sum(w.count for w in self.sub.s.wip if isinstance(w, Bisqued) and w.form == form)
        there = there + sum(f.holds(form) for f in self.firings.values() if f.stage == "bisque")
        glazed = sum(x.count for x in self.flows.lots.values() if self.sub.s.order[x.order].form == form)
        return there - glazed

    def _green_left(self, form: str) -> Number:
        """Pressed pieces of ``form`` that are not bisque fired; given up ones left out."""
        there: Number = 0
        for b in self.batches.values():
            if b.form.id == form and b.kept is not self.sub.no:
                there = there + (b.count * b.kept if b.wip and b.free else b.count)
        for w in self.sub.s.wip:
            if isinstance(w, Drying) and w.form == form:
                there = there + w.count
            if isinstance(w, InKiln) and (w.form, w.fired_stage) == (form, "bisque") and w.kiln not in self._unloaded:
                there = there + w.count
        loaded = sum(f.holds(form) for f in self.firings.values() if f.stage == "bisque" and not f.now)
        return there - loaded


def add_moves(sub: Sub) -> None:
    """What changing the previous plan costs: its tasks that start from 0 on and are missing or at another minute.

    As in the price that plans are compared by, moves count more than their cost.
    """
    previous = sub.s.previous
    if previous is None:
        return
    w, pins = sub.s.weights, set(sub.s.pins)
    for task in previous.tasks:
        price = w.pin if task.id in pins else w.move * (1 + EASE)
        if task.start < 0 or price == 0:
            continue
        var = sub.tasks.get(task.id)
        if var is None:
            now = sub.plan.task.get(task.id)
            sub.costs.append(price * (now is None or (now.kind, now.start) != (task.kind, task.start)))
            continue
        if var.kind != task.kind:
            sub.costs.append(price)
            continue
        same = sub.m.new_bool_var(f"{task.id}.same")
        sub.m.add(var.start == task.start).only_enforce_if(same)
        sub.m.add_implication(same, var.present)
        sub.costs.append(price * (1 - same))
