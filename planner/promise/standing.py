"""Where the orders stand in a plan, piece by piece, and how far another plan sets them back."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from planner.costs import Times, finished_at, moved, steps_late
from planner.facts import Facts
from planner.plan import Plan
from planner.scenario import Order, Scenario

Rows = list[tuple[int, int, bool]]  # (minute, pieces, finished and not only reckoned), by minute


@dataclass(frozen=True, slots=True)
class Setback:
    """An order that a plan finishes later: ``minutes`` its last late piece, ``pieces`` how many are set back."""

    order: str
    pieces: int
    minutes: int
    piece_minutes: int
    weight: int = 1  # from 1: an order that counts nothing in the cost has been promised to somebody all the same


class Standing:
    """What each present order may count on: no piece of it may be later than here.

    A piece finished in the plan of reference may take until its order is due; one that is late there may take until
    the end of the step of lateness (a day, mostly) that it has started: nobody is told a later day for it.
    A piece that is only reckoned there must come at least as far by the end.
    """

    def __init__(self, scenario: Scenario, plan: Plan) -> None:
        facts = Facts(scenario, plan)
        self._step = scenario.weights.late_step
        self._pieces = {o.id: rows_of(t) for o, t in finished_at(facts)}
        self._orders = scenario.orders
        self._pinned = {t.id: t.start for t in plan.tasks if t.id in scenario.pins} if scenario.pins else {}
        for t in moved(scenario, plan) if self._pinned else ():
            self._pinned.pop(t.id, None)

    def setbacks(self, facts: Facts) -> tuple[Setback, ...]:
        """Orders that the plan of ``facts`` (its scenario may have further orders) sets back."""
        now = {o.id: t for o, t in finished_at(facts) if o.id in self._pieces}
        found = (_setback(o, self._pieces[o.id], rows_of(now[o.id]), self._step) for o in self._orders if o.id in now)
        return tuple(x for x in found if x is not None)

    def pins_lost(self, plan: Plan) -> int:
        """Tasks that the person wants left alone, and that stand elsewhere in ``plan`` or are gone."""
        if not self._pinned:
            return 0
        starts = {t.id: t.start for t in plan.tasks}
        return sum(starts.get(t) != start for t, start in self._pinned.items())


def rows_of(times: Times) -> Rows:
    """The pieces of an order by the minute they are done."""
    rows = [(t, n, True) for t, n in times.finished] + [(t, n, False) for t, n in times.reckoned]
    return sorted(rows)


def _setback(order: Order, before: Rows, after: Rows, step: int) -> Setback | None:
    pieces = worst = total = 0
    for n, was, now in _side_by_side(before, after):
        allowed = was[0]
        if was[2] and now[2]:
            allowed = order.due + step * steps_late(was[0] - order.due, step)
        late = now[0] - allowed
        if late > 0:
            pieces += n
            total += n * late
            worst = max(worst, late)
    return Setback(order.id, pieces, worst, total, max(1, order.weight)) if pieces else None


Row = tuple[int, int, bool]


def _side_by_side(before: Rows, after: Rows) -> Iterator[tuple[int, Row, Row]]:
    """``(pieces, row before, row after)`` for the first piece beside the first, the second beside the second, …"""
    i = j = 0
    left_i = before[0][1] if before else 0
    left_j = after[0][1] if after else 0
    while i < len(before) and j < len(after):
        n = min(left_i, left_j)
        yield n, before[i], after[j]
        left_i, left_j = left_i - n, left_j - n
        if not left_i:
            i += 1
            left_i = before[i][1] if i < len(before) else 0
        if not left_j:
            j += 1
            left_j = after[j][1] if j < len(after) else 0
