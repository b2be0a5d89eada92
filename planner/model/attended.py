"""Attended work (R01) in a CP-SAT model: tasks with a choice of person and station, one task at a time for each.

Times are minutes of the scenario. What is fixed stands as plain numbers: a fixed task only blocks its person and its
station.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field

from ortools.sat.python import cp_model

from planner.model.spans import clipped, gaps, merged, start_spans
from planner.scenario import Person, Scenario, Span

Number = int | cp_model.LinearExpr
Literal = cp_model.LiteralT


@dataclass
class TaskVar:
    """One attended task: ``start``, ``size`` and ``end`` in minutes, ``present``, and who and where if present."""

    id: str
    kind: str
    start: cp_model.IntVar
    size: Number
    end: Number
    present: Literal
    people: dict[str, Literal]
    stations: dict[str, Literal] = field(default_factory=dict)


class Floor:
    """The people and stations of one model. Add tasks, then ``close`` once."""

    def __init__(self, model: cp_model.CpModel, scenario: Scenario, lo: int = 0, hi: int | None = None) -> None:
        self.model = model
        self.scenario = scenario
        self.lo, self.hi = lo, scenario.horizon if hi is None else hi
        self._people: dict[str, list[cp_model.IntervalVar]] = defaultdict(list)
        self._stations: dict[str, list[cp_model.IntervalVar]] = defaultdict(list)
        self._busy_people: dict[str, list[Span]] = defaultdict(list)
        self._busy_stations: dict[str, list[Span]] = defaultdict(list)
        self._duty = {p.id: merged([*p.hours, *p.extra]) for p in scenario.people}

    def block(self, person: str, station: str | None, span: Span) -> None:
        """A fixed task: its person and its station are taken for ``span``."""
        if span.b > self.lo and span.a < self.hi:
            self._busy_people[person].append(span)
            if station is not None:
                self._busy_stations[station].append(span)

    def candidates(self, kind: str, only: str | None = None) -> list[Person]:
        return [p for p in self.scenario.people if p.can(kind) and only in (None, p.id)]

    def task(
        self,
        task_id: str,
        kind: str,
        window: tuple[int, int],
        size: Number,
        *,
        least: int,
        present: Literal | None = None,
        person: str | None = None,
        station: str | None = None,
    ) -> TaskVar:
        """A task of ``size`` minutes (``least`` at least) that lies inside ``window``; None as ``present``: always.

        ``station`` names the one to use for a job; other kinds choose among those that serve them.
        """
        m = self.model
        lo, hi = max(window[0], self.lo), min(window[1], self.hi)
        able = self.candidates(kind, person)
        spans = {p.id: start_spans(self._duty[p.id], lo, hi, least) for p in able}
        here = m.new_bool_var(f"{task_id}.here") if present is None else present
        if present is None:
            m.add(here == 1)
        every = merged([s for x in spans.values() for s in x])
        domain = spans_domain(every) if every else cp_model.Domain(lo, lo)
        if not every:
            m.add_bool_or([~here])
        start = m.new_int_var_from_domain(domain, f"{task_id}.start")
        end = start + size if isinstance(size, int) else m.new_int_var(lo, max(lo, hi), f"{task_id}.end")
        people = self._choice(here, [p for p in spans if spans[p]], task_id)
        task = TaskVar(task_id, kind, start, size, end, here, people)
        for p, chosen in people.items():
            m.add_linear_expression_in_domain(start, spans_domain(spans[p])).only_enforce_if(chosen)
            self._people[p].append(m.new_optional_interval_var(start, size, end, chosen, f"{task_id}@{p}"))
        self._place(task, station, hi)
        return task

    def _place(self, task: TaskVar, station: str | None, hi: int) -> None:
        m = self.model
        if not isinstance(task.end, cp_model.IntVar):
            m.add(task.end <= hi).only_enforce_if(task.present)
        names = [s.id for s in self.scenario.stations if task.kind in s.kinds] if station is None else [station]
        if names:
            task.stations = self._choice(task.present, names, f"{task.id}.at")
        for name, chosen in task.stations.items():
            self._stations[name].append(
                m.new_optional_interval_var(task.start, task.size, task.end, chosen, f"{task.id}#{name}")
            )

    def _choice(self, present: Literal, names: list[str], label: str) -> dict[str, Literal]:
        """A literal per name, exactly one true if ``present``."""
        if len(names) == 1:
            return {names[0]: present}
        chosen = {n: self.model.new_bool_var(f"{label}:{n}") for n in names}
        if names:
            self.model.add(sum(chosen.values()) == present)
        return chosen

    def close(self) -> None:
        """One task at a time for each person and station, inside duty and outside closed spans."""
        for p in self.scenario.people:
            off = gaps(self._duty[p.id], self.lo, self.hi)
            self._no_overlap(self._people[p.id], merged([*off, *self._busy_people[p.id]]), p.id)
        for s in self.scenario.stations:
            shut = [*s.closed, *([Span(0, s.free_at)] if s.free_at > 0 else [])]
            self._no_overlap(self._stations[s.id], merged([*shut, *self._busy_stations[s.id]]), s.id)

    def _no_overlap(self, intervals: list[cp_model.IntervalVar], taken: Iterable[Span], label: str) -> None:
        if not intervals:
            return
        fixed = [
            self.model.new_fixed_size_interval_var(a, b - a, f"{label}.taken{a}")
            for a, b in clipped(taken, self.lo, self.hi)
        ]
        self.model.add_no_overlap([*intervals, *fixed])


def spans_domain(spans: Iterable[Span]) -> cp_model.Domain:
    """The minutes of half-open ``spans``."""
    return cp_model.Domain.from_intervals([[a, b - 1] for a, b in spans])
