"""R09 and R10: glazing, and sorting and packing."""

from __future__ import annotations

from collections.abc import Iterator

from planner.checks.violation import Violation
from planner.facts import Facts
from planner.plan import Lot, Task
from planner.rules import Rule


def glaze(facts: Facts) -> Iterator[Violation]:
    """R09: bisque of the order's form, out of the kiln, glazed as long as it takes and dry before it is loaded."""
    for lot in facts.plan.lots:
        things = {"lot": lot.id, "order": lot.order}
        if lot.order not in facts.scenario.order:
            yield Violation(Rule.R09, f"lot {lot.id}: there is no order {lot.order}", things)
        task = facts.find(lot.glaze, "glaze")
        yield from _glazing(facts, lot, task)
        for source in dict.fromkeys(p.source for p in lot.sources):
            yield from _bisque(facts, lot, task, source)
    yield from _glaze_dry(facts)


def _glazing(facts: Facts, lot: Lot, task: Task | None) -> Iterator[Violation]:
    order, form = facts.scenario.order.get(lot.order), facts.lot_form(lot)
    bucket = facts.scenario.glaze.get(order.glaze) if order else None
    if task is None or form is None or bucket is None:
        return
    says, lasts = bucket.fixed + form.glaze.minutes(lot.count), task.end - task.start
    if lasts != says:
        text = f"lot {lot.id}: glaze lasts {lasts} min, its work says {says}"
        yield Violation(Rule.R09, text, {"lot": lot.id, "task": task.id})


def _bisque(facts: Facts, lot: Lot, task: Task | None, source: str) -> Iterator[Violation]:
    ware, form = facts.bisque.get(source), facts.lot_form(lot)
    things = {"lot": lot.id, "source": source}
    if ware is None:
        yield Violation(Rule.R09, f"lot {lot.id}: {source} is no bisque", things)
        return
    if form is not None and form.id not in ware.held:
        yield Violation(Rule.R09, f"lot {lot.id}: {source} is no {form.id}", things)
    if task is not None and ware.at is not None and task.start < ware.at:
        text = f"lot {lot.id}: glazed {ware.at - task.start} min before {source} is out"
        yield Violation(Rule.R09, text, things)


def _glaze_dry(facts: Facts) -> Iterator[Violation]:
    for kilnful in facts.kilnfuls:
        if kilnful.load is None:
            continue
        for source in dict.fromkeys(p.source for p in kilnful.pieces):
            glazed = facts.glazed.get(source)
            if glazed is not None and glazed.ready is not None and kilnful.load.start < glazed.ready:
                early = glazed.ready - kilnful.load.start
                text = f"{kilnful.firing.id}: {source} loaded {early} min before its glaze is dry"
                yield Violation(Rule.R09, text, {"firing": kilnful.firing.id, "source": source})


def finish(facts: Facts) -> Iterator[Violation]:
    """R10: sorted and packed after it is out of the glost, pieces of that order from that source."""
    for n in facts.plan.finishes:
        things = {"finish": n.id, "order": n.order, "source": n.source}
        if n.order not in facts.scenario.order:
            yield Violation(Rule.R10, f"finish {n.id}: there is no order {n.order}", things)
        ware, task = facts.fired.get(n.source), facts.find(n.task, "finish")
        if ware is None:
            yield Violation(Rule.R10, f"finish {n.id}: {n.source} is not glost fired", things)
            continue
        if n.order not in ware.held:
            yield Violation(Rule.R10, f"finish {n.id}: {n.source} holds nothing for order {n.order}", things)
        if task is not None and ware.at is not None and task.start < ware.at:
            text = f"finish {n.id}: sorted {ware.at - task.start} min before {n.source} is out"
            yield Violation(Rule.R10, text, things)
