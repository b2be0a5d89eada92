"""Finding what a task of a plan was meant to do, in the current plan or in one that was used before."""

from __future__ import annotations

from dataclasses import dataclass

from planner.plan import Batch, CastPlan, Finish, Firing, JobPlan, Lot, Plan, Task
from planner.scenario import Scenario
from studio import models, words
from studio.models import Studio
from studio.queries.plans import live
from studio.queries.record import minute_of

Thing = Batch | Firing | Lot | Finish | CastPlan | JobPlan
LOOKED_BACK = 20  # plans: a phone may have been away for days, but not for more than these


@dataclass(frozen=True)
class Planned:
    """One task with the thing it serves, in its plan; times are minutes of the record."""

    plan: Plan
    scenario: Scenario
    task: Task
    thing: Thing
    origin: int  # the plan's minute 0 as a minute of the record

    @property
    def started(self) -> int:
        return self.origin + self.task.start

    @property
    def ended(self) -> int:
        return self.origin + self.task.end

    @property
    def minutes(self) -> int:
        return self.task.end - self.task.start


def find_task(studio: Studio, task_id: str) -> Planned | None:
    """The task of that id in the current plan, else in the last plan in use that had it."""
    used = models.Plan.objects.filter(studio=studio, accepted_at__isnull=False)
    for row in used.order_by("-is_current", "-accepted_at", "-pk").defer("plan", "scenario")[:LOOKED_BACK]:
        kept = live(row, studio)
        task = kept.plan.task.get(task_id)
        thing = _things(kept.plan).get(task_id) if task else None
        if task is not None and thing is not None:
            return Planned(kept.plan, kept.scenario, task, thing, minute_of(row.start))
    return None


def title(planned: Planned) -> str:
    """The task as the pages call it: ``Take out 10 × Bowl``."""
    thing, scenario = planned.thing, planned.scenario
    glaze = ""
    if isinstance(thing, Firing):
        count, name = sum(p.count for p in thing.pieces), scenario.kiln[thing.kiln].name
    elif isinstance(thing, Batch):
        count, name = thing.count, scenario.form[thing.form].name
    elif isinstance(thing, CastPlan):
        count, name = 1, scenario.form[scenario.cast[thing.id].form].name
    elif isinstance(thing, JobPlan):
        count, name = 1, scenario.job[thing.id].name
    else:
        order = scenario.order[thing.order]
        count, name, glaze = thing.count, scenario.form[order.form].name, scenario.glaze[order.glaze].name or ""
    return words.todo(planned.task.kind, n=count, thing=name or "", glaze=glaze)


def _things(plan: Plan) -> dict[str, Thing]:
    """By task id, what the task serves."""
    found: dict[str, Thing] = {}
    for batch in plan.batches:
        found.update(dict.fromkeys((t for t in (batch.press, batch.release, *batch.steps) if t), batch))
    for firing in plan.firings:
        found.update(dict.fromkeys((t for t in (firing.load, firing.unload) if t), firing))
    for cast in plan.casts:
        found.update(dict.fromkeys((t for t in (cast.pour, cast.lift) if t), cast))
    found.update({lot.glaze: lot for lot in plan.lots})
    found.update({finish.task: finish for finish in plan.finishes})
    found.update({job.task: job for job in plan.jobs})
    return found
