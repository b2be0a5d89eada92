"""Commands that record what happened without a plan, and what went otherwise than planned."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from studio.models import Form, Glaze, Kiln, OrderLine, Program, Station
from studio.models.base import new_id
from studio.record.state import BISQUED, FIRED, GLAZED, IN_MOULD, LEATHER, FiringState, Ware
from studio.services import acts
from studio.services.acts import Times
from studio.services.answers import NOT_FOUND, Answer, Refused
from studio.services.clay import press_keys
from studio.services.commands import command
from studio.services.commands_tasks import COUNT, SAID, with_flat_losses
from studio.services.context import Context, minute_of
from studio.services.doing import said_of
from studio.services.fields import choice, flag, flat_counts, ident, ids, instant, listed, optional, settle, text, whole
from studio.services.readings import AT_DRAWING, METER, with_readings
from studio.services.remarks import slow_of
from studio.services.shelving import latest

PIECES = listed({"batch": ident, "count": whole(1, 100_000)}, most=200)
WHY = optional(text(200), "")


def ware_of(ctx: Context, ware_id: str, *stages: str) -> Ware:
    """Ware that stands in the studio now, at one of ``stages``."""
    ware = ctx.state.ware.get(ware_id)
    if ware is None or (stages and ware.stage not in stages):
        raise Refused(_("This ware is not there any more. Please open the page again."), status=NOT_FOUND)
    return ware


def form_of(ctx: Context, public_id: str) -> Form:
    return ctx.find(Form, public_id, retired=True)


def took(ctx: Context, seconds: int, fixed: int = 0) -> Times:
    """Work of so long that ended just now."""
    return Times(ctx.minute - max(1, fixed - (-seconds // 60)), ctx.minute)


PRESSED = {"form": ident, "count": whole(1, 500), "moulds": optional(ids, []), "covered": optional(flag, False),
           "station": optional(ident), "clay": optional(ident)}  # fmt: skip


@command("pressed", PRESSED)
def pressed(ctx: Context, data: dict[str, Any]) -> Answer:
    """Pressed outside the plan."""
    form = ctx.find(Form, data["form"], name="form")
    timings = latest(form)
    at = took(ctx, data["count"] * timings.press_s)
    station = ctx.find(Station, data["station"], name="station").public_id if data["station"] else _press_station(ctx)
    fact = {
        "batch": new_id(), "form": form.public_id, "count": data["count"], "covered": data["covered"],
        "moulds": acts.moulds_for(ctx, form.public_id, data["count"], data["moulds"]), "station": station,
        "first": min(at.ended, at.started - (-timings.press_s // 60)), **press_keys(ctx, form, data["clay"]),
    }  # fmt: skip
    acts.press(ctx, fact, lost=0, why="", at=at, task=None)
    return ctx.done(_("%(n)d × %(form)s pressed.") % {"n": data["count"], "form": form.name}, batch=fact["batch"])


def _press_station(ctx: Context) -> str | None:
    """The machine, where there is only one to press on."""
    there = [s for s in Station.objects.filter(studio=ctx.studio, retired_at=None) if "press" in s.kinds]
    return there[0].public_id if len(there) == 1 else None


@command("taken_out", {"batch": ident, **SAID})
def taken_out(ctx: Context, data: dict[str, Any]) -> Answer:
    """Taken out of the moulds outside the plan."""
    ware = ware_of(ctx, data["batch"], IN_MOULD)
    form = form_of(ctx, ware.form)
    at = took(ctx, ware.count * latest(form).release_s)
    part = acts.take_out(ctx, ware, said_of(data), wrapped=bool(data["wrapped"]), at=at, task=None)
    return ctx.done(_("%(n)d × %(form)s taken out.") % {"n": part.good, "form": form.name})


@command("step_done", {"batch": ident, "step": optional(ident), **SAID})
def step_done(ctx: Context, data: dict[str, Any]) -> Answer:
    """Leather-hard work outside the plan; without ``step`` the next one."""
    ware = ware_of(ctx, data["batch"], LEATHER)
    form = form_of(ctx, ware.form)
    steps = {s["kind"]: s for s in latest(form).steps}
    left = [k for k in steps if k not in ware.steps]
    kind = data["step"] or next(iter(left), None)
    if kind is None or kind not in steps:
        raise Refused(_("There is no such work to be done on this ware."), errors={"step": _("Choose another.")})
    at = took(ctx, ware.count * steps[kind]["each_s"], steps[kind]["fixed"])
    part = acts.leather_step(ctx, ware, kind, said_of(data), at=at, task=None)
    return ctx.done(_("%(n)d × %(form)s done.") % {"n": part.good, "form": form.name})


@command("packed", {"kiln": ident, "program": ident, "pieces": optional(PIECES, [])})
def packed(ctx: Context, data: dict[str, Any]) -> Answer:
    """A kiln packed outside the plan: ``pieces``, or fields named ``n:<ware id>`` of a plain form."""
    data["pieces"] = data["pieces"] or [{"batch": i, "count": n} for i, n in flat_counts(ctx.payload)]
    kiln = ctx.find(Kiln, data["kiln"], name="kiln")
    program = ctx.find(Program, data["program"], name="program")
    if not data["pieces"]:
        raise Refused(_("An empty kiln is not packed."), errors={"pieces": _("What is in it?")})
    stage = LEATHER if program.stage == "bisque" else GLAZED
    for piece in data["pieces"]:
        ware_of(ctx, piece["batch"], stage)
    at = Times(ctx.minute - kiln.load_min, ctx.minute)
    firing = new_id()
    names = {"firing": firing, "kiln": kiln.public_id, "program": program.public_id, "stage": program.stage}
    acts.pack(ctx, names, data["pieces"], at=at, task=None)
    return ctx.done(_("%(kiln)s is packed. Tell us when it is lit.") % {"kiln": kiln.name}, firing=firing)


def firing_of(ctx: Context, firing_id: str | None, kiln_id: str | None = None) -> FiringState:
    """A firing by its id, or the load that a kiln holds."""
    state = ctx.state
    if firing_id and firing_id.startswith("now:"):
        kiln_id, firing_id = firing_id[4:], None
    if firing_id is None and kiln_id is not None and kiln_id in state.kilns:
        firing_id = state.kilns[kiln_id].holds
    if firing_id is None or firing_id not in state.firings:
        raise Refused(_("This load is not on record. Record its packing first."), status=NOT_FOUND)
    return state.firings[firing_id]


FIRING = {"firing": optional(ident), "kiln": optional(ident)}


@command("lit", {**FIRING, "at": optional(instant), "meter_before": METER})
def lit(ctx: Context, data: dict[str, Any]) -> Answer:
    """The kiln was lit (or its timer set): just now, or ``at`` a moment of one's own telling."""
    firing = firing_of(ctx, data["firing"], data["kiln"])
    fact: dict[str, Any] = {"firing": firing.id}
    if data["at"]:
        fact["at"] = minute_of(settle(data["at"], ctx.zone))
        if not -14 * 1440 <= fact["at"] - ctx.minute <= 2 * 1440:
            raise Refused(_("That is too far away."), errors={"at": _("From two weeks back to two days ahead.")})
    ctx.fact("lit", fact)
    if data["meter_before"] is not None:
        ctx.fact("fired", {"firing": firing.id, "meter_before": data["meter_before"]})
    return ctx.done(_("Noted: it is lit. Do not trust our clock, read the kiln."))


@command("drawn", {**FIRING, **SAID, **AT_DRAWING})
def drawn(ctx: Context, data: dict[str, Any]) -> Answer:
    """A kiln drawn outside the plan."""
    firing = firing_of(ctx, data["firing"], data["kiln"])
    kiln = ctx.find(Kiln, firing.kiln, retired=True)
    at = Times(ctx.minute - kiln.unload_min, ctx.minute)
    lost = acts.draw(ctx, firing, with_flat_losses(ctx, said_of(data)), at=at, task=None)
    with_readings(ctx, data)
    there = sum(firing.pieces.values())
    return ctx.done(_("%(kiln)s is drawn: %(n)d pieces.") % {"kiln": kiln.name, "n": there - lost})


GLAZED_SPEC = {"form": ident, "glaze": ident, "count": whole(1, 10_000), "order": optional(ident),
               "pieces": optional(PIECES, []), "glaze_batch": optional(ident)}  # fmt: skip


@command("glazed", GLAZED_SPEC)
def glazed(ctx: Context, data: dict[str, Any]) -> Answer:
    """Glazed outside the plan, for an order line or for stock; from the batch in use, if no other one is named."""
    form = ctx.find(Form, data["form"], name="form")
    glaze = ctx.find(Glaze, data["glaze"], name="glaze")
    order = ctx.find(OrderLine, data["order"], name="order").public_id if data["order"] else None
    pieces = data["pieces"] or acts.take(_standing(ctx, form.public_id, BISQUED), data["count"])
    n = sum(p["count"] for p in pieces)
    if n < data["count"]:
        raise Refused(
            _("Only %(n)d bisqued ones are on record.") % {"n": n}, errors={"count": _("At most %(n)d.") % {"n": n}}
        )
    lot = {"lot": new_id(), "form": form.public_id, "glaze": glaze.public_id, "order": order}
    at = took(ctx, n * latest(form).glaze_s, glaze.fixed_min)
    acts.glaze(ctx, lot, pieces, batch=data["glaze_batch"], at=at, task=None)
    return ctx.done(_("%(n)d × %(form)s glazed.") % {"n": n, "form": form.name}, lot=lot["lot"])


def _standing(ctx: Context, form: str, stage: str) -> list[Ware]:
    found = [w for w in ctx.state.ware.values() if w.form == form and w.stage == stage]
    return sorted(found, key=lambda w: (w.at or 0, w.id))


SORTED = {
    "order": optional(ident), "form": optional(ident), "glaze": optional(ident), "firsts": COUNT,
    "seconds": optional(COUNT, 0), "lost": optional(COUNT, 0), "why": WHY, "showing": optional(COUNT, 0),
    "pieces": optional(PIECES, []),
}  # fmt: skip


@command("sorted", SORTED)
def sorted_(ctx: Context, data: dict[str, Any]) -> Answer:
    """Sorted and packed outside the plan: for an order line, or for stock by form and glaze."""
    form, glaze, order = _kind_of_ware(ctx, data)
    count = data["firsts"] + data["seconds"] + data["lost"]
    wares = [w for w in _standing(ctx, form, FIRED) if w.order == order and w.glaze in (None, glaze)]
    pieces = data["pieces"] or acts.take(wares, count)
    n = sum(p["count"] for p in pieces)
    if n != count or not count:
        raise Refused(
            _("Only %(n)d fired ones of these are on record.") % {"n": n},
            errors={"firsts": _("Together %(n)d.") % {"n": n}},
        )
    fact = {"order": order, "form": form, "glaze": glaze, "pieces": pieces, **{k: data[k] for k in
            ("firsts", "seconds", "lost", "why")}}  # fmt: skip
    fact |= acts.showing(data["why"], data["showing"], data["firsts"])
    ctx.fact("sorted", {**fact, **took(ctx, count * latest(form_of(ctx, form)).finish_s).data})
    return ctx.done(_("%(n)d firsts, %(s)d seconds, %(l)d lost.") % {
        "n": data["firsts"], "s": data["seconds"], "l": data["lost"]})  # fmt: skip


def _kind_of_ware(ctx: Context, data: dict[str, Any]) -> tuple[str, str, str | None]:
    if data["order"]:
        line = ctx.find(OrderLine, data["order"], name="order")
        return line.form.public_id, line.glaze.public_id, line.public_id
    if not data["form"] or not data["glaze"]:
        raise Refused(_("Say for which order, or which form and glaze."), errors={"form": _("Please fill this in.")})
    form = ctx.find(Form, data["form"], name="form", retired=True)
    return form.public_id, ctx.find(Glaze, data["glaze"], name="glaze", retired=True).public_id, None


@command("too_soft", {"batch": ident, "minutes": optional(whole(5, 48 * 60), 60), "replan": optional(flag, False)})
def too_soft(ctx: Context, data: dict[str, Any]) -> Answer:
    """Still too soft: ask again later."""
    from studio.services.commands_wrong import ask_again

    ware = ware_of(ctx, data["batch"], IN_MOULD, LEATHER)
    ask_at = ctx.minute + data["minutes"]
    ctx.fact("too_soft", {"batch": ware.id, "ask_at": ask_at, "slow": slow_of(ctx, ware.form)})
    message = _("We ask again in %(n)d minutes.") % {"n": data["minutes"]}
    return ctx.done(message, **ask_again(ctx, "stuck", data["replan"]))


@command("still_good", {"batch": ident, "until": optional(instant), "hours": optional(whole(1, 14 * 24)),
                        "replan": optional(flag, False)})  # fmt: skip
def still_good(ctx: Context, data: dict[str, Any]) -> Answer:
    """A little past its time but still good, by the person's word: until a moment, or for so many hours."""
    from studio.services.commands_wrong import ask_again

    ware = ware_of(ctx, data["batch"], IN_MOULD, LEATHER)
    if data["until"] is None and data["hours"] is None:
        raise Refused(_("Until when is it good?"), errors={"until": _("Please fill this in.")})
    until = minute_of(settle(data["until"], ctx.zone)) if data["until"] else ctx.minute + data["hours"] * 60
    if until <= ctx.minute:
        raise Refused(_("That moment is past."), errors={"until": _("A later moment, please.")})
    ctx.fact("still_good", {"batch": ware.id, "until": until})
    return ctx.done(_("Noted: still good until then."), **ask_again(ctx, "stuck", data["replan"]))


@command("wrap", {"batches": ids})
def wrap(ctx: Context, data: dict[str, Any]) -> Answer:
    """Covered for the night: filled moulds under a sheet, leather-hard ware wrapped."""
    wares = [ware_of(ctx, b, IN_MOULD, LEATHER) for b in data["batches"]]
    new = [w for w in wares if not (w.covered_in_mould if w.stage == IN_MOULD else w.wrapped)]
    for ware in new:
        ctx.fact("covered", {"batch": ware.id, "what": "mould" if ware.stage == IN_MOULD else "ware"})
    n = sum(w.count for w in wares)
    return ctx.done(ngettext("%(n)d piece is covered.", "%(n)d pieces are covered.", n) % {"n": n})


OPENING = {"form": ident, "count": whole(1, 100_000), "stage": choice((LEATHER, BISQUED, GLAZED, FIRED)),
           "order": optional(ident), "glaze": optional(ident), "dry_at": optional(instant)}  # fmt: skip


@command("opening_ware", OPENING)
def opening_ware(ctx: Context, data: dict[str, Any]) -> Answer:
    """What a new studio has standing already."""
    form = ctx.find(Form, data["form"], name="form")
    line = ctx.find(OrderLine, data["order"], name="order") if data["order"] else None
    if line is not None and line.form_id != form.pk:
        raise Refused(_("That order is for another form."), errors={"order": _("Choose another.")})
    if data["stage"] in (LEATHER, BISQUED):
        line = None
    glaze = line.glaze if line else ctx.find(Glaze, data["glaze"], name="glaze") if data["glaze"] else None
    if data["stage"] in (GLAZED, FIRED) and glaze is None:
        raise Refused(_("In which glaze?"), errors={"glaze": _("Please fill this in.")})
    dry_at = minute_of(settle(data["dry_at"], ctx.zone)) if data["dry_at"] and data["stage"] == LEATHER else None
    fact = {
        "id": new_id(), "form": form.public_id, "count": data["count"], "stage": data["stage"], "at": ctx.minute,
        "order": line.public_id if line else None, "glaze": glaze.public_id if glaze else None, "dry_at": dry_at,
    }  # fmt: skip
    ctx.fact("opening", fact)
    return ctx.done(_("%(n)d × %(form)s are in the book.") % {"n": data["count"], "form": form.name}, ware=fact["id"])
