"""Loads that are too much for a kiln, as people or the places of a plan's pieces show them, and loads that do go in."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext as _

from studio.models import Form, Kiln, Stage
from studio.queries.laid_kept import holds
from studio.services.answers import Answer, Refused
from studio.services.commands import OWNERS, command
from studio.services.context import Context
from studio.services.fields import choice, ident, listed, whole
from studio.services.kiln_notes import MOST
from studio.services.saving import VERSION_READ

LOAD = {"kiln": ident, "version": VERSION_READ, "stage": choice(Stage.values),
        "counts": listed({"form": ident, "count": whole(1, 10_000)}, least=1)}  # fmt: skip


@command("kiln_limit", LOAD, roles=OWNERS)
def kiln_limit(ctx: Context, data: dict[str, Any]) -> Answer:
    """A load that is known not to fit."""
    kiln, note = _read(ctx, data)
    left = [x for x in kiln.limits if not (x.get("fits") and _alike(x, note) and holds(x["counts"], note["counts"]))]
    _keep(ctx, kiln, data["version"], [*left, note])
    return ctx.done(_("Noted: such a load does not fit."))


@command("kiln_fits", LOAD, roles=OWNERS)
def kiln_fits(ctx: Context, data: dict[str, Any]) -> Answer:
    """A load that does go in, whatever the places of its pieces say; of one form: its count on a shelf is right."""
    kiln, note = _read(ctx, data)
    _keep(ctx, kiln, data["version"], _fitting(kiln.limits, note))
    return ctx.done(_("Kept: the next plan takes your word for it."))


@command("kiln_limit_drop", {"kiln": ident, "version": VERSION_READ, "place": whole(0, MOST - 1)}, roles=OWNERS)
def kiln_limit_drop(ctx: Context, data: dict[str, Any]) -> Answer:
    """Take a note back: ``place`` counts them from 0. One that places showed is turned into the word that it fits."""
    kiln = ctx.find(Kiln, data["kiln"], name="kiln")
    if data["version"] == kiln.version and data["place"] >= len(kiln.limits):
        raise Refused(_("There is no such note on this kiln."), errors={"place": _("Not found.")})
    note = kiln.limits[data["place"]] if data["place"] < len(kiln.limits) else {}
    left = [x for i, x in enumerate(kiln.limits) if i != data["place"]]
    _keep(ctx, kiln, data["version"], _fitting(left, note) if note.get("placed") else left)
    if note.get("fits"):
        return ctx.done(_("Taken back: the places of the pieces count again."))
    return ctx.done(_("The note is taken off: such a load may be planned again."))


def _read(ctx: Context, data: dict[str, Any]) -> tuple[Kiln, dict[str, Any]]:
    kiln = ctx.find(Kiln, data["kiln"], name="kiln")
    counts = {ctx.find(Form, c["form"], name="counts").public_id: c["count"] for c in data["counts"]}
    return kiln, {"stage": data["stage"], "counts": counts}


def _keep(ctx: Context, kiln: Kiln, version: int, limits: list[dict[str, Any]]) -> None:
    if len(limits) > MOST:
        raise Refused(_("This kiln has too many such notes already."))
    ctx.edit(kiln, version, {"limits": limits})


def _fitting(limits: list[dict[str, Any]], note: dict[str, Any]) -> list[dict[str, Any]]:
    """``limits`` with the word that ``note`` fits, instead of what places showed against it."""
    against = [x for x in limits if x.get("placed") and _alike(x, note) and holds(note["counts"], x["counts"])]
    return [*(x for x in limits if x not in against), {"stage": note["stage"], "counts": note["counts"], "fits": True}]


def _alike(one: dict[str, Any], other: dict[str, Any]) -> bool:
    return bool(one["stage"] == other["stage"])
