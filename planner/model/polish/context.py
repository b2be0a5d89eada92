"""What all parts of a sub-model share: the CP-SAT model, fixed and freed tasks, costs, hints, fresh names."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import count, pairwise
from typing import NamedTuple

from ortools.sat.python import cp_model

from planner.model.attended import Floor, Literal, Number, TaskVar
from planner.model.polish.freed import Freed
from planner.model.spans import clipped, merged, overlap
from planner.plan import Plan, Task
from planner.promised import Promised
from planner.scenario import Scenario, Span, Work


class At(NamedTuple):
    """Start and end of a task, fixed or not."""

    start: Number
    end: Number


class TooHard(Exception):
    """This plan holds something that sub-models do not describe; the neighbourhood is left alone."""


class Sub:
    """One sub-model under construction."""

    def __init__(self, scenario: Scenario, plan: Plan, freed: Freed) -> None:
        self.m = cp_model.CpModel()
        self.s, self.plan, self.freed = scenario, plan, freed
        self.promised = Promised(scenario)
        self.lo, self.hi = freed.window
        self.floor = Floor(self.m, scenario, self.lo, self.hi)
        self.end = scenario.horizon + 1
        waits = [c.dry for c in scenario.casts] + [f.mould_rest for f in scenario.forms]
        self.longest = self.end + max(waits, default=0)
        self.yes: Literal = self.m.new_constant(1)
        self.no: Literal = self.m.new_constant(0)
        self.tasks: dict[str, TaskVar] = {}
        self.costs: list[Number] = []
        self._taken = {t.id for t in plan.tasks} | names_in_use(scenario, plan)
        self._numbers = count(1)

    # --- names -----------------------------------------------------------------------------------------------

    def fresh(self, letter: str) -> str:
        """An id that nothing has."""
        while (name := f"{letter}{next(self._numbers)}") in self._taken:
            pass
        self._taken.add(name)
        return name

    # --- hints -----------------------------------------------------------------------------------------------

    def hint(self, var: Number, value: int | bool) -> None:
        """What ``var`` is in the present plan."""
        if isinstance(var, int):
            return
        self.m.add_hint(var, int(value))

    def flag(self, name: str, now: bool) -> cp_model.IntVar:
        lit = self.m.new_bool_var(name)
        self.m.add_hint(lit, int(now))
        return lit

    def whole(self, lo: int, hi: int, name: str, now: int | None = None) -> cp_model.IntVar:
        var = self.m.new_int_var(lo, hi, name)
        if now is not None:
            self.m.add_hint(var, now)
        return var

    # --- tasks -----------------------------------------------------------------------------------------------

    def fixed(self, task_id: str) -> At:
        """A task that stays where it is."""
        task = self.plan.task[task_id]
        self.floor.block(task.person, task.station, Span(task.start, task.end))
        self.costs.append(self.s.weights.extra * overlap(Span(task.start, task.end), self.s.person[task.person].extra))
        return At(task.start, task.end)

    def free(
        self,
        task_id: str,
        kind: str,
        size: Number,
        least: int,
        *,
        present: Literal | None = None,
        window: tuple[int, int] | None = None,
        person: str | None = None,
        station: str | None = None,
    ) -> At:
        """A task that may move inside the window; the present plan's place is its hint."""
        here = self.yes if present is None else present
        window = window or (self.lo, self.hi)
        task = self.floor.task(
            task_id, kind, window, size, least=least, present=here, person=person, station=station
        )
        self.tasks[task_id] = task
        self._hint_task(task, self.plan.task.get(task_id))
        self._extra(task, least)
        return At(task.start, task.end)

    def adopt(self, task_id: str, task: TaskVar) -> At:
        """A task that another module has put on the floor."""
        self.tasks[task_id] = task
        self._hint_task(task, self.plan.task.get(task_id))
        assert isinstance(task.size, int)
        self._extra(task, task.size)
        return At(task.start, task.end)

    def _hint_task(self, task: TaskVar, now: Task | None) -> None:
        if now is not None:
            self.hint(task.start, now.start)
        for p, lit in task.people.items():
            if lit is not task.present:
                self.hint(lit, now is not None and now.person == p)
        for s, lit in task.stations.items():
            if lit is not task.present:
                self.hint(lit, now is not None and now.station == s)

    def _extra(self, task: TaskVar, least: int) -> None:
        """Minutes in ``extra`` spans cost; see the fixed case in :meth:`fixed`."""
        weight = self.s.weights.extra
        for p, chosen in task.people.items():
            for a, b in clipped(self.s.person[p].extra, self.lo, self.hi) if weight else ():
                within = self.m.new_int_var(0, b - a, f"{task.id}.extra{a}")
                before, after = self.m.new_bool_var(""), self.m.new_bool_var("")
                self.m.add(task.end <= a).only_enforce_if(before)
                self.m.add(task.start >= b).only_enforce_if(after)
                lead, tail = self.m.new_int_var(0, self.end, ""), self.m.new_int_var(0, self.end, "")
                self.m.add_max_equality(lead, [0, a - task.start])
                self.m.add_max_equality(tail, [0, task.end - b])
                self.m.add(within >= task.size - lead - tail).only_enforce_if(chosen, ~before, ~after)
                self.costs.append(weight * within)

    # --- arithmetic ------------------------------------------------------------------------------------------

    def minutes(self, work: Work, pieces: Number, most: int) -> Number:
        """What ``work`` takes for ``pieces`` (at most ``most``)."""
        if isinstance(pieces, int):
            return work.minutes(pieces)
        if work.each_s == 0:
            return max(1, work.fixed)
        whole = self.m.new_int_var(0, -(-most * work.each_s // 60), "")
        self.m.add(60 * whole >= pieces * work.each_s)
        self.m.add(60 * whole <= pieces * work.each_s + 59)
        return work.fixed + whole

    def boards(self, pieces: Number, per_board: int, most: int) -> Number:
        """Ware boards for ``pieces``; a variable may take more than it needs, which nothing rewards."""
        if isinstance(pieces, int):
            return -(-pieces // per_board)
        var = self.m.new_int_var(0, -(-most // per_board), "")
        self.m.add(per_board * var >= pieces)
        self.m.add(per_board * var <= pieces + per_board - 1)
        return var

    def least_of(self, a: Number, b: Number, most: int) -> Number:
        if isinstance(a, int) and isinstance(b, int):
            return min(a, b)
        var = self.m.new_int_var(0, most, "")
        self.m.add_min_equality(var, [a, b])
        return var

    def sized(self, expr: Number, most: int) -> Number:
        """``expr`` (0 for what is absent) as something that an interval takes for its size."""
        if isinstance(expr, int):
            return expr
        var = self.m.new_int_var(0, most, "")
        self.m.add(var == expr)
        return var


class Pool:
    """A stock of equal things (boards, moulds) of which no more than ``size`` may be taken at once.

    A rack may stand over-full at minute 0. Then nothing is added until it has come down to its size: from a minute T
    on the rule binds, and whatever arrives does so at T or later.
    """

    def __init__(self, sub: Sub, size: int, label: str) -> None:
        self.sub, self.size, self.label = sub, size, label
        self._fixed: list[tuple[int, int, int]] = []
        self._intervals: list[cp_model.IntervalVar] = []
        self._demands: list[Number] = []
        self._arrivals: list[tuple[Number, Literal]] = []
        self._most = 0
        self._standing = 0

    def take(self, begin: Number, end: Number, amount: Number, most: int, present: Literal) -> None:
        """``amount`` (at most ``most``) from ``begin`` until ``end``, if ``present``."""
        sub = self.sub
        if most <= 0 or present is sub.no:
            return
        if isinstance(begin, int) and begin <= 0:
            self._standing += most
        if isinstance(begin, int) and isinstance(end, int) and isinstance(amount, int) and present is sub.yes:
            if end > begin and amount > 0:
                self._fixed.append((begin, end, amount))
            return
        size = sub.m.new_int_var(0, sub.longest + sub.end, "")
        self._intervals.append(sub.m.new_optional_interval_var(begin, size, end, present, f"{self.label}"))
        self._demands.append(amount)
        self._most += most
        if not isinstance(begin, int) or begin > 0:
            self._arrivals.append((begin, present))

    def close(self) -> None:
        """Add the constraint."""
        if not self._intervals:
            return
        steps = _profile(self._fixed)
        if max((level for _, _, level in steps), default=0) + self._most <= self.size:
            return
        for a, b, level in steps:
            if b > a and level > 0:
                self._intervals.append(self.sub.m.new_fixed_size_interval_var(a, b - a, ""))
                self._demands.append(level)
        room = max(self.size, self._standing)
        if room > self.size:
            self._come_down(room - self.size)
        self.sub.m.add_cumulative(self._intervals, self._demands, room)

    def _come_down(self, over: int) -> None:
        """Take the ``over`` places that the stock does not have away from T on."""
        m, end = self.sub.m, self.sub.longest + self.sub.end
        first = min((a for a, _, _ in self._fixed if a > 0), default=self.sub.end)
        since = m.new_int_var(0, first, f"{self.label}.down")
        size = m.new_int_var(0, end, "")
        self._intervals.append(m.new_interval_var(since, size, end, ""))
        self._demands.append(over)
        for begin, present in self._arrivals:
            m.add(begin >= since).only_enforce_if(present)


def _profile(stays: Iterable[tuple[int, int, int]]) -> list[tuple[int, int, int]]:
    """The total of ``stays`` (from, to, amount) as steps."""
    change: dict[int, int] = {}
    for a, b, n in stays:
        change[a] = change.get(a, 0) + n
        change[b] = change.get(b, 0) - n
    times = sorted(change)
    out, level = [], 0
    for a, b in pairwise(times):
        level += change[a]
        out.append((a, b, level))
    return out


def names_in_use(scenario: Scenario, plan: Plan) -> set[str]:
    """Ids that a new thing must not take."""
    used = {w.id for w in scenario.wip}
    for p in (plan, scenario.previous):
        if p is not None:
            used |= {x.id for things in (p.tasks, p.batches, p.firings, p.lots, p.finishes) for x in things}
    return used


__all__ = ["At", "Literal", "Number", "Pool", "Sub", "TooHard", "merged", "names_in_use"]
