"""A better order for sorting and packing, everything else left where it is.

Finishing is the last step, so its tasks bind nobody but each other: people are parallel machines, pieces have a release
(their kiln is drawn) and a due date. A permutation is turned into minutes by putting each task at the earliest free
place of anybody who can do it; annealing over insertions and swaps looks for a good permutation.
"""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import dataclass, replace
from math import exp

from planner.clocks import Clock
from planner.costs import with_costs
from planner.plan import Plan, Task
from planner.promised import BROKEN, Promised
from planner.scenario import Fired, Scenario

FIRST_HEAT, LAST_HEAT = 0.3, 0.005  # of the best cost
CYCLE = 0.7  # seconds from hot to cold; then hot again
NEVER = 1 << 60
ROUND = 50  # tries between looks at the clock
EACH = 2e-6  # seconds that a try takes for each task, about: for clocks that count work


@dataclass(frozen=True)
class _Job:
    """One finish task: how long, from when, and what its end costs."""

    task: Task
    minutes: int
    release: int
    order: int
    due: int
    rate: int  # per started step late, for all pieces of the task
    was: int | None  # start in the previous plan, if that is to be kept
    move: int  # price of another start


class Resequencer:
    """The finish tasks of one plan and the free time around them."""

    def __init__(self, scenario: Scenario, plan: Plan, *, extra: bool) -> None:
        self.scenario, self.plan = scenario, plan
        w = scenario.weights
        self.step = w.late_step
        promised = Promised(scenario).orders
        self.price = [w.tardy * o.weight + BROKEN * (o.id in promised) for o in scenario.orders]
        self.jobs = self._jobs()
        self.people = [p for p in scenario.people if p.can("finish")]
        self.extra = extra and w.extra >= 0
        ids = {j.task.id for j in self.jobs}
        self.gaps = [self._gaps(p.id, ids) for p in self.people]
        self.evening = [list(p.extra) if self.extra else [] for p in self.people]
        self.tardy_anyway = self._tardy_anyway()

    @property
    def possible(self) -> bool:
        """Whether there is anything to reorder; a bench for finishing is a bond that this search does not know."""
        return len(self.jobs) > 1 and "finish" not in self.scenario.served_kinds

    def _jobs(self) -> list[_Job]:
        s, plan, w = self.scenario, self.plan, self.scenario.weights
        place = {o.id: i for i, o in enumerate(s.orders)}
        before = {t.id: t for t in s.previous.tasks} if s.previous else {}
        pins = set(s.pins)
        out = []
        for x in plan.finishes:
            order, task = s.order[x.order], plan.task[x.task]
            ware = s.ware.get(x.source)
            release = ware.at if isinstance(ware, Fired) else plan.task[plan.firing[x.source].unload].end
            old = before.get(task.id)
            kept = old is not None and old.start >= 0 and old.kind == task.kind
            price = (w.pin if task.id in pins else w.move) if kept else 0
            minutes = task.end - task.start
            rate = w.late * order.weight * x.count
            was = old.start if kept and old else None
            out.append(_Job(task, minutes, max(0, release), place[x.order], order.due, rate, was, price))
        return sorted(out, key=lambda j: j.task.start)

    def _gaps(self, person: str, movable: set[str]) -> list[list[int]]:
        """Free time of ``person`` as [from, to] minutes."""
        who = self.scenario.person[person]
        spans = sorted([*who.hours, *(who.extra if self.extra else ())])
        duty: list[list[int]] = []
        for a, b in spans:
            if duty and a <= duty[-1][1]:
                duty[-1][1] = max(b, duty[-1][1])
            else:
                duty.append([a, min(b, self.scenario.horizon)])
        for t in sorted(self.plan.tasks, key=lambda t: t.start):
            if t.person == person and t.id not in movable:
                duty = [x for a, b in duty for x in _without(a, b, t.start, t.end)]
        return duty

    def _tardy_anyway(self) -> list[bool]:
        """Orders that have late pieces besides the finished ones: their price is paid whatever the order of work."""
        owed = {o.id: o.qty for o in self.scenario.orders}
        for x in self.plan.finishes:
            owed[x.order] -= x.count
        end = self.scenario.horizon + self.scenario.to_finish.fired
        return [owed[o.id] > 0 and end > o.due for o in self.scenario.orders]

    def placed(self, sequence: list[int]) -> tuple[int, list[tuple[int, int]]]:
        """The cost of ``sequence`` (as far as finishing decides it) and (start, person) for each of its jobs."""
        gaps = [[g[:] for g in own] for own in self.gaps]
        step, jobs, weight = self.step, self.jobs, self.scenario.weights.extra
        late = self.tardy_anyway[:]
        cost = 0
        at: list[tuple[int, int]] = []
        for index in sequence:
            job = jobs[index]
            start, person, gap = NEVER, -1, -1
            for p, own in enumerate(gaps):
                for g, (a, b) in enumerate(own):
                    s = a if a > job.release else job.release
                    if s >= start:
                        break
                    if s + job.minutes <= b:
                        start, person, gap = s, p, g
                        break
            if person < 0:
                return NEVER, []
            end = start + job.minutes
            _take(gaps[person], gap, start, end)
            if end > job.due:
                cost += job.rate * -((job.due - end) // step)
                late[job.order] = True
            if job.was is not None and job.was != start:
                cost += job.move
            for a, b in self.evening[person]:
                cost += weight * max(0, min(b, end) - max(a, start))
            at.append((start, person))
        return cost + sum(p for p, is_late in zip(self.price, late, strict=True) if is_late), at

    def plan_of(self, sequence: list[int], at: list[tuple[int, int]]) -> Plan:
        """The plan with its finish tasks in that order, reckoned."""
        moved = {}
        for index, (start, person) in zip(sequence, at, strict=True):
            job = self.jobs[index]
            moved[job.task.id] = replace(
                job.task, start=start, end=start + job.minutes, person=self.people[person].id
            )
        return with_costs(self.scenario, replace(self.plan, tasks=tuple(moved.get(t.id, t) for t in self.plan.tasks)))


def _without(a: int, b: int, start: int, end: int) -> list[list[int]]:
    """``[a, b)`` without ``[start, end)``."""
    return [[x, y] for x, y in ((a, min(b, start)), (max(a, end), b)) if x < y]


def _take(own: list[list[int]], gap: int, start: int, end: int) -> None:
    """Take ``[start, end)`` out of a gap."""
    a, b = own[gap]
    if a == start:
        if end == b:
            del own[gap]
        else:
            own[gap][0] = end
    else:
        own[gap][1] = start
        if end < b:
            own.insert(gap + 1, [end, b])


def resequence(scenario: Scenario, plan: Plan, clock: Clock, seed: int, offer: Callable[[Plan], object]) -> None:
    """Offer cheaper plans with the finish tasks of ``plan`` in another order, until the clock runs out."""
    chance = random.Random(seed)
    search = Resequencer(scenario, plan, extra=bool(seed % 2) and any(p.extra for p in scenario.people))
    seconds = clock.left()
    units = ROUND * (1 + len(search.jobs)) * EACH
    clock.spend(units)
    if not search.possible or seconds <= 0:
        return
    now = list(range(len(search.jobs)))
    cost, at = search.placed(now)
    best = cost
    if cost < NEVER:
        offer(search.plan_of(now, at))
    while (left := clock.left()) > 0:
        spent = (seconds - left) / min(CYCLE, seconds) % 1.0
        heat = max(1, min(best, plan.cost)) * FIRST_HEAT * (LAST_HEAT / FIRST_HEAT) ** spent
        clock.spend(units)
        for _ in range(ROUND):
            other = _changed(now, chance)
            price, places = search.placed(other)
            if price <= cost or (price < NEVER and chance.random() < exp((cost - price) / heat)):
                now, cost = other, price
                if cost < best:
                    best = cost
                    offer(search.plan_of(now, places))


def _changed(sequence: list[int], chance: random.Random) -> list[int]:
    """One job put elsewhere, or two exchanged; mostly near by."""
    out = sequence[:]
    n = len(out)
    i = chance.randrange(n)
    reach = n if chance.random() < 0.3 else 6
    j = min(n - 1, max(0, i + chance.randint(-reach, reach)))
    if chance.random() < 0.5:
        out[i], out[j] = out[j], out[i]
    else:
        out.insert(j, out.pop(i))
    return out
