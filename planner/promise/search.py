"""Plans with the order in them, one try after another: for every day, the plan that sets the others back least.

Each try is a whole valid plan from the dispatcher. It starts from the plan of reference or the best plan so far, keeps
all of it or its first days, and pulls the new order towards a day that is aimed at. Habits are varied as in any search.
"""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import dataclass, replace

from planner.checks import check
from planner.costs import finished_at, with_costs
from planner.dispatch import Habits, dispatch
from planner.dispatch.first import TRIED, keeping_habits
from planner.dispatch.vary import mutated
from planner.facts import Facts
from planner.plan import Plan
from planner.promise.asked import with_order
from planner.promise.standing import Setback, Standing
from planner.relief.ruin import ruined
from planner.scenario import Order, Scenario

DAY = 1440
FIRSTS = 7  # tries that put the order into what is free
RUN = 14  # tries from one start and for one aim
RUIN_PART = 0.6  # of the runs take a plan apart instead of varying its habits
PULLS = (1.0, 1.0, 3.0, 10.0, 0.3)  # on the new order
SETBACK_CARE = 4.0  # a piece-day by which a present order is set back against one that the new order is late


@dataclass(frozen=True)
class Found:
    """A valid plan with the order finished in it at ``done``."""

    plan: Plan
    done: int
    setbacks: tuple[Setback, ...]
    harm: int  # weighted minutes by which pieces are set back


class Search:
    """The search for one scenario. ``order`` is the one asked about; its ``due`` only says from when it counts."""

    def __init__(self, scenario: Scenario, order: Order, standing: Standing, reference: Plan, seed: int) -> None:
        self.scenario, self.order = scenario, order
        self._standing, self._reference = standing, reference
        self._chance = random.Random(seed)
        self._asked: dict[int, Scenario] = {}  # by the minute aimed at
        self._promised: dict[int, Scenario] = {}  # by the date promised
        self.hint: Plan | None = None  # a good plan of a studio that is nearly this one
        self.by_day: dict[int, Found] = {}
        self.best: Found | None = None  # the earliest that sets nobody back
        self.tries = 0
        self._last: tuple[Setback, ...] = ()  # whom the last plan sets back
        self._tries = self._plans()

    def run(self, tries: int) -> bool:
        """Make so many tries; True if the promise became earlier."""
        before = self.best
        for _ in range(tries):
            next(self._tries)
        return self.best is not before

    def offer(self, plan: Plan) -> None:
        """Take a plan with the order in it into account, if it is valid here."""
        self._judge(Facts(self._at(self.order.due, None), plan), plan)

    def real_for(self, plan: Plan) -> Scenario:
        """The scenario with the order as ``plan`` would have it promised."""
        done = next(o.done for o in plan.orders if o.id == self.order.id)
        return self._real(end_of_day(self.scenario, done))

    # one try after another

    def _plans(self) -> Iterator[None]:
        for aim, previous, habits in self._firsts():
            self._try(aim, previous, habits)
            yield
        while True:
            if self._chance.random() < RUIN_PART:
                yield from self._rebuilding()
            else:
                yield from self._varying()

    def _varying(self) -> Iterator[None]:
        """Whole plans by other habits, near each other."""
        aim, previous = self._aim(), self._start()
        at = self._at(aim, previous)
        pool = [*keeping_habits(at), *TRIED] if previous is not None else list(TRIED)
        habits = self._pulled(self._chance.choice(pool))
        score, _ = self._try(aim, previous, habits)
        yield
        for _ in range(RUN):
            other = self._pulled(mutated(habits, at, self._chance))
            found, _ = self._try(aim, previous, other)
            if found <= score * 1.02:
                habits, score = other, found
            yield

    def _rebuilding(self) -> Iterator[None]:
        """Parts of a plan taken out and put in again in other ways."""
        near = self._near()
        plan = self.hint or self._reference if near is None else near.plan
        aim = near.done if near is not None and near is not self.best else self._aim()
        score = float("inf") if near is None else self._worth(plan, aim)
        sore = self._sore(() if near is None else near.setbacks)
        for _ in range(2 * RUN):
            part = ruined(self.scenario, plan, self.order, sore, self._chance)
            habits = replace(self._chance.choice((Habits(), *TRIED)), keep=self.scenario.horizon)
            found, made = self._try(aim, part, self._pulled(self._caring(habits, sore)))
            if made is not None and found <= score * 1.01:
                plan, score = made, found
                sore = self._sore(self._last)
            yield

    def _near(self) -> Found | None:
        """A plan to rebuild: the best, or one that is earlier and sets few back."""
        tempting = [f for f in self.by_day.values() if f.harm and (self.best is None or f.done < self.best.done)]
        if tempting and self._chance.random() < 0.5:
            return min(self._chance.sample(tempting, min(3, len(tempting))), key=lambda f: f.harm)
        return self.best

    def _sore(self, setbacks: tuple[Setback, ...]) -> tuple[Order, ...]:
        return tuple(self.scenario.order[x.order] for x in setbacks)

    def _caring(self, habits: Habits, sore: tuple[Order, ...]) -> Habits:
        """``habits`` that often pull more at the orders that are set back."""
        if not sore or self._chance.random() < 0.4:
            return habits
        names = {o.id for o in sore}
        more = self._chance.choice((1.5, 3.0, 10.0))
        return replace(habits, order_pull=tuple(more if o.id in names else 1.0 for o in self.scenario.orders))

    def _worth(self, plan: Plan, aim: int) -> float:
        """What ``plan`` is worth to the search with ``aim``; plans that come from elsewhere may not fit in here."""
        return self._judge(Facts(self._at(aim, None), plan), plan, keep=False)

    def _firsts(self) -> Iterator[tuple[int, Plan | None, Habits]]:
        """Keep to the plan of reference, and let the new order have what is left: first of all, or last of all."""
        soon, last = self.order.due, max(self.order.due, self.scenario.horizon)
        for aim, pull in ((soon, 3.0), (last, 0.3), (soon, 1.0)):
            for base in (Habits(), TRIED[0]):
                yield aim, self._reference, self._pulled(replace(base, keep=self.scenario.horizon), pull)
        yield soon, None, self._pulled(TRIED[0], 1.0)

    def _aim(self) -> int:
        """The minute by which the order is asked for in this run."""
        soon = self.order.due
        if self.best is None or self._chance.random() < 0.3:
            return soon
        return max(soon, self.best.done - self._chance.choice((0, 1, 1, 2, 3)) * DAY)

    def _start(self) -> Plan | None:
        chance = self._chance.random()
        if chance < 0.25:
            return None
        return self.best.plan if self.best is not None and chance < 0.75 else self._reference

    def _pulled(self, habits: Habits, pull: float | None = None) -> Habits:
        n = len(self.scenario.orders)
        pulls = (*habits.order_pull[:n], *[1.0] * (n - len(habits.order_pull)))
        return replace(habits, order_pull=(*pulls, pull or self._chance.choice(PULLS)))

    def _at(self, due: int, previous: Plan | None) -> Scenario:
        """The scenario with the order asked for by ``due``; aimed at by whole days."""
        due = due // DAY * DAY
        order = replace(self.order, due=due)
        if previous is not None:
            return with_order(self.scenario, order, previous)
        if due not in self._asked:
            self._asked[due] = with_order(self.scenario, order, None)
        return self._asked[due]

    def _try(self, aim: int, previous: Plan | None, habits: Habits) -> tuple[float, Plan | None]:
        """One plan, and what it is worth with ``aim`` (less is better)."""
        self.tries += 1
        at = self._at(aim, previous)
        plan = dispatch(at, habits)
        if plan is None or next(plan.faults(), None) is not None:  # a plan before may lead to things named twice
            return float("inf"), None
        return self._judge(Facts(at, plan), plan), plan

    # what a plan is worth

    def _judge(self, facts: Facts, plan: Plan, *, keep: bool = True) -> float:
        order = facts.scenario.orders[-1]
        times = next(t for o, t in finished_at(facts) if o.id == order.id)
        setbacks = self._last = self._standing.setbacks(facts)
        harm = sum(x.piece_minutes * x.weight for x in setbacks) + DAY * self._standing.pins_lost(plan)
        done = max(t for t, _ in times.finished + times.reckoned)
        if keep and not times.reckoned:
            self._keep(plan, done, setbacks, harm)
        late = sum(max(0, t - order.due) * n for t, n in times.finished + times.reckoned)
        return SETBACK_CARE * harm + late + max(0, done - order.due) * order.qty * 0.5

    def _keep(self, plan: Plan, done: int, setbacks: tuple[Setback, ...], harm: int) -> None:
        day = self.scenario.day(done)
        known = self.by_day.get(day)
        earlier = not harm and (self.best is None or done < self.best.done)
        if not earlier and known is not None and (known.harm, known.done) <= (harm, done):
            return
        found = self._settled(plan, done)
        if found is None:
            return
        if known is None or (found.harm, found.done) < (known.harm, known.done):
            self.by_day[day] = found
        if not found.harm and (self.best is None or found.done < self.best.done):
            self.best = found

    def _settled(self, plan: Plan, done: int) -> Found | None:
        """The plan beside the order as it would be promised: reckoned, checked, and looked at once more."""
        due = end_of_day(self.scenario, done)
        asked = self._real(due)
        plan = with_costs(asked, plan)
        if check(asked, plan):
            return None
        setbacks = self._standing.setbacks(Facts(asked, plan))
        harm = sum(x.piece_minutes * x.weight for x in setbacks) + DAY * self._standing.pins_lost(plan)
        return Found(plan, done, setbacks, harm)

    def _real(self, due: int) -> Scenario:
        """The scenario with the order as it would be promised, and the plan before that it really has."""
        if due not in self._promised:
            order = replace(self.order, due=due)
            self._promised[due] = replace(self.scenario, orders=(*self.scenario.orders, order))
        return self._promised[due]


def end_of_day(scenario: Scenario, minute: int) -> int:
    """The last minute of the local day of ``minute``: what is done by then is done on that day."""
    return (scenario.day(minute) + 1) * DAY - scenario.midnight_offset
