"""Commands about the shrinkage of a clay body: a bar that was measured, or figures that its maker prints."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext as _

from planner.craft import shrinkage as craft
from planner.craft.ranges import OutOfRange
from studio import units
from studio.queries.asking import in_words
from studio.services.answers import Answer, Refused
from studio.services.commands import command
from studio.services.commands_clay import named_body
from studio.services.context import Context
from studio.services.fields import Fault, Reader, choice, ident, number, optional, text


def hundredths(each: float, lo: float, hi: float) -> Reader:
    """A figure with decimals from ``lo`` to ``hi``, in a unit of so much, as whole hundredths."""

    def read(value: Any) -> int:
        entered = number(value) * each
        if not lo <= entered <= hi:
            bounds = {"lo": f"{lo / each:.4g}", "hi": f"{hi / each:.4g}"}
            raise Fault(_("Enter a number from %(lo)s to %(hi)s.") % bounds)
        return round(entered * 100)

    return read


WHICH = {"clay": optional(ident), "clay_name": optional(text())}
LENGTHS = ("wet", "dry", "fired")
BAR = {
    **WHICH,
    **{f"{k}_mm": optional(hundredths(1, 1, 5000)) for k in LENGTHS},
    **{f"{k}_inch": optional(hundredths(units.MM_PER_INCH, 1, 5000)) for k in LENGTHS},
}  # fmt: skip


@command("shrinkage_bar", BAR)
def shrinkage_bar(ctx: Context, data: dict[str, Any]) -> Answer:
    """A bar marked wet and measured again bone-dry and fired, in mm (or inches: ``wet_inch``)."""
    lengths = {k: data[f"{k}_mm"] if data[f"{k}_mm"] is not None else data[f"{k}_inch"] for k in LENGTHS}
    missing = [k for k in LENGTHS if lengths[k] is None]
    if missing:
        errors = {f"{k}_mm": _("Please fill this in.") for k in missing}
        raise Refused(_("Nothing was saved yet: please look at what is marked."), errors=errors)
    wet, dry, fired = (lengths[k] / 100 for k in LENGTHS)
    try:
        body = craft.Shrinkage(craft.drying_shrinkage(wet, dry), craft.firing_shrinkage(dry, fired))
    except OutOfRange as fault:
        raise Refused(in_words(fault), errors={"dry_mm": _("Look at the lengths.")}) from None
    return _kept(ctx, data, {**lengths, "drying": None, "firing": None, "basis": "dry"}, body)


SAID = {
    **WHICH, "drying_pct": hundredths(1, 0, 20), "firing_pct": optional(hundredths(1, 0, 30)),
    "total_pct": optional(hundredths(1, 0, 40)), "basis": optional(choice(("dry", "wet", "fired")), "dry"),
}  # fmt: skip


@command("shrinkage_said", SAID)
def shrinkage_said(ctx: Context, data: dict[str, Any]) -> Answer:
    """As its sheet says: drying of the wet length, and either the whole of it or the fire's share on its basis."""
    firing, basis = data["firing_pct"], data["basis"]
    if firing is None:
        firing, basis = data["total_pct"], "total"
    if firing is None:
        raise Refused(_("How much does it shrink?"), errors={"total_pct": _("Please fill this in.")})
    try:
        if basis == "total":
            body = craft.Shrinkage.of_total(firing / 10_000, data["drying_pct"] / 10_000)
        else:
            body = craft.Shrinkage(data["drying_pct"] / 10_000, firing / 10_000, craft.Basis(basis))
    except OutOfRange:
        error = _("In drying it cannot shrink more than in all.")
        raise Refused(_("These figures do not go together."), errors={"drying_pct": error}) from None
    told = {"drying": data["drying_pct"], "firing": firing, "basis": basis}
    return _kept(ctx, data, {**dict.fromkeys(LENGTHS), **told}, body)


def _kept(ctx: Context, data: dict[str, Any], told: dict[str, Any], shrinks: craft.Shrinkage) -> Answer:
    body = named_body(ctx, data)
    ctx.fact("shrinkage", {"body": body.public_id, **told})
    said = {"clay": body.name, "total": f"{100 * shrinks.total:.1f}", "drying": f"{100 * shrinks.drying:.1f}"}
    return ctx.done(_("%(clay)s: %(total)s %% in all, %(drying)s %% of it in drying.") % said, clay=body.public_id)
