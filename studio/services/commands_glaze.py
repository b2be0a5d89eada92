"""Batches of glaze: mixed, weighed, in use, used up; test tiles, weighings of glazed ware and laboratory results."""

from __future__ import annotations

import datetime as dt
from typing import Any

from django.utils import timezone
from django.utils.translation import gettext as _

from planner.craft.glaze import dry_g_per_l
from studio import units
from studio.faults import TILE
from studio.models import Form, Glaze, Program
from studio.models.base import new_id
from studio.queries.glaze_grams import MOST_G
from studio.record.glazes import batch_in_use, recipe_now
from studio.services.answers import Answer, Refused
from studio.services.commands import OWNERS, command
from studio.services.context import Context
from studio.services.fields import Fault, Reader, choice, date, ident, number, optional, text, whole, words
from studio.services.glazing import batch_for, batch_of

LEAST_ML, MOST_ML = 100, 500_000
HUNDRED = (100.1, 200.0)  # g that 100 ml of glaze weigh


def _ml(each_l: float) -> Reader:
    """A volume in a unit of so many litres, with decimals, as whole millilitres."""

    def read(value: Any) -> int:
        ml = number(value) * each_l * 1000
        if not LEAST_ML <= ml <= MOST_ML:
            lo, hi = f"{LEAST_ML / 1000 / each_l:.2g}", f"{MOST_ML / 1000 / each_l:.0f}"
            raise Fault(_("Enter how much is in the bucket, from %(lo)s to %(hi)s.") % {"lo": lo, "hi": hi})
        return round(ml)

    return read


def _g_l(value: Any) -> int:
    """What 100 ml weigh, in g, as the weight of a litre."""
    grams = number(value)
    if not HUNDRED[0] <= grams <= HUNDRED[1]:
        raise Fault(_("100 ml of glaze weigh 101 to 200 g. Put the empty jug on the scale and set it to zero."))
    return round(grams * 10)


VOLUME = {"bucket_l": optional(_ml(1)), "bucket_l_qt": optional(_ml(units.L_PER_QUART))}
MIXED = {"glaze": ident, **VOLUME, "hundred": optional(_g_l), "recipe": optional(text(200), "")}


def _volume(data: dict[str, Any]) -> int:
    ml = data["bucket_l"] if data["bucket_l"] is not None else data["bucket_l_qt"]
    if ml is None:
        raise Refused(_("How much is in the bucket?"), errors={"bucket_l": _("Please fill this in.")})
    return int(ml)


@command("glaze_mixed", MIXED)
def glaze_mixed(ctx: Context, data: dict[str, Any]) -> Answer:
    """A batch of glaze was mixed; from now on it is the one in use. ``hundred``: what 100 ml weigh, in g."""
    glaze = ctx.find(Glaze, data["glaze"], name="glaze")
    ml, g_l = _volume(data), data["hundred"]
    fact = {"glaze_batch": new_id(), "glaze": glaze.public_id, "ml": ml, "g_l": g_l, "recipe": data["recipe"]}
    ctx.fact("glaze_mixed", fact)
    said = _("%(litres)s of %(glaze)s mixed, and in use from now on.")
    message = said % {"litres": units.volume(ml / 1000), "glaze": glaze.name}
    return ctx.done(f"{message} {_dry_words(ml, g_l)}".strip(), glaze_batch=fact["glaze_batch"])


def _dry_words(ml: int, g_l: int | None) -> str:
    if g_l is None:
        return ""
    return _("%(dry)s of dry glaze are in it.") % {"dry": units.scale(ml / 1000 * dry_g_per_l(g_l))}


BATCH = {"glaze_batch": ident}


@command("glaze_weighed", {**BATCH, **VOLUME, "hundred": _g_l})
def glaze_weighed(ctx: Context, data: dict[str, Any]) -> Answer:
    """What is in the bucket now, and what 100 ml of it weigh: after stirring, thinning or topping up."""
    batch, ml = batch_of(ctx, data["glaze_batch"]), _volume(data)
    ctx.fact("glaze_weighed", {"glaze_batch": batch.id, "ml": ml, "g_l": data["hundred"]})
    return ctx.done(_dry_words(ml, data["hundred"]))


@command("glaze_in_use", BATCH)
def glaze_in_use(ctx: Context, data: dict[str, Any]) -> Answer:
    """Glazed from this batch from now on."""
    batch = batch_of(ctx, data["glaze_batch"])
    there = batch_in_use(ctx.state, batch.glaze)
    if there is not None and there.id == batch.id:
        raise Refused(_("It is the one in use already."))
    ctx.fact("glaze_in_use", {"glaze_batch": batch.id})
    return ctx.done(_("Glazed from this one from now on."))


@command("glaze_used_up", BATCH)
def glaze_used_up(ctx: Context, data: dict[str, Any]) -> Answer:
    """The bucket is empty, or was poured into another one."""
    batch = batch_of(ctx, data["glaze_batch"])
    if batch.used_up is not None:
        raise Refused(_("It is noted as used up already."))
    ctx.fact("glaze_used_up", {"glaze_batch": batch.id})
    left = batch_in_use(ctx.state, batch.glaze)
    said = _("Noted: used up.") if left is not None else _("Noted: used up. There is no other batch of this glaze.")
    return ctx.done(said)


ON_WARE = {"glaze": ident, "form": ident, "count": whole(1, 500), "bisqued_g": whole(1, 100_000),
           "glazed_g": whole(1, 100_000)}  # fmt: skip
MOST_GLAZE = 0.5  # of the bisqued weight: beyond it something else was weighed


@command("glaze_on_ware", ON_WARE)
def glaze_on_ware(ctx: Context, data: dict[str, Any]) -> Answer:
    """A few pieces weighed together bisqued, and the same pieces with their glaze dry on them."""
    glaze, form = ctx.find(Glaze, data["glaze"], name="glaze"), ctx.find(Form, data["form"], name="form")
    before, after = data["bisqued_g"], data["glazed_g"]
    most = int(min(before * (1 + MOST_GLAZE), before + MOST_G * data["count"]))
    if not before < after <= most:
        raise Refused(
            _("The same pieces weigh more with glaze on, and not half as much again."),
            errors={"glazed_g": _("From %(lo)s to %(hi)s.") % {
                "lo": units.weight(before + 1), "hi": units.weight(most)}},
        )  # fmt: skip
    fact = {"glaze": glaze.public_id, "glaze_batch": batch_for(ctx, glaze.public_id), "form": form.public_id}
    ctx.fact("glaze_on_ware", {**fact, **{k: data[k] for k in ("count", "bisqued_g", "glazed_g")}})
    each = units.scale((after - before) / data["count"])
    return ctx.done(_("%(each)s of dry glaze on each %(form)s.") % {"each": each, "form": form.name})


def _seen(value: Any) -> list[str]:
    found = words(value)
    if any(w not in {f.key for f in TILE} for w in found):
        raise Fault(_("Choose from the list."))
    return found


TILE_SPEC = {
    "glaze": ident, "glaze_batch": optional(ident), "fired": optional(ident), "seen": optional(_seen, []),
    "note": optional(text(300), ""), "verdict": choice(("good", "bad")),
}  # fmt: skip


@command("test_tile", TILE_SPEC)
def test_tile(ctx: Context, data: dict[str, Any]) -> Answer:
    """A test tile came out of the glost: ``fired`` is the firing it was in, or the program; what was seen; good or bad.

    Without a batch it is one of the batch in use.
    """
    glaze = ctx.find(Glaze, data["glaze"], name="glaze")
    if data["verdict"] == "bad" and not data["seen"] and not data["note"]:
        raise Refused(_("What is wrong with it?"), errors={"seen": _("Tick what you see, or write it down.")})
    firing, program = _fired(ctx, data["fired"])
    fact = {
        "glaze": glaze.public_id, "glaze_batch": batch_for(ctx, glaze.public_id, data["glaze_batch"]),
        "firing": firing, "program": program, "seen": data["seen"], "verdict": data["verdict"],
    }  # fmt: skip
    ctx.fact("test_tile", fact | ({"note": data["note"]} if data["note"] else {}))
    return ctx.done(_("The tile of %(glaze)s is on file.") % {"glaze": glaze.name})


def _fired(ctx: Context, fired: str | None) -> tuple[str | None, str | None]:
    """The firing and its program, or a program alone."""
    if fired is None:
        return None, None
    firing = ctx.state.firings.get(fired)
    if firing is not None:
        return firing.id, firing.program
    return None, ctx.find(Program, fired, retired=True, name="fired").public_id


FOOD = {
    "glaze": ident, "recipe": optional(text(200)), "on": date, "laboratory": text(120), "tested": text(200),
    "result": choice(("within", "over")), "reference": text(200),
}  # fmt: skip


@command("food_result", FOOD, roles=OWNERS)
def food_result(ctx: Context, data: dict[str, Any]) -> Answer:
    """What a laboratory found on fired ware. It holds for the recipe said, as noted with its batches; without one, for
    that of the batch in use."""
    glaze = ctx.find(Glaze, data["glaze"], name="glaze")
    if data["on"] > _today(ctx):
        raise Refused(_("That day is still to come."), errors={"on": _("The day of the laboratory’s report.")})
    recipe = data["recipe"] or recipe_now(ctx.state, glaze.public_id) or ""
    within = data["result"] == "within"
    fact = {"glaze": glaze.public_id, "recipe": recipe, "on": data["on"].isoformat(), "within": within}
    ctx.fact("food_result", {**fact, **{k: data[k] for k in ("laboratory", "tested", "reference")}})
    said = _("On file: within the limits.") if within else _("On file: over the limits. Not for food.")
    return ctx.done(f"{glaze.name}. {said}")


def _today(ctx: Context) -> dt.date:
    return timezone.localtime(ctx.now, ctx.zone).date()
