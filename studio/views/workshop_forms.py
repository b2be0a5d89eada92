"""The forms that the studio makes: six questions for a new one, and each with all its figures."""

from __future__ import annotations

from typing import Any

from django.http import Http404, HttpRequest, HttpResponse

from studio import form_steps
from studio.defaults import KINDS, FormDraft, form_defaults
from studio.models import Form, FormTimings, Kiln, Person, Studio, Tool
from studio.queries.allowing import form_losses
from studio.queries.choices import choices_of
from studio.queries.drying import form_drying
from studio.queries.lives import life_of, next_steps, without_moulds
from studio.queries.state import state_of
from studio.record.state import State
from studio.views.door import studio_page
from studio.views.filled import Filled, filled, hours, lines
from studio.views.refused import Refusal, take_refused
from studio.views.workshop import part

STAGES = ("bisque", "glost")
SIX = ("name", "fired_mm", "foot", "handle", "ball_g")
WHOLE = ("press_s", "release_s", "glaze_s", "finish_s", "green_per_board", "glazed_per_board", "loss_making_pct",
         "loss_bisque_pct", "loss_glost_pct")  # fmt: skip
WAITS = ("mould_rest_min", "mould_rest_damp_min", "dry_min", "dry_damp_min", "glaze_dry_min")
WINDOWS = ("release_after", "release_after_covered")
STEP = ("kind", "fixed", "each_s", "after_lo_h", "after_hi_h", "after_covered_lo_h", "after_covered_hi_h")
BLANK = {f"step_{k}": "" for k in STEP}


@studio_page
def workshop_forms(request: HttpRequest, studio: Studio) -> HttpResponse:
    """All forms; a new one by its six questions, which start from the usual ones of ``?kind=``."""
    rows = Form.objects.filter(studio=studio, retired_at=None).select_related("tool").order_by("name")
    refusal = take_refused(request, studio, "form_new", "form_begin")
    kind = request.GET.get("kind", "")
    usual = _usual(kind if kind in KINDS else "bowl")
    start = usual if kind in KINDS else dict.fromkeys(usual, "")
    context = {
        "forms": [(f, f.moulds.filter(retired_at=None).count()) for f in rows],
        "form": filled(refusal, "form_new", {**start, "tool": ""}), "chosen": kind in KINDS,
        "usual": [(k.key, _usual(k.key)) for k in KINDS.values()],
        "kinds": [(k.key, k.name) for k in KINDS.values()], "feet": Form.Foot.choices,
        "tools": choices_of(Tool, studio), "lives": next_steps(studio),
        "begin": filled(refusal, "form_begin", {"name": "", "shape": "", "fired_mm": ""}),
    }  # fmt: skip
    return part(request, studio, "studio/workshop_forms.html", "forms", context)


def _usual(kind: str) -> dict[str, Any]:
    k = KINDS[kind]
    return {
        "name": str(k.name).capitalize(), "shape": kind, "fired_mm": k.fired_mm, "foot": k.foot, "handle": k.handle,
        "ball_g": k.ball_g, "moulds": k.moulds,
    }  # fmt: skip


@studio_page
def workshop_form(request: HttpRequest, studio: Studio, form: str) -> HttpResponse:
    """One form with all its figures; what differs from common practice says so."""
    rows = Form.objects.filter(studio=studio, public_id=form, retired_at=None).select_related("tool")
    row = rows.first()
    timings = row.timings.order_by("valid_from").last() if row is not None else None
    if row is None or timings is None:
        raise Http404
    kilns = list(Kiln.objects.filter(studio=studio, retired_at=None).order_by("pk"))
    refusal = take_refused(request, studio, "form_change", "step_plan")
    entry = _entry(refusal, row, timings, kilns)
    steps = [_step(s) for s in timings.steps]
    state, own = state_of(studio), _own(row, timings)
    context = {
        **_life(studio, row, state, refusal),
        "row": row, "form": entry, "steps": _step_lines(entry, steps), "feet": Form.Foot.choices,
        "kilns": [(k, [(s, f"{s}_shelf_{k.public_id}") for s in STAGES]) for k in kilns],
        "tools": choices_of(Tool, studio), "own": dict.fromkeys(own, True),
        "losses": form_losses(studio, form), "drying": form_drying(studio, row, timings, own, state),
    }  # fmt: skip
    return part(request, studio, "studio/workshop_form.html", "forms", context)


def _life(studio: Studio, row: Form, state: State, refusal: Refusal | None) -> dict[str, Any]:
    """Where the form stands, and the form that says how long its steps take."""
    own = row.life.get("minutes", {})
    start = {f"{s}_min": form_steps.minutes_of(s, own) for s in form_steps.WITH_JOB}
    start |= {"person": row.life.get("person") or ""}
    return {
        "life": life_of(studio, row, state), "no_mould": without_moulds(studio, {row.public_id: row.name}, state),
        "plan_form": filled(refusal, "step_plan", start, version=row.version, form=row.public_id),
        "step_fields": [(f"{s}_min", form_steps.step_title(s)) for s in form_steps.WITH_JOB],
        "people": choices_of(Person, studio),
    }  # fmt: skip


def _entry(refusal: Refusal | None, row: Form, timings: FormTimings, kilns: list[Kiln]) -> Filled:
    start: dict[str, Any] = {k: getattr(row, k) for k in SIX} | {k: getattr(timings, k) for k in WHOLE}
    start |= {"tool": row.tool.public_id, "setup_min": row.tool.setup_min, "recheck_min": row.tool.recheck_min}
    start |= {f"{k}_h": hours(getattr(timings, k)) for k in WAITS}
    for name in WINDOWS:
        start |= _window(name, getattr(timings, name))
    for stage in STAGES:
        shelves = getattr(timings, stage)
        start[f"{stage}_clearance_mm"] = shelves["clearance_mm"]
        start |= {f"{stage}_shelf_{k.public_id}": shelves["per_shelf"].get(k.public_id, "") for k in kilns}
    return filled(refusal, "form_change", start, version=row.version, form=row.public_id)


def _window(name: str, value: list[int] | None) -> dict[str, str]:
    lo, hi = value or (None, None)
    return {f"{name}_lo_h": hours(lo), f"{name}_hi_h": hours(hi)}


def _step(said: dict[str, Any]) -> dict[str, Any]:
    step = {"kind": said["kind"], "fixed": said["fixed"], "each_s": said["each_s"]}
    step |= _window("after", said["after"]) | _window("after_covered", said["after_covered"])
    return {f"step_{k}": v for k, v in step.items()}


def _step_lines(entry: Filled, steps: list[dict[str, Any]]) -> list[Filled]:
    """The lines of the leather-hard work; the command names their faults without the ``step_``."""
    found = lines(entry, steps, BLANK, "steps", 1)
    return [Filled(x.kind, x.values, x.key, errors={f"step_{k}": v for k, v in x.errors.items()}) for x in found]


def _own(row: Form, timings: FormTimings) -> set[str]:
    """The figures that are not those of common practice for a form of this kind and size."""
    if row.kind not in KINDS:
        return set()
    draft: FormDraft = form_defaults(row.kind, row.fired_mm, row.foot, row.handle, row.ball_g)
    return {k for k, v in draft.timings.items() if v != getattr(timings, k)}
