"""A plan with some of its things taken out, to be put in again in another way by a replay."""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import replace

from planner.plan import Batch, Finish, Firing, Lot, Plan
from planner.scenario import Order, Scenario

DAY = 1440

Thing = Batch | Firing | Lot | Finish
Gone = Callable[[Thing], bool]


def ruined(scenario: Scenario, plan: Plan, order: Order, sore: tuple[Order, ...], chance: random.Random) -> Plan:
    """``plan`` without what serves ``order`` from some minute on, and often without some of the rest.

    ``sore``: the orders that ``plan`` sets back; what serves them is rather taken out than other things.
    """
    starts = _starts(plan)
    begin = chance.randrange(max(1, scenario.horizon)) * chance.random()
    ways: list[Gone] = [_of_order(plan, order, starts, int(begin))]
    kind = chance.random()
    if sore and kind < 0.5:
        for other in chance.sample(sore, min(len(sore), chance.choice((1, 1, 2)))):
            ways.append(_of_order(plan, other, starts, chance.randrange(max(1, scenario.horizon)) // 3))
        kind = chance.random()
    if kind < 0.35:
        since = chance.randrange(max(1, scenario.horizon))
        ways.append(_between(starts, since, since + int(DAY * chance.choice((0.5, 1, 2, 4)))))
    elif kind < 0.6 and scenario.kilns:
        since = chance.randrange(max(1, scenario.horizon))
        ways.append(_kiln(starts, chance.choice(scenario.kilns).id, since, since + DAY * chance.choice((2, 4, 7))))
    elif kind < 0.85 and scenario.orders:
        for other in chance.sample(scenario.orders, min(len(scenario.orders), chance.choice((1, 1, 2, 3)))):
            ways.append(_of_order(plan, other, starts, chance.randrange(max(1, scenario.horizon)) // 2))
    return _without(plan, lambda x: any(gone(x) for gone in ways))


def _starts(plan: Plan) -> dict[str, int]:
    """When each thing begins, by the id of its first task."""
    return {t.id: t.start for t in plan.tasks}


def _first(thing: Thing) -> str:
    if isinstance(thing, Batch):
        return thing.press or ""
    if isinstance(thing, Firing):
        return thing.load or ""
    return thing.glaze if isinstance(thing, Lot) else thing.task


def _between(starts: dict[str, int], a: int, b: int) -> Gone:
    return lambda x: a <= starts.get(_first(x), -1) < b


def _kiln(starts: dict[str, int], kiln: str, a: int, b: int) -> Gone:
    return lambda x: isinstance(x, Firing) and x.kiln == kiln and a <= starts.get(_first(x), -1) < b


def _of_order(plan: Plan, order: Order, starts: dict[str, int], since: int) -> Gone:
    """Lots and finishes of ``order``, batches of its form, and the loads with its pieces, all from ``since`` on."""
    own = {x.id for x in plan.lots if x.order == order.id} | {b.id for b in plan.batches if b.form == order.form}

    def gone(x: Thing) -> bool:
        if starts.get(_first(x), -1) < since:
            return False
        if isinstance(x, Batch):
            return x.form == order.form
        if isinstance(x, Firing):
            return sum(p.count for p in x.pieces if p.source in own) * 2 > sum(p.count for p in x.pieces)
        return x.order == order.id

    return gone


def _without(plan: Plan, gone: Gone) -> Plan:
    """The present loads stay, and so does whatever is in moulds or leather-hard now: it has to be dealt with."""
    return replace(
        plan,
        batches=tuple(b for b in plan.batches if b.press is None or not gone(b)),
        firings=tuple(f for f in plan.firings if f.is_now or not gone(f)),
        lots=tuple(x for x in plan.lots if not gone(x)),
        finishes=tuple(n for n in plan.finishes if not gone(n)),
    )
