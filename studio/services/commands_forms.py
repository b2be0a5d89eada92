"""Commands that edit forms, their timings and their moulds."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from typing import Any

from django.db.models import Max
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from studio.defaults import CAST, KINDS, RECHECK_MIN, FormDraft, form_defaults
from studio.models import Form, FormTimings, Mould, Tool
from studio.services.answers import Answer, Refused
from studio.services.commands import OWNERS, command
from studio.services.context import Context
from studio.services.fields import (
    choice,
    flag,
    ident,
    instant,
    listed,
    optional,
    read_payload,
    rows,
    sent,
    settle,
    text,
    whole,
    window,
)
from studio.services.saving import VERSION, retiring
from studio.services.settings import keep_setting
from studio.services.shelving import STAGES, kilns_of, latest, new_timings

SECONDS = whole(1, 4 * 3600)
WAIT = whole(0, 60 * 1440)
PERCENT = whole(0, 90)
MOULDS = whole(0, 500)

SIX = {
    "name": text(), "shape": choice(KINDS), "fired_mm": whole(20, 800), "foot": optional(choice(("mould", "turned"))),
    "handle": optional(flag, False), "ball_g": optional(whole(10, 20_000)), "moulds": optional(MOULDS),
    "tool": optional(ident),
}  # fmt: skip


@command("form_new", SIX, roles=OWNERS)
def form_new(ctx: Context, data: dict[str, Any]) -> Answer:
    """A form from six questions; all else starts from common practice and can be changed.

    ``shape`` is a key of ``studio.defaults.KINDS``. A ``tool`` may be named where one profile tool forms several
    forms; else the form gets its own.
    """
    form, draft = make_form(ctx, data)
    count = draft.moulds if data["moulds"] is None else data["moulds"]
    add_moulds(ctx, form, count, ready_from=ctx.now)
    message = _("%(name)s is there, with %(n)d moulds.") % {"name": form.name, "n": count}
    if "far_from_usual" in draft.notes:
        message += " " + _("It is far from the usual size of its kind: check its times on a trial pressing.")
    return ctx.done(message, go=ctx.path("workshop/"), form=form.public_id, moulds=count)


def make_form(ctx: Context, data: dict[str, Any]) -> tuple[Form, FormDraft]:
    """The form with its timings from common practice, without moulds yet."""
    foot = data["foot"] or KINDS[data["shape"]].foot
    draft = form_defaults(data["shape"], data["fired_mm"], foot, data["handle"], data["ball_g"])
    tool = ctx.find(Tool, data["tool"], name="tool") if data["tool"] else Tool.objects.create(
        studio=ctx.studio, name=data["name"], setup_min=draft.setup_min, recheck_min=RECHECK_MIN)  # fmt: skip
    form = Form.objects.create(
        studio=ctx.studio, name=data["name"], kind=data["shape"], fired_mm=data["fired_mm"], foot=foot,
        handle=data["handle"], ball_g=draft.ball_g, tool=tool,
    )  # fmt: skip
    kilns = kilns_of(ctx.studio)
    shelves = {stage: draft.shelving(stage, kilns) for stage in STAGES}
    FormTimings.objects.create(studio=ctx.studio, form=form, valid_from=ctx.now, **draft.timings, **shelves)
    return form, draft


def add_moulds(
    ctx: Context, form: Form, count: int, *, ready_from: dt.datetime, uses_before: int = 0, life: int = CAST.uses
) -> list[Mould]:
    """``count`` more moulds of ``form``, numbered on from the highest number there ever was."""
    highest = Mould.objects.filter(form=form).aggregate(m=Max("number"))["m"] or 0
    many = [
        Mould(studio=ctx.studio, form=form, number=highest + i + 1, ready_from=ready_from, uses_before=uses_before,
              life=life)
        for i in range(count)
    ]  # fmt: skip
    return Mould.objects.bulk_create(many)


STEP = {"kind": text(40), "fixed": whole(0, 480), "each_s": whole(0, 4 * 3600), "after": window,
        "after_covered": optional(window)}  # fmt: skip
TIMINGS = {
    "press_s": SECONDS, "release_s": SECONDS, "glaze_s": SECONDS, "finish_s": SECONDS, "release_after": window,
    "release_after_covered": window, "mould_rest_min": WAIT, "mould_rest_damp_min": WAIT, "dry_min": WAIT,
    "dry_damp_min": WAIT, "green_per_board": whole(1, 1000), "glazed_per_board": whole(1, 1000),
    "glaze_dry_min": WAIT, "loss_making_pct": PERCENT, "loss_bisque_pct": PERCENT, "loss_glost_pct": PERCENT,
    "steps": listed(STEP, most=8),
}  # fmt: skip
FORM_CHANGE = {"form": ident, "version": VERSION, "name": optional(text()), "fired_mm": optional(whole(20, 800)),
               "foot": optional(choice(("mould", "turned"))), "handle": optional(flag),
               "ball_g": optional(whole(10, 20_000)), "tool": optional(ident),
               "setup_min": optional(whole(0, 480)), "recheck_min": optional(whole(0, 120))}  # fmt: skip


@command("form_change", FORM_CHANGE, roles=OWNERS)
def form_change(ctx: Context, data: dict[str, Any]) -> Answer:
    """Change a form; what is left out stays. New timings hold from now on and leave the past as it was.

    Windows may come as ``[lo, hi]`` minutes or as two fields, such as ``release_after_lo`` and ``release_after_hi``;
    steps as repeated fields, such as ``step_kind``, where one without a kind is left out;
    shelves as ``bisque`` and ``glost`` records, or ``bisque_clearance_mm`` and ``bisque_shelf_<kiln id>``.
    """
    form = ctx.find(Form, data["form"], name="form")
    values = {k: data[k] for k in ("name", "fired_mm", "foot", "handle", "ball_g") if data[k] is not None}
    if data["tool"]:
        values["tool"] = ctx.find(Tool, data["tool"], name="tool")
    changes = _timing_changes(ctx, form)
    was = (form.tool.public_id, form.ball_g)
    ctx.edit(form, data["version"], values)
    if was != (form.tool.public_id, form.ball_g):
        keep_setting(ctx, form, was)
    tool_values = {k: data[k] for k in ("setup_min", "recheck_min") if data[k] is not None}
    if tool_values:
        ctx.edit(form.tool, form.tool.version, tool_values)
    if changes:
        new_timings(form, ctx.now, changes)
    answer = ctx.done(_("%(name)s is changed, from now on.") % {"name": form.name}, version=form.version)
    return replace(answer, undo=None)  # of all that was changed only the setting is on record


def _timing_changes(ctx: Context, form: Form) -> dict[str, Any]:
    """The timings that the payload names and that differ from those that hold."""
    p = dict(ctx.payload)
    for name in ("release_after", "release_after_covered"):
        lo, hi = p.get(f"{name}_lo"), p.get(f"{name}_hi")
        if name not in p and (lo is not None or hi is not None):
            p[name] = [lo, hi] if lo not in (None, "") or hi not in (None, "") else None
    if "steps" not in p and "step_kind" in p:
        flat = {k.removeprefix("step_"): v for k, v in p.items() if k.startswith("step_")}
        p["steps"] = [row for row in rows(flat, STEP) if row.get("kind")]
    spec: dict[str, Any] = {k: reader for k, reader in TIMINGS.items() if sent(p, k)}
    if "release_after_covered" in spec:
        spec["release_after_covered"] = optional(window)
    got = read_payload(p, spec)
    now_there = latest(form)
    for stage in STAGES:
        shelves = _shelves(ctx, p, stage, getattr(now_there, stage))
        if shelves is not None:
            got[stage] = shelves
    if len({s["kind"] for s in got.get("steps", [])}) < len(got.get("steps", [])):
        raise Refused(_("Each kind of leather-hard work once, please."), errors={"steps": _("One is there twice.")})
    return {k: v for k, v in got.items() if getattr(now_there, k) != v}


def _record(value: Any) -> dict[str, Any]:
    return value if isinstance(value, dict) else {}


def _shelves(ctx: Context, p: dict[str, Any], stage: str, there: dict[str, Any]) -> dict[str, Any] | None:
    kilns = kilns_of(ctx.studio)
    given = _record(p.get(stage))
    counts = _record(given.get("per_shelf"))
    fields = {f"{stage}_shelf_{k}": counts[k] for k in kilns if k in counts} | {
        f"{stage}_shelf_{k}": p[f"{stage}_shelf_{k}"] for k in kilns if f"{stage}_shelf_{k}" in p
    }
    props = f"{stage}_clearance_mm"
    flat = {k: v for k, v in p.items() if k.startswith(props)}
    said = {props: given["clearance_mm"]} if "clearance_mm" in given else flat
    if not said and not fields:
        return None
    spec: dict[str, Any] = dict.fromkeys(fields, optional(whole(0, 10_000), 0))
    got = read_payload({**fields, **said}, {**spec, props: optional(whole(5, 2000), there["clearance_mm"])})
    per_shelf = {**there["per_shelf"], **{k.rsplit("_", 1)[1]: n for k, n in got.items() if k != props}}
    return {"clearance_mm": got[props], "per_shelf": {k: n for k, n in per_shelf.items() if n > 0}}


# It is not offered for new orders any more; open orders for it stay and are still made.
retiring("form_retire", "form", Form, gettext_lazy("%(name)s is put away. Open orders for it stay."))


MOULD_ADD = {"form": ident, "count": whole(1, 200), "ready": optional(instant), "uses_before": optional(MOULDS, 0),
             "life": optional(whole(1, 1000), CAST.uses)}  # fmt: skip


@command("mould_add", MOULD_ADD)
def mould_add(ctx: Context, data: dict[str, Any]) -> Answer:
    """More moulds of a form, dry enough at once or from ``ready`` on."""
    form = ctx.find(Form, data["form"], name="form")
    ready = settle(data["ready"], ctx.zone) if data["ready"] else ctx.now
    many = add_moulds(
        ctx, form, data["count"], ready_from=ready, uses_before=data["uses_before"], life=data["life"]
    )
    message = ngettext("One more mould of %(name)s: number %(first)d.", "%(n)d more moulds of %(name)s: %(first)d to "
                       "%(last)d.", len(many))  # fmt: skip
    words = {"n": len(many), "name": form.name, "first": many[0].number, "last": many[-1].number}
    return ctx.done(message % words, go=ctx.path("moulds/"), moulds=[m.public_id for m in many])
