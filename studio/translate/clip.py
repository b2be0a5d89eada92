"""A plan cut down to the pieces that are really there, and its tasks to the minutes that these take.

After pieces were lost, what was planned for them is planned for fewer; nothing is moved to another time for that.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable
from dataclasses import replace
from typing import TypeVar

from planner.facts import Facts
from planner.plan import Firing, Lot, Part, Plan, Task
from planner.scenario import Scenario

Key = tuple[str, str | None]  # a source, and the form or order of the pieces that are taken from it
Thing = TypeVar("Thing")


def clipped(plan: Plan, scenario: Scenario) -> Plan:
    """``plan`` without the pieces that its sources do not hold: bisque loads first, then what follows from them."""
    plan = _loads_clipped(plan, scenario, "bisque")
    plan = _lots_clipped(plan, scenario)
    plan = _loads_clipped(plan, scenario, "glost")
    return _finishes_clipped(plan, scenario)


def _in_time(things: Iterable[Thing], task: Callable[[Thing], str | None], plan: Plan) -> list[Thing]:
    """``things`` in the order of their tasks."""
    return sorted(things, key=lambda x: plan.task[t].start if (t := task(x)) in plan.task else 0)


def _take(parts: Iterable[Part], left: Counter[Key], key: Callable[[str], Key]) -> tuple[Part, ...]:
    """``parts`` as far as what is ``left`` goes, which they lessen."""
    found = []
    for part in parts:
        count = min(part.count, left[key(part.source)])
        if count > 0:
            left[key(part.source)] -= count
            found.append(Part(part.source, count))
    return tuple(found)


def _loads_clipped(plan: Plan, scenario: Scenario, stage: str) -> Plan:
    facts = Facts(scenario, plan)
    held = facts.green if stage == "bisque" else facts.glazed
    left: Counter[Key] = Counter({(s, None): w.count for s, w in held.items()})
    found: dict[str, Firing] = {}
    for kilnful in _in_time(facts.kilnfuls, lambda k: k.firing.load, plan):
        if kilnful.stage == stage and not kilnful.present:
            pieces = _take(kilnful.firing.pieces, left, lambda s: (s, None))
            found[kilnful.firing.id] = replace(kilnful.firing, pieces=pieces)
    firings = (found.get(f.id, f) for f in plan.firings)
    return replace(plan, firings=tuple(f for f in firings if f.is_now or f.pieces))


def _lots_clipped(plan: Plan, scenario: Scenario) -> Plan:
    facts = Facts(scenario, plan)
    left: Counter[Key] = Counter({(s, f): n for s, w in facts.bisque.items() for f, n in w.held.items()})
    found: dict[str, Lot] = {}
    for lot in _in_time(plan.lots, lambda x: x.glaze, plan):
        form = facts.lot_form(lot)
        sources = _take(lot.sources, left, lambda s: (s, form.id if form else None))  # noqa: B023
        found[lot.id] = replace(lot, sources=sources, count=sum(p.count for p in sources))
    return replace(plan, lots=tuple(found[x.id] for x in plan.lots if found[x.id].count))


def _finishes_clipped(plan: Plan, scenario: Scenario) -> Plan:
    facts = Facts(scenario, plan)
    left: Counter[Key] = Counter({(s, o): n for s, w in facts.fired.items() for o, n in w.held.items()})
    counts = {}
    for finish in _in_time(plan.finishes, lambda n: n.task, plan):
        part = _take([Part(finish.source, finish.count)], left, lambda s: (s, finish.order))  # noqa: B023
        counts[finish.id] = part[0].count if part else 0
    return replace(plan, finishes=tuple(replace(n, count=counts[n.id]) for n in plan.finishes if counts[n.id]))


def in_their_minutes(plan: Plan, scenario: Scenario) -> Plan:
    """``plan`` with every task as long as its work takes by now.

    A task keeps its start; a pressing keeps its end, so that what waits for it is not kept waiting by a set-up.
    """
    facts = Facts(scenario, plan)
    needs = {u.task: u.minutes for u in facts.uses if u.minutes is not None}
    for lot in plan.lots:
        order, form = scenario.order.get(lot.order), facts.lot_form(lot)
        if order is not None and form is not None and order.glaze in scenario.glaze:
            needs[lot.glaze] = scenario.glaze[order.glaze].fixed + form.glaze.minutes(lot.count)
    presses = {
        m.batch.press: facts.set_ups[m.batch.press].minutes + m.form.press.minutes(m.count)
        for m in facts.batches
        if m.batch.press in facts.set_ups and m.form is not None
    }
    return replace(plan, tasks=tuple(_fitted(t, needs.get(t.id), presses.get(t.id)) for t in plan.tasks))


def _fitted(task: Task, minutes: int | None, pressing: int | None) -> Task:
    if pressing is not None:
        return replace(task, start=task.end - pressing)
    return task if minutes is None else replace(task, end=task.start + minutes)
