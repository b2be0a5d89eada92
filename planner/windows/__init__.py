"""How far each task of a plan may be moved while all else stays as it is.

The window of a task is the largest unbroken stretch around its present times in which it may stand, as long as it
lasts now, with every other task, every lighting of a kiln and every count fixed, so that none of R01 to R13 is broken:

* R01: the person's hours and extra hours, the person's and the station's tasks before and after, ``free_at``,
  ``closed``, minute 0 and the horizon;
* R02: moulds that are ready; and the set-up or recheck that the press task has room for, its own and that of the press
  after it, so that a press stays on that side of midnight on which its recheck is right;
* R03, R04, R06, R09: all waits to what comes before and after, resting moulds, drying clay and glaze;
* R05: boards, on all racks that the task fills or empties;
* R07, R10, R11, R13: the kiln's loads before and after, ``fire``, cooling, what is glazed and finished from a load,
  lift windows, models and frames, windows of jobs.

What a move costs (R14) is not considered. Inside the window every start is allowed; a minute before ``earliest`` or
after ``latest`` some rule is broken. That holds for a valid plan: for one that breaks rules the window is only told to
contain the present times.
"""

from __future__ import annotations

from dataclasses import dataclass

from planner.facts import Facts
from planner.plan import Plan
from planner.scenario import Scenario
from planner.windows.boards import narrow_by_boards
from planner.windows.bounds import Bounds
from planner.windows.ware import narrow_by_ware
from planner.windows.work import narrow_by_work

__all__ = ["TaskWindow", "windows"]


@dataclass(frozen=True, slots=True)
class TaskWindow:
    """The earliest minute at which a task may start and the latest at which it may end."""

    earliest: int
    latest: int


def windows(scenario: Scenario, plan: Plan) -> dict[str, TaskWindow]:
    """The window of each task of ``plan``, by task id."""
    facts = Facts(scenario, plan)
    bounds = Bounds(facts)
    narrow_by_work(bounds)
    narrow_by_ware(bounds)
    narrow_by_boards(bounds)  # last, for it tries only what the others leave open
    return {t.id: TaskWindow(*bounds.window(t)) for t in facts.task.values()}
