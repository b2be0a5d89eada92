"""Commands of a form's life: begun as a drawing, brought on step by step, its jobs planned."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext as _

from studio import form_steps
from studio.defaults import CAST, KINDS
from studio.models import Cast, Form, Person
from studio.record.forms import STEPS
from studio.services.answers import Answer, Refused
from studio.services.commands import OWNERS, command
from studio.services.commands_forms import make_form
from studio.services.context import Context
from studio.services.fields import choice, ident, optional, text, whole
from studio.services.saving import VERSION

BEGIN = {"name": text(), "shape": choice(KINDS), "fired_mm": whole(20, 800), "tool": optional(ident)}


@command("form_begin", BEGIN, roles=OWNERS)
def form_begin(ctx: Context, data: dict[str, Any]) -> Answer:
    """A new form that is only a drawing yet: no moulds, figures of common practice, and a trial mould to be poured
    once there is a model."""
    form, _draft = make_form(ctx, {**data, "foot": None, "handle": False, "ball_g": None})
    form.begun_at = ctx.now
    form.save(update_fields=["begun_at"])
    Cast.objects.create(
        studio=ctx.studio, form=form, pour_min=CAST.pour_min, lift_after=list(CAST.lift_after), lift_min=CAST.lift_min,
        dry_min=CAST.dry_min, uses=CAST.uses, holds=[f"model {form.public_id}"], required=True,
    )  # fmt: skip
    message = _("%(name)s is begun. What is next goes into the next plan.") % {"name": form.name}
    return ctx.done(message, go=ctx.path(f"workshop/forms/{form.public_id}/"), form=form.public_id)


@command("form_step", {"form": ident, "step": choice(STEPS)})
def form_step(ctx: Context, data: dict[str, Any]) -> Answer:
    """A step of a form's life is done."""
    form = ctx.find(Form, data["form"], name="form")
    if form.begun_at is None:
        raise Refused(_("This form came into the book in production: it has no steps left."))
    ctx.fact("form_step", {"form": form.public_id, "step": data["step"]})
    return ctx.done(form_steps.said_done(data["step"], form.name) + ".")


PLAN = {
    "form": ident, "version": VERSION, "person": optional(ident),
    **{f"{s}_min": optional(whole(0, form_steps.MOST_MIN)) for s in form_steps.WITH_JOB},
}  # fmt: skip


@command("step_plan", PLAN, roles=OWNERS)
def step_plan(ctx: Context, data: dict[str, Any]) -> Answer:
    """How long each step's job takes, and who does it: nothing entered, the usual minutes and anybody; 0, no job."""
    form = ctx.find(Form, data["form"], name="form")
    if data["person"]:
        ctx.find(Person, data["person"], name="person")
    minutes = {s: data[f"{s}_min"] for s in form_steps.WITH_JOB if data[f"{s}_min"] is not None}
    ctx.edit(form, data["version"], {"life": {"minutes": minutes, "person": data["person"]}})
    return ctx.done(_("Saved. The next plan goes by it."), version=form.version)
