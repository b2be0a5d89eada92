"""Asking when something could be ready."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext as _

from studio.models import Form, Glaze, PlanRun
from studio.services import runs
from studio.services.answers import Answer
from studio.services.commands import command
from studio.services.context import Context
from studio.services.fields import ident, whole


@command("when_ask", {"form": ident, "glaze": ident, "qty": whole(1, 100_000)})
def when_ask(ctx: Context, data: dict[str, Any]) -> Answer:
    """Have the first day looked for on which so many could be ready without making any order later."""
    about = {
        "form": ctx.find(Form, data["form"], name="form").public_id,
        "glaze": ctx.find(Glaze, data["glaze"], name="glaze").public_id,
        "qty": data["qty"],
    }
    run = runs.ask_when(studio=ctx.studio, user=ctx.member.user, about=about, now=ctx.now)
    return ctx.done(_("The first day is looked for."), go=when_path(ctx, run), run=run.public_id)


@command("when_stop", {"run": ident})
def when_stop(ctx: Context, data: dict[str, Any]) -> Answer:
    """Stop looking for an earlier day; the answer so far stays."""
    run = runs.stop_run(run=ctx.find(PlanRun, data["run"], name="run"), now=ctx.now)
    return ctx.done(_("The answer so far stays."), go=when_path(ctx, run), run=run.public_id)


def when_path(ctx: Context, run: PlanRun) -> str:
    """The page on which the answer is shown."""
    return ctx.path(f"when/?run={run.public_id}")
