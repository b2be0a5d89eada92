"""Correcting counts and times that were put on record, in the fields that a person reads."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext as _

from studio.queries.record import settled_fact
from studio.record.facts import Fact
from studio.record.form import check_form
from studio.record.recount import COUNTED, recounted
from studio.services.answers import NOT_FOUND, Answer, Refused
from studio.services.commands import command
from studio.services.context import Context, minute_of
from studio.services.fields import ident, instant, optional, settle, text, whole

COUNTS = sorted({name for names in COUNTED.values() for name in names})
RECOUNT = {
    "fact": ident, **dict.fromkeys(COUNTS, optional(whole(0, 100_000))), "why": optional(text(200)),
    "ended_at": optional(instant),
}  # fmt: skip


@command("recount", RECOUNT)
def recount(ctx: Context, data: dict[str, Any]) -> Answer:
    """Other counts, another reason or another time for a fact on record; what is left out stays as it was told.

    The fact stays as it was written; a correction is put beside it, and can be taken back.
    """
    fact = settled_fact(ctx.studio, data["fact"])
    if fact is None:
        raise Refused(_("This is not on record, or it was taken back."), status=NOT_FOUND)
    if fact.kind not in COUNTED:
        raise Refused(_("Of this no count can be corrected. Take it back and record it anew."))
    new = _changed(ctx, fact, data)
    if not new:
        raise Refused(_("Nothing of it is changed."))
    ctx.fact("correction", {"of": fact.id, "data": new})
    return ctx.done(_("Corrected."), go=ctx.path("record/"))


def _changed(ctx: Context, fact: Fact, data: dict[str, Any]) -> dict[str, Any]:
    said = {k: data[k] for k in COUNTED[fact.kind] if data[k] is not None}
    if "why" in fact.data and data["why"] is not None:
        said["why"] = data["why"]
    ended = minute_of(settle(data["ended_at"], ctx.zone)) if data["ended_at"] else None
    if ended is not None and ended > ctx.minute:
        raise Refused(_("It cannot have happened then."), errors={"ended_at": _("Enter a time that is past.")})
    told = _told(fact, said)
    if told:
        raise Refused(_("So it cannot have been: please look at what is marked."), errors=told)
    new = recounted(fact, said, ended)
    if check_form(fact.kind, {**fact.data, **new}):
        raise Refused(_("So it cannot have been. Take it back and record it anew."))
    return new


def _told(fact: Fact, said: dict[str, Any]) -> dict[str, str]:
    """What is wrong with the counts, by field, in words that say what to enter."""
    if fact.kind == "pressed" and "count" in said and not 1 <= said["count"] <= len(fact.data["moulds"]):
        most = len(fact.data["moulds"])
        return {"count": _("From 1 to %(most)d; more were pressed? Record those as pressed besides.") % {"most": most}}
    if fact.kind == "sorted":
        there = sum(p["count"] for p in fact.data["pieces"])
        if sum(said.get(k, fact.data[k]) for k in ("firsts", "seconds", "lost")) != there:
            return {"firsts": _("Firsts, seconds and lost are %(n)d together.") % {"n": there}}
    if fact.kind == "off_shelf" and not any(said.get(k, fact.data[k]) for k in ("firsts", "seconds")):
        return {"firsts": _("At least 1; or take it back.")}
    if fact.kind in ("lost", "weighed", "seconds_taken"):
        key = COUNTED[fact.kind][0]
        if said.get(key) == 0:
            return {key: _("At least 1; or take it back.")}
    return {}
