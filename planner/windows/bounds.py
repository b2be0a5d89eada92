"""The bounds of each task's window while they are gathered."""

from __future__ import annotations

from planner.facts import Facts
from planner.plan import Task


class Bounds:
    """Earliest start and latest end of each task; every rule can only narrow them."""

    def __init__(self, facts: Facts) -> None:
        self.facts = facts
        self._earliest = dict.fromkeys(facts.task, 0)
        self._latest = dict.fromkeys(facts.task, facts.scenario.horizon)

    def starts_from(self, task: Task | None, minute: int | None) -> None:
        """The task may not start before ``minute``."""
        if task is not None and minute is not None and minute > self._earliest[task.id]:
            self._earliest[task.id] = minute

    def ends_by(self, task: Task | None, minute: int | None) -> None:
        """The task may not end after ``minute``."""
        if task is not None and minute is not None and minute < self._latest[task.id]:
            self._latest[task.id] = minute

    def starts_by(self, task: Task | None, minute: int | None) -> None:
        """The task may not start after ``minute``."""
        if task is not None and minute is not None:
            self.ends_by(task, minute + task.end - task.start)

    def ends_from(self, task: Task | None, minute: int | None) -> None:
        """The task may not end before ``minute``."""
        if task is not None and minute is not None:
            self.starts_from(task, minute - (task.end - task.start))

    def follow(self, one: Task | None, two: Task | None, wait: int = 0) -> None:
        """``two`` starts ``wait`` minutes after the end of ``one`` at the earliest."""
        if one is not None and two is not None:
            self.starts_from(two, one.end + wait)
            self.ends_by(one, two.start - wait)

    def window(self, task: Task) -> tuple[int, int]:
        """Earliest start and latest end; they contain the present times whatever the bounds say."""
        return min(self._earliest[task.id], task.start), max(self._latest[task.id], task.end)
