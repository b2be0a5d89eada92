"""Keeping plans, and choosing the one that is used. Nothing here computes one."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass

from django.contrib.auth.models import User
from django.db import transaction
from django.db.models import Q
from django.utils.translation import gettext as _

from planner.checks import check
from planner.jsonio import plan_from_json, plan_to_json, scenario_to_json
from planner.plan import Plan
from planner.rules import Rule
from studio import models
from studio.changes import changes
from studio.changes.loads import with_loads
from studio.models import PlanRun, Studio
from studio.models.base import new_id
from studio.queries.laid_kept import to_json
from studio.queries.plans import live
from studio.queries.record import record_head
from studio.queries.state import state_of
from studio.record.state import State
from studio.translate import Made, scenario_at
from studio.translate.carry import carried
from studio.translate.placing import NOWHERE, Placing, Refusal
from studio.translate.plans import ids_of, renamed

UNRECORDED = dt.timedelta(hours=4)  # people record at tea and at lunch: a task that is over since is not missed yet


@dataclass(frozen=True)
class Accepted:
    """``used``: the plan is the one in use now. ``moved_on``: the record had moved on since it was made.

    ``rules``: the numbers of the rules that it breaks by now, where it is not used for that.
    """

    used: bool
    moved_on: bool
    message: str
    rules: tuple[str, ...] = ()


@transaction.atomic
def save_plan(
    *,
    studio: Studio,
    made: Made,
    plan: Plan,
    now: dt.datetime,
    before: models.Plan | None = None,
    run: PlanRun | None = None,
    way: str = "",
    placing: Placing = NOWHERE,
    noted: Sequence[Refusal] = (),
) -> models.Plan:
    """Keep ``plan``, the answer to ``made``; its row. It is not in use yet: see :func:`accept_plan`.

    What it has from the plan before or from the record keeps its id; all else gets a new one that is unique for ever.
    ``before``: the plan that it would replace, which is the one in use if nothing is said. ``placing``: where each
    piece stands in its kilns; ``noted``: loads that were planned smaller, since they found no place.
    """
    state = state_of(studio)
    own = renamed(plan, _kept_ids(made, state), new_id)
    if before is None:
        before = models.Plan.objects.filter(studio=studio, is_current=True).first()
    row = models.Plan.objects.create(
        studio=studio, start=made.start, scenario=scenario_to_json(made.scenario), plan=plan_to_json(own),
        record_seq=made.record_seq, made_at=now, before=before, way=way, margins=made.margins,
    )  # fmt: skip
    names = dict(zip((f.id for f in plan.firings), (f.id for f in own.firings), strict=True))
    _keep_loads(row, placing, names)
    old, new = None if before is None else live(before, studio), live(row, studio)
    said = changes(old, new, done=frozenset(state.done_tasks))
    row.changes = [asdict(c) for c in with_loads(said, new, placing.refused, noted, names)]
    row.save(update_fields=["changes"])
    if run is not None:
        PlanRun.objects.filter(pk=run.pk).update(plan=row)
    return row


def _kept_ids(made: Made, state: State) -> set[str]:
    """Ids that stay: of ware that stands there, and of what the plan before had and nobody has begun."""
    previous = made.scenario.previous
    before = set(ids_of(previous)) if previous is not None else set()
    return (before - state.ids - set(state.done_tasks)) | set(made.scenario.ware)


def _keep_loads(row: models.Plan, placing: Placing, names: Mapping[str, str]) -> None:
    """Keep where each piece stands, by the firings' own names."""
    models.PlanLoad.objects.bulk_create(
        models.PlanLoad(
            studio=row.studio, plan=row, firing=names[firing], fits=kept.laid.load.fits, shelves=kept.shelves,
            laid=to_json(kept),
        )
        for firing, kept in placing.loads.items()
    )  # fmt: skip


@transaction.atomic
def accept_plan(*, studio: Studio, plan: models.Plan, now: dt.datetime, user: User | None = None) -> Accepted:
    """Use ``plan`` from now on if it still fits.

    What is left of it is checked against how things stand now, for the record may have moved on and hours or orders
    may have changed: it is used if it holds, and said to be out of date if not, so that a repair can be offered.
    """
    Studio.objects.select_for_update().get(pk=studio.pk)
    row = models.Plan.objects.select_for_update().get(pk=plan.pk, studio=studio)
    if row.is_current:
        return Accepted(True, False, _("This plan is in use already."))
    moved_on = record_head(studio) != row.record_seq or row.accepted_at is not None
    rules = broken_rules(studio, row, now)
    if rules:
        message = _("Since this plan was made things have happened that it does not fit. Your present plan stands.")
        return Accepted(False, moved_on, message, rules)
    _use(studio, row, now)
    if moved_on:
        message = _("This plan is in use. Things have happened since it was made; it was checked, and it still fits.")
        return Accepted(True, True, message)
    return Accepted(True, False, _("This plan is in use."))


def broken_rules(studio: Studio, row: models.Plan, now: dt.datetime) -> tuple[str, ...]:
    """The rules that what is left of a plan breaks as things stand, "late" for work long past and not recorded."""
    state = state_of(studio)
    # At the plan's own minute 0, so that nothing is wrong with it merely because minutes have passed.
    scenario = scenario_at(studio, row.start).scenario
    left = carried(plan_from_json(row.plan), scenario, state)
    broken = {v.rule.name for v in check(scenario, left) if v.rule != Rule.R14}
    over = (now - UNRECORDED - row.start) // dt.timedelta(minutes=1)
    if any(t.end < over for t in left.tasks):
        broken.add("late")
    return tuple(sorted(broken))


def leave_other(*, plan: models.Plan, now: dt.datetime) -> None:
    """Where two ways were made together and one is decided on, the other is left."""
    for run in PlanRun.objects.filter(Q(plan=plan) | Q(other=plan)).exclude(other=None):
        pair = [run.plan_id, run.other_id]
        models.Plan.objects.filter(pk__in=pair, is_current=False, left_at=None).exclude(pk=plan.pk).update(left_at=now)


def _use(studio: Studio, row: models.Plan, now: dt.datetime) -> None:
    old = models.Plan.objects.filter(studio=studio, is_current=True).first()
    if old is not None:
        old.is_current, old.left_at = False, now
        old.save(update_fields=["is_current", "left_at"])
        if row.accepted_at is None:
            row.before = old
    row.is_current, row.accepted_at, row.left_at = True, now, None
    row.save(update_fields=["is_current", "accepted_at", "left_at", "before"])
