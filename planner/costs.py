"""What a plan costs, by name, and when each order is done: reckoned from the plan alone."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, replace

from planner.facts import Facts
from planner.plan import COST_NAMES, Finish, OrderDone, Plan, Task
from planner.scenario import Order, Scenario

STAGES = ("none", "green", "bisqued", "glazed", "fired")


@dataclass(frozen=True)
class Reckoning:
    """The costs of a plan by name, and its orders in the scenario's order."""

    costs: dict[str, int]
    orders: tuple[OrderDone, ...]

    @property
    def cost(self) -> int:
        return sum(self.costs.values())


def reckon(scenario: Scenario, plan: Plan, facts: Facts | None = None) -> Reckoning:
    """The costs and order dates that ``plan`` really gives, whatever it says of itself.

    A plan that breaks rules is reckoned as far as its references lead. ``facts`` saves resolving them again.
    """
    facts = facts or Facts(scenario, plan)
    done = {o.id: when for o, when in finished_at(facts)}
    orders = tuple(_order_done(o, done[o.id]) for o in scenario.orders)
    w = scenario.weights
    counts = {
        "late": w.late * sum(_late_steps(o, done[o.id], w.late_step) * o.weight for o in scenario.orders),
        "tardy": w.tardy * sum(o.weight for o, d in zip(scenario.orders, orders, strict=True) if d.late_min > 0),
        "kwh": w.kwh * sum(k.program.kwh for k in facts.kilnfuls if k.program is not None),
        "setup": w.setup * sum(s.full for s in facts.set_ups.values()),
        "cover": w.cover * _covers(facts),
        "extra": w.extra * _extra_minutes(facts),
        "cast": sum(c.cost for c in map(scenario.cast.get, _poured(plan)) if c is not None),
        "spoil": w.spoil * _spoiled_pieces(facts),
        "move": w.move * len([t for t in moved(scenario, plan) if t.id not in scenario.pins]),
        "pin": w.pin * len([t for t in moved(scenario, plan) if t.id in scenario.pins]),
    }
    return Reckoning({name: counts[name] for name in COST_NAMES}, orders)


def with_costs(scenario: Scenario, plan: Plan) -> Plan:
    """The same plan with its ``cost``, ``costs`` and ``orders`` reckoned."""
    right = reckon(scenario, plan)
    return replace(plan, cost=right.cost, costs=right.costs, orders=right.orders)


@dataclass(frozen=True, slots=True)
class Times:
    """When the owed pieces of an order are done: ``(minute, pieces)``, those finished and those only reckoned."""

    finished: tuple[tuple[int, int], ...]
    reckoned: tuple[tuple[int, int], ...]


def _order_done(order: Order, times: Times) -> OrderDone:
    done = max((t for t, _ in times.finished + times.reckoned), default=0)
    return OrderDone(order.id, done, max(0, done - order.due), bool(times.reckoned))


def steps_late(minutes: int, step: int) -> int:
    """Started steps of lateness; 0 in time. Within one of them nobody is told another day."""
    return -(-max(0, minutes) // step)


def _late_steps(order: Order, times: Times, step: int) -> int:
    """Started steps after the due minute, summed over the owed pieces."""
    return sum(n * steps_late(t - order.due, step) for t, n in times.finished + times.reckoned)


def finished_at(facts: Facts) -> Iterator[tuple[Order, Times]]:
    """When each order's owed pieces are finished or reckoned to be.

    1. The first ``qty`` pieces finished count at the end of their finish task.
    2. Then the order's own pieces out of a glost firing, then its own glazed pieces.
    3. Then, form by form and order by order (by due, then by place), bisqued pieces that are not glazed, green
       pieces that are not fired, and pieces of which nothing exists yet.
    """
    scenario, stock = facts.scenario, Stock(facts)
    ends: dict[str, list[tuple[int, int]]] = defaultdict(list)
    for finish, task in _real_finishes(facts):
        ends[finish.order].append((task.end, finish.count))
    after = {stage: scenario.horizon + getattr(scenario.to_finish, stage) for stage in STAGES}
    for order in sorted(scenario.orders, key=lambda o: o.due):  # a stable sort keeps the list's order
        finished = tuple(_first_pieces(order.qty, ends[order.id]))
        owed = order.qty - sum(n for _, n in finished)
        reckoned = []
        for stage, pool, key in (
            ("fired", stock.fired, order.id),
            ("glazed", stock.glazed, order.id),
            ("bisqued", stock.bisqued, order.form),
            ("green", stock.green, order.form),
        ):
            n = max(0, min(owed, pool[key]))
            pool[key] -= n
            owed -= n
            reckoned.append((after[stage], n))
        reckoned.append((after["none"], owed))
        yield order, Times(finished, tuple((t, n) for t, n in reckoned if n > 0))


def _first_pieces(owed: int, ends: list[tuple[int, int]]) -> Iterator[tuple[int, int]]:
    """The first ``owed`` of the pieces that are finished at ``ends``."""
    for end, count in sorted(ends):
        if owed > 0:
            yield end, min(owed, count)
            owed -= count


def _real_finishes(facts: Facts) -> Iterator[tuple[Finish, Task]]:
    """Finishes that have a task and take glost-fired ware."""
    for n in facts.plan.finishes:
        task = facts.find(n.task, "finish")
        if task is not None and n.source in facts.fired and n.count > 0:
            yield n, task


class Stock:
    """Pieces left at each stage at the end of the plan: own ones by order, the others by form.

    Each stage holds what has reached it less what went on from it.
    """

    def __init__(self, facts: Facts) -> None:
        self.fired: Counter[str] = Counter()  # by order
        self.glazed: Counter[str] = Counter()  # by order
        self.bisqued: Counter[str] = Counter()  # by form
        self.green: Counter[str] = Counter()  # by form
        self._come(facts)
        self._gone(facts)
        self._in_kilns(facts)

    def _come(self, facts: Facts) -> None:
        for ware in facts.fired.values():
            self.fired.update(ware.held)
        for glazed in facts.glazed.values():
            if glazed.order is not None:
                self.glazed[glazed.order] += glazed.count
        for ware in facts.bisque.values():
            self.bisqued.update(ware.held)
        for source, green in facts.green.items():
            if source not in facts.spoiled:
                self.green[green.form] += green.count
        for w in facts.scenario.wip:  # named by no batch, yet there
            if w.stage in ("in_mould", "released") and w.id not in facts.green and w.id not in facts.spoiled:
                self.green[w.form] += w.count

    def _gone(self, facts: Facts) -> None:
        for n, _ in _real_finishes(facts):
            self.fired[n.order] -= n.count
        for kilnful in facts.kilnfuls:
            if kilnful.present:
                continue
            for part in kilnful.pieces:
                if kilnful.stage == "glost" and part.order is not None:
                    self.glazed[part.order] -= part.count
                elif kilnful.stage == "bisque" and part.form is not None:
                    self.green[part.form] -= part.count
        for lot in facts.plan.lots:
            form = facts.lot_form(lot)
            if form is not None:
                self.bisqued[form.id] -= lot.count

    def _in_kilns(self, facts: Facts) -> None:
        """A load left in its kiln counts at the stage before."""
        drawn = {k.firing.kiln for k in facts.kilnfuls if k.present}
        for kiln_id, held in facts.present.items():
            for w in held if kiln_id not in drawn else ():
                if w.fired_stage == "bisque":
                    self.green[w.form] += w.count
                elif w.order is not None:
                    self.glazed[w.order] += w.count


def _covers(facts: Facts) -> int:
    in_mould = sum(m.batch.covered_in_mould for m in facts.batches if m.pressed_here)
    into_cover = sum(m.batch.covered for m in facts.batches if m.batch.release is not None)
    return in_mould + into_cover


def _extra_minutes(facts: Facts) -> int:
    extra = {p.id: p.extra for p in facts.scenario.people if p.extra}
    return sum(max(0, min(t.end, b) - max(t.start, a)) for t in facts.plan.tasks for a, b in extra.get(t.person, ()))


def _poured(plan: Plan) -> Iterator[str]:
    return (c.id for c in plan.casts if c.pour is not None)


def _spoiled_pieces(facts: Facts) -> int:
    ware = facts.scenario.ware
    return sum(ware[s].count if s in ware else 1 for s in facts.plan.spoiled)


def moved(scenario: Scenario, plan: Plan) -> Iterator[Task]:
    """Tasks of the plan before, starting at 0 or later, that the plan lacks or starts at another minute."""
    if scenario.previous is None:
        return
    starts: dict[tuple[str, str], set[int]] = defaultdict(set)
    for t in plan.tasks:
        starts[t.id, t.kind].add(t.start)
    for t in scenario.previous.tasks:
        if t.start >= 0 and t.start not in starts[t.id, t.kind]:
            yield t
