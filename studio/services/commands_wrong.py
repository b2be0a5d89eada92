"""Commands for what goes wrong: mould, kiln, person. Each can have a new plan worked on at once."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from studio import units
from studio.models import Cast, Form, Kiln, Mould, Person, Plan
from studio.services.answers import Answer, Refused
from studio.services.commands import command
from studio.services.commands_record import ware_of
from studio.services.context import Context, minute_of
from studio.services.faulty_moulds import faulty_moulds
from studio.services.fields import flag, ident, instant, optional, settle, text, whole
from studio.services.kilos import AMOUNT
from studio.services.plaster import plaster_keys, task_of
from studio.services.runs import ask_run
from studio.translate.mould_words import weighing_words
from studio.translate.moulds_water import waters_of

REPLAN = optional(flag, True)


def ask_again(ctx: Context, why: str, wanted: bool) -> dict[str, Any]:
    """Have a new plan worked on if there is one to be replaced; what the answer says of it."""
    if not wanted or not Plan.objects.filter(studio=ctx.studio, is_current=True).exists():
        return {}
    run = ask_run(studio=ctx.studio, user=ctx.member.user, why=why, now=ctx.now)
    return {"go": ctx.path(f"plan/?run={run.public_id}"), "run": run.public_id}


CRACKED = {"mould": optional(ident), "form": optional(ident), "piece_lost": optional(flag), "replan": REPLAN}


@command("mould_cracked", CRACKED)
def mould_cracked(ctx: Context, data: dict[str, Any]) -> Answer:
    """A mould cracked: this one, or any one of a form. A new plan is worked on at once.

    ``piece_lost``: whether the piece in it is lost; if nothing is said, it is.
    """
    mould = _which(ctx, data)
    _gone(ctx, "mould_cracked", mould, data["piece_lost"])
    left = len(_usable(ctx, mould.form))
    words = {"n": mould.number, "form": mould.form.name, "left": left}
    message = _("Mould %(n)d of %(form)s cracked: %(left)d left.") % words
    return ctx.done(message, mould=mould.public_id, left=left, **ask_again(ctx, "mould", data["replan"]))


@command("mould_retired", {**CRACKED, "replan": optional(flag, False)})
def mould_retired(ctx: Context, data: dict[str, Any]) -> Answer:
    """A mould is worn and put away."""
    mould = _which(ctx, data)
    _gone(ctx, "mould_retired", mould, data["piece_lost"])
    words = {"n": mould.number, "form": mould.form.name}
    message = _("Mould %(n)d of %(form)s is put away.") % words
    return ctx.done(message, mould=mould.public_id, **ask_again(ctx, "mould", data["replan"]))


def _gone(ctx: Context, kind: str, mould: Mould, piece_lost: bool | None) -> None:
    stands = ctx.state.moulds.get(mould.public_id)
    filled = stands is not None and stands.filled_by is not None
    ctx.fact(kind, {"mould": mould.public_id, "piece_lost": filled if piece_lost is None else piece_lost and filled})


def _which(ctx: Context, data: dict[str, Any]) -> Mould:
    """The mould that was named, or of a form the empty one with the most pressings: the likeliest."""
    if data["mould"]:
        return ctx.find(Mould, data["mould"], name="mould")
    if not data["form"]:
        raise Refused(_("Which mould?"), errors={"form": _("Choose one from the list.")})
    there = _usable(ctx, ctx.find(Form, data["form"], name="form", retired=True))
    if not there:
        raise Refused(_("There is no mould of this form left."), errors={"form": _("Choose another.")})
    return there[0]


def _usable(ctx: Context, form: Form) -> list[Mould]:
    """Moulds of a form that are not gone: empty ones first, the most used first."""
    state = ctx.state.moulds
    rows = [m for m in Mould.objects.filter(form=form, retired_at=None)
            if m.public_id not in state or state[m.public_id].gone is None]  # fmt: skip

    def key(mould: Mould) -> tuple[bool, int, int]:
        stands = state.get(mould.public_id)
        uses = mould.uses_before + (stands.uses if stands else 0)
        return (stands is not None and stands.filled_by is not None, -uses, mould.number)

    return sorted(rows, key=key)


@command("kiln_out", {"kiln": ident, "until": optional(instant), "replan": REPLAN})
def kiln_out(ctx: Context, data: dict[str, Any]) -> Answer:
    """A kiln is out of order, until a moment or nobody knows until when."""
    kiln = ctx.find(Kiln, data["kiln"], name="kiln")
    until = minute_of(settle(data["until"], ctx.zone)) if data["until"] else None
    if until is not None and until <= ctx.minute:
        raise Refused(_("That moment is past."), errors={"until": _("A later moment, please.")})
    ctx.fact("kiln_out", {"kiln": kiln.public_id, "until": until})
    message = _("%(kiln)s is out of order.") % {"kiln": kiln.name}
    return ctx.done(message, **ask_again(ctx, "kiln", data["replan"]))


@command("kiln_back", {"kiln": ident, "replan": REPLAN})
def kiln_back(ctx: Context, data: dict[str, Any]) -> Answer:
    """A kiln works again."""
    kiln = ctx.find(Kiln, data["kiln"], name="kiln")
    ctx.fact("kiln_back", {"kiln": kiln.public_id})
    return ctx.done(_("%(kiln)s works again.") % {"kiln": kiln.name}, **ask_again(ctx, "kiln", data["replan"]))


AWAY = {"person": optional(ident), "from": optional(instant), "until": instant, "replan": REPLAN}


@command("person_away", AWAY)
def person_away(ctx: Context, data: dict[str, Any]) -> Answer:
    """Somebody (oneself, if nobody is named) cannot come, from now or a moment until another."""
    person = ctx.find(Person, data["person"], name="person") if data["person"] else ctx.person
    if person is None:
        raise Refused(_("Say who is away."), errors={"person": _("Choose one from the list.")})
    start = minute_of(settle(data["from"], ctx.zone)) if data["from"] else ctx.minute
    until = minute_of(settle(data["until"], ctx.zone))
    if until <= start:
        raise Refused(_("That ends before it begins."), errors={"until": _("A later moment, please.")})
    ctx.fact("person_away", {"person": person.public_id, "from": start, "until": until})
    message = _("%(name)s is away until then.") % {"name": person.name}
    return ctx.done(message, **ask_again(ctx, "person", data["replan"]))


@command("replan_late", {"note": optional(flag, False)})
def replan_late(ctx: Context, data: dict[str, Any]) -> Answer:
    """The day runs late: a new plan from where things stand, which moves little."""
    asked = ask_again(ctx, "late", True)
    if not asked:
        raise Refused(_("There is no plan yet. Make one first."))
    return ctx.done(_("A new plan is being worked on, from where things stand now."), **asked)


def _cast(ctx: Context, public_id: str) -> Cast:
    return ctx.find(Cast, public_id, name="cast")


@command("poured", {"cast": ident, **AMOUNT})
def poured(ctx: Context, data: dict[str, Any]) -> Answer:
    """A mould was poured, by the plan or outside it; with the plaster used (``kg`` or ``lb``), where that is said."""
    cast = _cast(ctx, data["cast"])
    said = data["kg"] if data["kg"] is not None else data["lb"]
    span = {"started": ctx.minute - cast.pour_min, "ended": ctx.minute}
    form = cast.form.public_id
    fact = {"cast": cast.public_id, "form": form, **span, **plaster_keys(ctx, form, said)}
    ctx.fact("poured", fact, task=task_of(ctx, cast.public_id, "pour"))
    return ctx.done(_("A mould of %(form)s is poured.") % {"form": cast.form.name})


@command("lifted", {"cast": ident})
def lifted(ctx: Context, data: dict[str, Any]) -> Answer:
    """A poured mould was lifted, by the plan or outside it."""
    cast = _cast(ctx, data["cast"])
    fact = {"cast": cast.public_id, "started": ctx.minute - cast.lift_min, "ended": ctx.minute}
    ctx.fact("lifted", fact, task=task_of(ctx, cast.public_id, "lift"))
    return ctx.done(_("The mould of %(form)s is lifted and has to dry.") % {"form": cast.form.name})


@command("cast_lost", {"cast": ident})
def cast_lost(ctx: Context, data: dict[str, Any]) -> Answer:
    """A poured mould failed."""
    cast = _cast(ctx, data["cast"])
    ctx.fact("cast_lost", {"cast": cast.public_id})
    return ctx.done(_("The mould of %(form)s is lost; it can be poured again.") % {"form": cast.form.name})


@command("weighed", {"mould": ident, "grams": whole(10, 100_000), "dry": optional(flag, False)})
def weighed(ctx: Context, data: dict[str, Any]) -> Answer:
    """A mould was put on the scales; ``dry`` calls it its dry weight."""
    mould = ctx.find(Mould, data["mould"], name="mould")
    stands = ctx.state.moulds.get(mould.public_id)
    if data["dry"] and stands is not None and stands.filled_by is not None:
        raise Refused(
            _("There is a pot in it. Its dry weight is that of the empty mould."),
            errors={"dry": _("Weigh it empty and dry.")},
        )
    dry = {"dry": True} if data["dry"] else {}
    ctx.fact("weighed", {"mould": mould.public_id, "grams": data["grams"], **dry})
    said = _("Mould %(n)d: %(g)s.") % {"n": mould.number, "g": units.weight(data["grams"])}
    return ctx.done(f"{said} {weighing_words(waters_of(ctx.studio, ctx.state), mould, ctx.minute)}".strip())


LOST = {"ware": ident, "count": whole(1, 100_000), "where": optional(text(80), ""), "why": optional(text(200), ""),
        "mould_numbers": optional(text(200), ""), "goes_on": optional(flag, False),
        "replan": optional(flag, False)}  # fmt: skip


@command("pots_lost", LOST)
def pots_lost(ctx: Context, data: dict[str, Any]) -> Answer:
    """Pots lost, wherever they stood; or, where they go on, what is seen on them."""
    ware = ware_of(ctx, data["ware"])
    if data["count"] > ware.count:
        raise Refused(
            _("There are only %(n)d of them.") % {"n": ware.count},
            errors={"count": _("At most %(n)d.") % {"n": ware.count}},
        )
    said = {"batch": ware.id, "count": data["count"], "where": data["where"] or ware.stage, "why": data["why"]}
    said |= faulty_moulds(ctx, ware, data["mould_numbers"], data["count"])
    if data["goes_on"]:
        return _seen(ctx, said)
    ctx.fact("lost", said)
    message = ngettext("%(n)d piece is written off.", "%(n)d pieces are written off.", data["count"])
    return ctx.done(message % {"n": data["count"]}, **ask_again(ctx, "lost", data["replan"]))


def _seen(ctx: Context, said: dict[str, Any]) -> Answer:
    if not said["why"]:
        raise Refused(_("What is seen on them?"), errors={"why": _("Choose one from the list.")})
    ctx.fact("seen", said)
    return ctx.done(_("Noted. They go on as they are."))
