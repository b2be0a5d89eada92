"""Commands about plaster: bags, the mix that a form's mould takes, and the steps of a casting session."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext as _

from planner.craft.plaster import MOULD_CONSISTENCY, WASTE
from studio import units
from studio.models import Cast, Form, MouldMix
from studio.models.base import new_id
from studio.record.form import CAST_STEPS
from studio.record.state import BagState
from studio.services.answers import DONE, NOT_FOUND, Answer, Refused
from studio.services.commands import command
from studio.services.context import Context
from studio.services.fields import choice, date, ident, optional, whole
from studio.services.kilos import AMOUNT, grams_of

PLASTER_IN = {**AMOUNT, "count": optional(whole(1, 40), 1), "made": optional(date), "best": optional(date)}


@command("plaster_in", PLASTER_IN)
def plaster_in(ctx: Context, data: dict[str, Any]) -> Answer:
    """``count`` bags came, each of ``kg`` (or ``lb``), with the day printed on them: made, or best before, or none."""
    grams = grams_of(data)
    made, best = data["made"], data["best"]
    if made is not None and made > ctx.happened.astimezone(ctx.zone).date():
        raise Refused(_("That day is still to come."), errors={"made": _("The day on which it was bagged.")})
    if made is not None and best is not None and best <= made:
        raise Refused(_("It cannot be best before it was bagged."), errors={"best": _("A later day.")})
    days = {k: day.isoformat() for k, day in (("made", made), ("best", best)) if day is not None}
    ids = [new_id() for _i in range(data["count"])]
    for bag in ids:
        ctx.fact("plaster_in", {"bag": bag, "grams": grams, **days})
    said = {"n": len(ids), "weight": units.kilos(grams)}
    return ctx.done(_("%(n)d × %(weight)s of plaster are in the book.") % said, bags=ids)


@command("plaster_opened", {"bag": ident})
def plaster_opened(ctx: Context, data: dict[str, Any]) -> Answer:
    """A bag is open from now on."""
    bag = _bag(ctx, data["bag"])
    if bag.opened is not None:
        return Answer(DONE, _("It is open already."))
    ctx.fact("plaster_opened", {"bag": bag.id})
    return ctx.done(_("Noted: the bag is open. Close it tightly after each mix: plaster draws damp."))


@command("plaster_left", {"bag": ident, **AMOUNT})
def plaster_left(ctx: Context, data: dict[str, Any]) -> Answer:
    """So much is left of a bag, by the scale; 0 where it is used up or thrown away."""
    bag = _bag(ctx, data["bag"])
    grams = grams_of(data, least=0)
    ctx.fact("plaster_left", {"bag": bag.id, "grams": grams})
    return ctx.done(_("Noted: %(weight)s are left.") % {"weight": units.kilos(grams)} if grams else _("It is used up."))


def _bag(ctx: Context, bag: str) -> BagState:
    found = ctx.state.plaster.get(bag)
    if found is None:
        raise Refused(_("This bag is not on record."), status=NOT_FOUND, errors={"bag": _("Choose another.")})
    return found


MIX = {
    "form": ident, "ml": whole(10, 500_000),
    "consistency_tenths": optional(whole(200, 1000), round(10 * MOULD_CONSISTENCY)),
    "waste_pct": optional(whole(0, 50), round(100 * WASTE)), "bucket_ml": optional(whole(1000, 100_000), 10_000),
}  # fmt: skip
ASKED = ("way", "frame_mm", "length_mm", "width_mm", "model_mm", "height_mm", "over_mm", "shape", "model_l")


@command("mould_mix", MIX)
def mould_mix(ctx: Context, data: dict[str, Any]) -> Answer:
    """Keep what one mould of a form takes: ``ml`` of slurry, and the figures (:data:`ASKED`) that they come from."""
    form = ctx.find(Form, data["form"], name="form")
    asked = {k: str(v)[:20] for k in ASKED if (v := ctx.payload.get(k)) not in (None, "")}
    values = {k: data[k] for k in MIX if k != "form"} | {"asked": asked}
    row = MouldMix.objects.filter(form=form).first()
    if row is None:
        MouldMix.objects.create(studio=ctx.studio, form=form, **values)
    else:
        ctx.edit(row, row.version, values)
    said = {"form": form.name, "litres": units.volume(data["ml"] / 1000)}
    return ctx.done(_("Kept: a mould of %(form)s takes %(litres)s.") % said)


@command("cast_step", {"cast": ident, "step": choice(CAST_STEPS)})
def cast_step(ctx: Context, data: dict[str, Any]) -> Answer:
    """A step of a casting session is done: one tap."""
    cast = ctx.find(Cast, data["cast"], name="cast", retired=True)
    if data["step"] in ctx.state.casting.get(cast.public_id, {}):
        return Answer(DONE, _("This is noted already."))
    ctx.fact("cast_step", {"cast": cast.public_id, "step": data["step"]})
    return ctx.done(_("Noted."))
