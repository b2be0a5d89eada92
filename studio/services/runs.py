"""Runs: wishes for a new plan and questions by when something could be ready. The row is the only truth about a run:
its lease, its progress and its end.

A worker holds a run by a lease that it renews; a run whose lease has passed belongs to nobody, and the next one who
looks says so in plain words. Nothing here computes a plan.
"""

from __future__ import annotations

import datetime as dt
from typing import Any

from django.contrib.auth.models import User
from django.db import transaction
from django.utils.translation import gettext as _

from studio.models import Command, Plan, PlanRun, Studio

LEASE = dt.timedelta(seconds=15)
OPEN = (PlanRun.State.WAITING, PlanRun.State.RUNNING)
SECONDS = {"week": 20, "mould": 6, "kiln": 6, "person": 6, "lost": 6, "late": 6, "stuck": 6, "repair": 6, "promise": 6,
           "demo": 8}  # fmt: skip
MOST_SECONDS = 300
ASKED = ("form", "glaze", "qty")  # what a question is about
WHEN_SECONDS = 4  # the first answer comes within a second or two; somebody looks on while it gets better


def seconds_for(why: str) -> int:
    """How long a run for this reason may look for better: a repair is waited for, a week may take its time."""
    return SECONDS.get(why, SECONDS["week"])


@transaction.atomic
def ask_run(
    *,
    studio: Studio,
    user: User | None,
    why: str,
    now: dt.datetime,
    seconds: int | None = None,
    about: dict[str, Any] | None = None,
    fresh: bool = True,
) -> PlanRun:
    """A new run that waits for a worker. One that is under way is out of date by this wish: it is stopped, and
    what it found is not kept in the new one's way (unless ``fresh`` is False and nothing has changed since it began:
    then it is the one). A run that still waits is taken over as it stands.
    """
    Studio.objects.select_for_update().get(pk=studio.pk)
    reap(now=now, studio=studio)
    seconds = min(seconds or seconds_for(why), MOST_SECONDS)
    open_run = PlanRun.objects.filter(studio=studio, kind=PlanRun.Kind.PLAN, state__in=OPEN).first()
    if open_run is not None and open_run.state == PlanRun.State.WAITING:
        open_run.why, open_run.about, open_run.seconds = why, about or {}, seconds
        open_run.save(update_fields=["why", "about", "seconds"])
        return open_run
    if open_run is not None and not fresh and not _changed_since(open_run):
        return open_run
    if open_run is not None:
        _end(open_run, PlanRun.State.STOPPED, now, _("Things have changed: a newer plan is being worked on."))
    return PlanRun.objects.create(
        studio=studio, why=why, about=about or {}, seconds=seconds, asked_by=user, asked_at=now
    )


@transaction.atomic
def ask_when(*, studio: Studio, user: User | None, about: dict[str, Any], now: dt.datetime) -> PlanRun:
    """A question by when something could be ready: ``about`` = ``{"form", "glaze", "qty"}``.

    It takes the place of one that is still open; the very same one that is being worked on is given back.
    """
    Studio.objects.select_for_update().get(pk=studio.pk)
    reap(now=now, studio=studio)
    open_run = PlanRun.objects.filter(studio=studio, kind=PlanRun.Kind.WHEN, state__in=OPEN).first()
    if open_run is not None and open_run.about == about and not _changed_since(open_run):
        return open_run
    if open_run is not None:
        _end(open_run, PlanRun.State.STOPPED, now, _("Something else was asked since."))
    return PlanRun.objects.create(
        studio=studio, kind=PlanRun.Kind.WHEN, why="when", about=about, seconds=WHEN_SECONDS, asked_by=user,
        asked_at=now,
    )  # fmt: skip


@transaction.atomic
def take_answer(*, run: PlanRun, line: str, qty: int, day: dt.date, now: dt.datetime) -> bool:
    """Note that an order was taken for a day that ``run`` has told: its line in the book begins from that plan.

    False where the answer holds nothing for it: more pieces, or a day before all that were told.
    """
    row = PlanRun.objects.select_for_update().get(pk=run.pk)
    told = [d for d in row.result.get("plans", {}) if d <= day.isoformat()]
    if not told or qty > row.about.get("qty", 0) or "line" in row.about:
        return False
    row.about = {**row.about, "line": line, "day": day.isoformat(), "plan": max(told), "at": now.isoformat()}
    if row.state in OPEN:
        _end(row, PlanRun.State.STOPPED, now, _("The order was taken for the day told."))
    row.save()
    return True


def _changed_since(run: PlanRun) -> bool:
    """Whether anything was recorded or edited since a run began."""
    since = Command.objects.filter(studio=run.studio, status=200, arrived_at__gte=run.started_at or run.asked_at)
    return since.exclude(kind__startswith="plan_").exclude(kind="when_ask").exists()


@transaction.atomic
def claim_run(*, worker: str, now: dt.datetime) -> PlanRun | None:
    """The run that has waited longest, now held by ``worker``; None if there is none. Plans go before questions."""
    row = (
        PlanRun.objects.select_for_update(skip_locked=_can_skip())
        .filter(state=PlanRun.State.WAITING)
        .order_by("kind", "asked_at", "pk")  # "plan" before "when"
        .first()
    )
    if row is None:
        return None
    row.state, row.worker, row.attempts = PlanRun.State.RUNNING, worker, row.attempts + 1
    row.started_at, row.heartbeat_at, row.lease_until = now, now, now + LEASE
    row.stop_wish, row.progress, row.message, row.ended_at = False, {}, "", None
    row.save()
    return row


def _can_skip() -> bool:
    from django.db import connection

    return connection.features.has_select_for_update_skip_locked


def plan_waits() -> bool:
    """Whether somebody waits for a new plan that no worker has taken yet."""
    return PlanRun.objects.filter(kind=PlanRun.Kind.PLAN, state=PlanRun.State.WAITING).exists()


@transaction.atomic
def put_back(*, run: PlanRun, worker: str) -> bool:
    """Let a run wait again that ``worker`` holds; what it found so far stays with it. False if it was taken away."""
    held = PlanRun.objects.select_for_update().filter(pk=run.pk, worker=worker, state=PlanRun.State.RUNNING)
    return bool(held.update(state=PlanRun.State.WAITING, lease_until=None))


def beat(
    *,
    run: PlanRun,
    worker: str,
    now: dt.datetime,
    progress: dict[str, Any] | None = None,
    result: dict[str, Any] | None = None,
) -> bool:
    """Renew the lease, note the progress and the answer so far; False if the worker is to stop: wished so, or the run
    is not its own.
    """
    changes: dict[str, Any] = {"heartbeat_at": now, "lease_until": now + LEASE}
    if progress is not None:
        changes["progress"] = progress
    if result is not None:
        changes["result"] = result
    held = PlanRun.objects.filter(pk=run.pk, worker=worker, state=PlanRun.State.RUNNING)
    return bool(held.update(**changes)) and not PlanRun.objects.filter(pk=run.pk, stop_wish=True).exists()


@transaction.atomic
def finish_run(
    *,
    run: PlanRun,
    worker: str,
    now: dt.datetime,
    state: str,
    plan: Plan | None = None,
    other: Plan | None = None,
    reasons: list[dict[str, Any]] | None = None,
    message: str = "",
    result: dict[str, Any] | None = None,
) -> bool:
    """End a run that ``worker`` still holds; False if it was taken away meanwhile, and then nothing is changed."""
    held = PlanRun.objects.select_for_update().filter(pk=run.pk, worker=worker, state=PlanRun.State.RUNNING).first()
    if held is None:
        return False
    held.plan, held.other, held.reasons = plan, other, reasons or []
    if result is not None:
        held.result = result
    _end(held, state, now, message)
    return True


def fail_run(*, run: PlanRun, worker: str, now: dt.datetime, message: str) -> bool:
    """The run broke off; the present plan stands."""
    return finish_run(run=run, worker=worker, now=now, state=PlanRun.State.FAILED, message=message)


@transaction.atomic
def reap(*, now: dt.datetime, studio: Studio | None = None) -> list[PlanRun]:
    """Say of every run whose lease has passed that it broke off."""
    lost = PlanRun.objects.select_for_update().filter(state=PlanRun.State.RUNNING, lease_until__lt=now)
    if studio is not None:
        lost = lost.filter(studio=studio)
    rows = list(lost)
    for row in rows:
        _end(row, PlanRun.State.FAILED, now, gone_words())
    return rows


def gone_words() -> str:
    """What is said of a run whose worker has gone."""
    return _("The work on this plan stopped half-way. Start it again.")


@transaction.atomic
def stop_run(*, run: PlanRun, now: dt.datetime) -> PlanRun:
    """Wish that a run stop; the best plan so far is kept. One that nobody has begun ends at once."""
    row = PlanRun.objects.select_for_update().get(pk=run.pk)
    if row.state == PlanRun.State.WAITING:
        _end(row, PlanRun.State.STOPPED, now, _("Stopped before it began."))
    elif row.state == PlanRun.State.RUNNING:
        row.stop_wish = True
        row.save(update_fields=["stop_wish"])
    return row


@transaction.atomic
def again(*, run: PlanRun, user: User | None, now: dt.datetime) -> PlanRun:
    """Start a run again that has ended: a new row with the same wish. One that is open is given back as it is."""
    if run.state in OPEN:
        return run
    if run.kind == PlanRun.Kind.WHEN:
        asked = {k: run.about[k] for k in ASKED}
        return ask_when(studio=run.studio, user=user, about=asked, now=now)
    return ask_run(studio=run.studio, user=user, why=run.why, now=now, seconds=run.seconds, about=run.about)


def _end(row: PlanRun, state: str, now: dt.datetime, message: str) -> None:
    row.state, row.ended_at, row.lease_until, row.message = state, now, None, message
    row.save()
