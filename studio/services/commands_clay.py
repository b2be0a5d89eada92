"""Commands about clay: bodies, batches that came or were pugged, what is left, and what was pressed from which."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext as _

from studio import units
from studio.models import ClayBody, Fact, Form
from studio.models.base import new_id
from studio.queries.bodies import body_of
from studio.record.state import ClayState
from studio.services.answers import NOT_FOUND, Answer, Refused
from studio.services.commands import OWNERS, command
from studio.services.context import Context
from studio.services.fields import choice, flag, ident, optional, text, whole
from studio.services.kilos import AMOUNT, grams_of, kilos
from studio.services.saving import VERSION, edit_spec, retiring, save

CLAY = {**edit_spec("clay"), "name": text(), "usual": optional(flag, False)}


@command("clay_save", CLAY, roles=OWNERS)
def clay_save(ctx: Context, data: dict[str, Any]) -> Answer:
    """A clay body; the first one, and one that is said to be, is the usual one of all forms."""
    usual = data["usual"] or not ClayBody.objects.filter(studio=ctx.studio, retired_at=None, usual=True).exists()
    row = save(ctx, ClayBody, "clay", data, {"name": data["name"], "usual": usual})
    if usual:
        ClayBody.objects.filter(studio=ctx.studio, usual=True).exclude(pk=row.pk).update(usual=False)
    return ctx.done(_("%(name)s is saved.") % {"name": row.name}, clay=row.public_id)


@command("form_clay", {"form": ident, "version": VERSION, "clay": optional(ident)}, roles=OWNERS)
def form_clay(ctx: Context, data: dict[str, Any]) -> Answer:
    """The body that a form is pressed from, from now on; none named is the studio's usual one."""
    form = ctx.find(Form, data["form"], name="form")
    clay = ctx.find(ClayBody, data["clay"], name="clay") if data["clay"] else None
    ctx.edit(form, data["version"], {"clay": clay})
    name = clay.name if clay else _("the usual clay")
    return ctx.done(_("%(form)s is pressed from %(clay)s from now on.") % {"form": form.name, "clay": name})


CLAY_IN = {
    "clay": optional(ident), "clay_name": optional(text()), **AMOUNT, "how": choice(("delivered", "pugged")),
    "water_pct": optional(whole(10, 40)), "reclaim_kg": optional(kilos(units.KILOS)),
    "reclaim_lb": optional(kilos(units.POUNDS)),
}  # fmt: skip


@command("clay_in", CLAY_IN)
def clay_in(ctx: Context, data: dict[str, Any]) -> Answer:
    """A batch of clay came or was pugged just now; ``reclaim_kg`` of it (or ``reclaim_lb``) is clay used again."""
    grams = grams_of(data)
    body = named_body(ctx, data)
    reclaim = data["reclaim_kg"] or data["reclaim_lb"] or 0
    if reclaim > grams:
        raise Refused(
            _("More reclaim than clay in all cannot be in it."), errors={"reclaim_kg": _("Not more than in all.")}
        )
    fact: dict[str, Any] = {"batch": new_id(), "body": body.public_id, "grams": grams, "how": data["how"]}
    if data["water_pct"] is not None:
        fact["water_pct"] = data["water_pct"]
    if data["how"] == "pugged" and reclaim:
        fact["reclaim_g"] = reclaim
    ctx.fact("clay_in", fact)
    said = {"weight": units.kilos(grams), "clay": body.name}
    message = _("%(weight)s of %(clay)s are in the book.") % said
    return ctx.done(message, clay=body.public_id, batch=fact["batch"])


def named_body(ctx: Context, data: dict[str, Any]) -> ClayBody:
    """The body that is named, else the usual one; in a studio that has none yet, a new one of that name."""
    if data["clay"]:
        return ctx.find(ClayBody, data["clay"], name="clay")
    usual = body_of(ctx.studio, None)
    if usual is not None and not data["clay_name"]:
        return usual
    if not data["clay_name"]:
        raise Refused(_("What is the clay called?"), errors={"clay_name": _("Please fill this in.")})
    same = ClayBody.objects.filter(studio=ctx.studio, retired_at=None, name=data["clay_name"]).first()
    return same or ClayBody.objects.create(studio=ctx.studio, name=data["clay_name"], usual=usual is None)


@command("clay_begun", {"batch": ident})
def clay_begun(ctx: Context, data: dict[str, Any]) -> Answer:
    """This batch is in use from now on, whichever is older."""
    batch = _known(ctx, data["batch"])
    if batch.left <= 0:
        raise Refused(_("By the book nothing of it is left. Say first how much there is."))
    ctx.fact("clay_begun", {"batch": batch.id})
    return ctx.done(_("From now on it is pressed from this one."))


@command("clay_left", {"batch": ident, **AMOUNT})
def clay_left(ctx: Context, data: dict[str, Any]) -> Answer:
    """So much is left of a batch, by the scale; 0 where it is used up."""
    batch = _known(ctx, data["batch"])
    grams = grams_of(data, least=0)
    ctx.fact("clay_left", {"batch": batch.id, "grams": grams})
    if not grams:
        return ctx.done(_("It is used up."))
    return ctx.done(_("Noted: %(weight)s are left.") % {"weight": units.kilos(grams)})


@command("reclaim_left", {"clay": optional(ident), **AMOUNT})
def reclaim_left(ctx: Context, data: dict[str, Any]) -> Answer:
    """So much waits in the reclaim, by the scale."""
    body = named_body(ctx, {**data, "clay_name": None})
    grams = grams_of(data, least=0)
    ctx.fact("reclaim_left", {"body": body.public_id, "grams": grams})
    return ctx.done(_("Noted: %(weight)s in the reclaim.") % {"weight": units.kilos(grams)})


@command("clay_said", {"ware": ident, "batch": ident})
def clay_said(ctx: Context, data: dict[str, Any]) -> Answer:
    """A pressing was of another batch than the one in use by reckoning: a correction of what was told of it."""
    batch = _known(ctx, data["batch"])
    pressed = Fact.objects.filter(studio=ctx.studio, kind="pressed", data__batch=data["ware"]).order_by("seq").first()
    if pressed is None:
        raise Refused(_("This pressing is not on record."), status=NOT_FOUND, errors={"ware": _("Not found.")})
    if ctx.state.clay_of.get(data["ware"]) == batch.id:
        raise Refused(_("It stands so already."))
    ctx.fact("correction", {"of": pressed.public_id, "data": {"clay": batch.id}})
    return ctx.done(_("Corrected: it was pressed from that batch."))


def _known(ctx: Context, batch: str) -> ClayState:
    found = ctx.state.clay.get(batch)
    if found is None:
        raise Refused(_("This batch is not on record."), status=NOT_FOUND, errors={"batch": _("Choose another.")})
    return found


retiring("clay_retire", "clay", ClayBody)
