"""How much an order pulls: what it costs an hour to let its pieces wait.

The pull of a piece is the lateness saved by doing the next thing with it now instead of at the next chance, faded
by how far its due date still is: rate x days saved x exp(-slack / patience).
"""

from __future__ import annotations

from collections.abc import Iterator
from math import exp

from planner.dispatch.facts import DAY, Facts
from planner.dispatch.habits import Habits
from planner.dispatch.shop import Shop


class Pull:
    """The pulls of one run: habits applied to the orders."""

    __slots__ = ("due", "facts", "fade", "habits", "lines", "next_kiln", "rate", "tardy", "to_finish")

    def __init__(self, facts: Facts, habits: Habits) -> None:
        self.facts, self.habits = facts, habits
        n = len(facts.orders)
        pulls = (*habits.order_pull[:n], *[1.0] * (n - len(habits.order_pull)))
        shifts = (*habits.due_shift[:n], *[0] * (n - len(habits.due_shift)))
        self.rate = [r * p for r, p in zip(facts.rate, pulls, strict=True)]
        w = facts.scenario.weights
        self.next_kiln = int(habits.next_kiln * DAY)
        care = habits.tardy_care * w.tardy
        self.tardy = [o.weight * care / o.qty * p for o, p in zip(facts.orders, pulls, strict=True)]
        self.due = [o.due for o in facts.orders]
        self.fade = 1 / (max(0.05, habits.patience) * DAY)
        self.to_finish = facts.scenario.to_finish
        hopeless = [False] * n
        if not habits.late_first:
            hopeless = [o.due < facts.glost_time[f] for o, f in zip(facts.orders, facts.order_form, strict=True)]
        self.lines = [
            sorted(line, key=lambda o: (hopeless[o], self.due[o] + shifts[o], o)) for line in facts.form_orders
        ]

    def worth(self, order: int, now: int, later: int) -> float:
        """What a piece of ``order`` gains by being finished at ``now`` instead of ``later``."""
        due = self.due[order]
        slack = due - now
        gain = self.rate[order] * (later - now)
        if slack <= 0:
            return gain
        return gain * exp(-slack * self.fade) + (self.tardy[order] if later > due else 0.0)

    def glost(self, order: int, drawn: int) -> float:
        """The worth of a piece in a glost load that is drawn at ``drawn``."""
        h = self.facts.horizon
        now = drawn + 60
        if now > h:
            now = h + self.to_finish.fired
        later = now + self.next_kiln
        if later > h:
            later = h + self.to_finish.glazed
        return self.worth(order, now, max(later, now))

    def bisque(self, order: int, form: int, drawn: int) -> float:
        """The worth of a piece in a bisque load that is drawn at ``drawn``."""
        return self._early(order, drawn + int(self.habits.lead * self.facts.glost_time[form]), True)

    def glaze(self, order: int, form: int, minute: int) -> float:
        """The worth of glazing a piece at ``minute``."""
        h = self.facts.horizon
        now = minute + int(self.habits.lead * self.facts.glost_time[form])
        if now > h:
            return self.worth(order, h + self.to_finish.glazed, h + self.to_finish.bisqued)
        later = now + DAY
        return self.worth(order, now, later if later <= h else h + self.to_finish.glazed)

    def press(self, order: int, form: int, minute: int) -> float:
        """The worth of pressing a piece at ``minute``."""
        f = self.facts
        lead = f.to_dry[form] + f.bisque_time[form] + f.glost_time[form]
        h = f.horizon
        now = minute + int(self.habits.lead * lead)
        if now > h:
            now = h + self.to_finish.green
            if minute + int(self.habits.lead * (f.to_dry[form] + f.bisque_time[form])) <= h:
                now = h + self.to_finish.bisqued
            return self.worth(order, now, h + self.to_finish.none)
        return self.worth(order, now, now + DAY)

    def finish(self, order: int, minute: int) -> float:
        h = self.facts.horizon
        later = minute + DAY
        return self.worth(order, minute, later if later <= h else h + self.to_finish.fired)

    def _early(self, order: int, now: int, bisque: bool) -> float:
        h = self.facts.horizon
        if now > h:
            return self.worth(order, h + self.to_finish.bisqued, h + self.to_finish.green)
        later = now + self.next_kiln
        return self.worth(order, now, later if later <= h else h + self.to_finish.bisqued)

    def line_after(self, shop: Shop, form: int, skip: int) -> Iterator[tuple[int, int]]:
        """(order, pieces still to glaze) in the form's line, the first ``skip`` pieces left out."""
        for o in self.lines[form]:
            n = shop.to_glaze[o]
            if n <= 0:
                continue
            if skip >= n:
                skip -= n
                continue
            yield o, n - skip
            skip = 0
