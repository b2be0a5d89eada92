"""Commands about plans: ask for one, stop the work on it, use it, leave it, go back; and what is to stay as it is."""

from __future__ import annotations

import datetime as dt
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from studio.models import Pin, Plan, PlanRun
from studio.services import runs
from studio.services.answers import STALE, Answer, Refused
from studio.services.commands import command
from studio.services.context import Context
from studio.services.fields import flag, ident, ids, optional, text, whole

PLAN_MAKE = {
    "why": optional(text(40), "week"), "seconds": optional(whole(1, runs.MOST_SECONDS)), "two": optional(flag, False),
}  # fmt: skip


@command("plan_make", PLAN_MAKE)
def plan_make(ctx: Context, data: dict[str, Any]) -> Answer:
    """Have a new plan worked on in the background; with ``two``, two different ways to do the weeks."""
    wish = {"why": data["why"], "seconds": data["seconds"], "about": {"two": True} if data["two"] else {}}
    run = runs.ask_run(studio=ctx.studio, user=ctx.member.user, now=ctx.now, fresh=data["two"], **wish)
    if data["two"]:
        return ctx.done(_("Two ways to do the weeks are being worked on."), go=run_path(ctx, run), run=run.public_id)
    return ctx.done(_("A new plan is being worked on."), go=run_path(ctx, run), run=run.public_id)


@command("plan_again", {"run": ident})
def plan_again(ctx: Context, data: dict[str, Any]) -> Answer:
    """Start a run again that broke off or was stopped."""
    old = ctx.find(PlanRun, data["run"], name="run")
    run = runs.again(run=old, user=ctx.member.user, now=ctx.now)
    return ctx.done(_("It is started again."), go=run_path(ctx, run), run=run.public_id)


@command("plan_stop", {"run": ident})
def plan_stop(ctx: Context, data: dict[str, Any]) -> Answer:
    """Stop looking for better and keep the best plan so far."""
    run = runs.stop_run(run=ctx.find(PlanRun, data["run"], name="run"), now=ctx.now)
    return ctx.done(_("It stops; the best plan so far is kept."), go=run_path(ctx, run), run=run.public_id)


def run_path(ctx: Context, run: PlanRun) -> str:
    """The page on which a run is watched."""
    return ctx.path(f"plan/?run={run.public_id}")


@command("plan_use", {"plan": ident})
def plan_use(ctx: Context, data: dict[str, Any]) -> Answer:
    """Use a plan from now on. Where the record has moved on it is checked against how things stand now; if it does
    not fit any more, a repair is worked on at once and the present plan stays."""
    return _used(ctx, ctx.find(Plan, data["plan"], name="plan"))


@command("plan_back", {})
def plan_back(ctx: Context, data: dict[str, Any]) -> Answer:
    """Go back to the plan that was used before."""
    now_used = Plan.objects.filter(studio=ctx.studio, is_current=True).select_related("before").first()
    if now_used is None or now_used.before is None:
        raise Refused(_("There is no plan before this one."))
    return _used(ctx, now_used.before)


def _used(ctx: Context, plan: Plan) -> Answer:
    from studio.services import plans

    accepted = plans.accept_plan(studio=ctx.studio, plan=plan, user=ctx.member.user, now=ctx.now)
    if accepted.used:
        plans.leave_other(plan=plan, now=ctx.now)
        return ctx.done(accepted.message, go=ctx.path(), plan=plan.public_id)
    run = runs.ask_run(studio=ctx.studio, user=ctx.member.user, why="repair", now=ctx.now)
    raise_with = accepted.message + " " + _("A plan that fits is being worked on.")
    return Answer(STALE, raise_with, go=run_path(ctx, run), data={"run": run.public_id, "plan": plan.public_id})


@command("plan_leave", {"plan": ident})
def plan_leave(ctx: Context, data: dict[str, Any]) -> Answer:
    """Leave a plan unused, and the other way that was made with it; the present one stands."""
    from studio.services import plans

    plan = ctx.find(Plan, data["plan"], name="plan")
    if plan.is_current:
        raise Refused(_("This plan is the one in use."))
    if plan.left_at is None:
        plan.left_at = ctx.now
        plan.save(update_fields=["left_at"])
    plans.leave_other(plan=plan, now=ctx.now)
    return ctx.done(_("Left. Your present plan stands."), go=ctx.path())


PIN = {"tasks": optional(ids, []), "today": optional(flag, False)}


@command("pin", PIN)
def pin(ctx: Context, data: dict[str, Any]) -> Answer:
    """These tasks, or all of today's, are to stay where they are in the next plan."""
    tasks = [*data["tasks"], *(_today(ctx) if data["today"] else [])]
    if not tasks:
        raise Refused(_("Which ones are to stay?"), errors={"tasks": _("Choose at least one.")})
    known = _tasks_of_plan(ctx)
    unknown = [t for t in tasks if t not in known]
    if unknown:
        raise Refused(_("This task is not in the present plan any more. Please open the page again."))
    for task in dict.fromkeys(tasks):
        Pin.objects.get_or_create(studio=ctx.studio, task=task, defaults={"until": _end_of(ctx, known[task])})
    n = len(set(tasks))
    return ctx.done(ngettext("%(n)d task stays where it is.", "%(n)d tasks stay where they are.", n) % {"n": n})


@command("unpin", PIN)
def unpin(ctx: Context, data: dict[str, Any]) -> Answer:
    """These tasks (none named: all) may move again."""
    pins = Pin.objects.filter(studio=ctx.studio)
    if data["tasks"] or data["today"]:
        pins = pins.filter(task__in=[*data["tasks"], *(_today(ctx) if data["today"] else [])])
    n = pins.delete()[0]
    return ctx.done(ngettext("%(n)d task may move again.", "%(n)d tasks may move again.", n) % {"n": n})


def _tasks_of_plan(ctx: Context) -> dict[str, tuple[dt.datetime, dt.datetime]]:
    """By task of the present plan, its start and end."""
    row = Plan.objects.filter(studio=ctx.studio, is_current=True).first()
    if row is None:
        raise Refused(_("There is no plan yet."))
    minute = dt.timedelta(minutes=1)
    return {t["id"]: (row.start + t["start"] * minute, row.start + t["end"] * minute) for t in row.plan["tasks"]}


def _today(ctx: Context) -> list[str]:
    today = ctx.now.astimezone(ctx.zone).date()
    return [t for t, (a, _b) in _tasks_of_plan(ctx).items() if a.astimezone(ctx.zone).date() == today and a >= ctx.now]


def _end_of(ctx: Context, span: tuple[dt.datetime, dt.datetime]) -> dt.datetime:
    return span[1]
