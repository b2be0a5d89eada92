"""A planned task was done: what truly happened, by the plan, by what is there, and by what the person said."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any, cast

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from planner.plan import Batch, CastPlan, Finish, Firing, JobPlan, Lot
from studio.record.state import BISQUED, FIRED, GLAZED, IN_MOULD, LEATHER, FiringState, Ware
from studio.services import acts
from studio.services.acts import Said, Times
from studio.services.answers import NOT_FOUND, Refused
from studio.services.clay import press_keys_of
from studio.services.context import Context
from studio.services.planned import Planned
from studio.services.plaster import plaster_keys

Doer = Callable[[Context, Planned, Said, Times], str]


def do_task(ctx: Context, planned: Planned, said: Said, at: Times) -> str:
    """Gather the facts of a planned task; the sentence that says what was recorded."""
    if planned.task.id in ctx.state.done_tasks and said.rest is None:
        said = replace(said, rest="lost")  # it is kept and has no effect: nothing is asked
    return DOERS.get(planned.task.kind, _step)(ctx, planned, said, at)


def usual_times(planned: Planned, ended: int) -> Times:
    """As long as planned, ending at ``ended``."""
    return Times(ended - planned.minutes, ended)


def _form_name(planned: Planned, form: str) -> str:
    return planned.scenario.form[form].name or form


def _press(ctx: Context, planned: Planned, said: Said, at: Times) -> str:
    batch = cast(Batch, planned.thing)
    form = planned.scenario.form[batch.form]
    good = batch.count if said.count is None else said.count
    lost = said.lost or (max(0, batch.count - good) if said.rest == "lost" else 0)
    count = good + lost
    if count < 1:
        raise Refused(_("Nothing was pressed? Then leave the task as it is."), errors={"count": _("At least 1.")})
    setup = max(0, planned.minutes - form.press.minutes(batch.count))
    at = Times(at.ended - setup - form.press.minutes(count), at.ended)
    moulds = acts.moulds_for(ctx, batch.form, count, [*said.moulds, *batch.moulds])
    covered = batch.covered_in_mould if said.covered is None else said.covered
    data = {
        "batch": batch.id, "form": batch.form, "count": count, "moulds": moulds,
        "first": min(at.ended, at.started + setup - (-form.press.each_s // 60)), "covered": covered,
        "station": planned.task.station, **press_keys_of(ctx, batch.form),
    }  # fmt: skip
    again = planned.task.id in ctx.state.done_tasks
    acts.press(ctx, data, lost=0 if again else lost, why=said.why, at=at, task=planned.task.id)
    sentence = _("%(n)d × %(form)s pressed.") % {"n": good, "form": _form_name(planned, batch.form)}
    return _part_words(sentence, acts.Shares(good, lost, 0))


def _batch_ware(ctx: Context, planned: Planned, stage: str) -> Ware:
    """The planned batch as it stands; as it was planned where it is not at that stage (the record says so then)."""
    batch = cast(Batch, planned.thing)
    ware = ctx.state.ware.get(batch.id)
    if ware is not None and ware.stage in (IN_MOULD, LEATHER):
        return ware
    return Ware(batch.id, batch.form, batch.count, stage, moulds=list(batch.moulds))


def _release(ctx: Context, planned: Planned, said: Said, at: Times) -> str:
    batch = cast(Batch, planned.thing)
    ware = _batch_ware(ctx, planned, IN_MOULD)
    if batch.id in planned.plan.spoiled and said.count is None and said.lost is None:
        said = Said(count=0, lost=ware.count, why=said.why or "spoiled", moulds=said.moulds)
    wrapped = batch.covered if said.wrapped is None else said.wrapped
    part = acts.take_out(ctx, ware, said, wrapped=wrapped, at=at, task=planned.task.id)
    words = {"n": part.good, "form": _form_name(planned, batch.form)}
    return _part_words(_("%(n)d × %(form)s taken out.") % words, part)


def _step(ctx: Context, planned: Planned, said: Said, at: Times) -> str:
    batch = cast(Batch, planned.thing)
    ware = _batch_ware(ctx, planned, LEATHER)
    part = acts.leather_step(ctx, ware, planned.task.kind, said, at=at, task=planned.task.id)
    return _part_words(_("%(n)d × %(form)s done.") % {"n": part.good, "form": _form_name(planned, batch.form)}, part)


def _part_words(sentence: str, part: acts.Shares) -> str:
    if part.lost:
        sentence += " " + ngettext("%(n)d lost.", "%(n)d lost.", part.lost) % {"n": part.lost}
    if part.left:
        sentence += " " + ngettext("%(n)d still to do.", "%(n)d still to do.", part.left) % {"n": part.left}
    return sentence


def _load(ctx: Context, planned: Planned, said: Said, at: Times) -> str:
    firing = cast(Firing, planned.thing)
    kiln = planned.scenario.kiln[firing.kiln]
    program = kiln.program(firing.program or "")
    stage = program.stage if program else "bisque"
    there = LEATHER if stage == "bisque" else GLAZED
    pieces: acts.Pieces = []
    for part in firing.pieces:
        pieces += acts.take(_and_parts(ctx, part.source, there), part.count)
    planned_count = sum(p.count for p in firing.pieces)
    if not pieces:  # nothing of it is on record: kept as planned, and it is said what does not add up
        pieces = [{"batch": p.source, "count": p.count} for p in firing.pieces]
    count = sum(p["count"] for p in pieces)
    if said.count is not None and said.count < count:
        pieces = _cut(pieces, said.count)
        count = said.count
    data = {"firing": firing.id, "kiln": firing.kiln, "program": firing.program, "stage": stage}
    acts.pack(ctx, data, pieces, at=at, task=planned.task.id)
    words = {"kiln": kiln.name or kiln.id, "n": count}
    sentence = _("%(kiln)s is packed: %(n)d pieces. Tell us when it is lit.") % words
    if count < planned_count:
        sentence += " " + _("%(n)d were planned.") % {"n": planned_count}
    return sentence


def _and_parts(ctx: Context, ware_id: str, stage: str) -> list[Ware]:
    """The ware of that id and what was split off it, as far as it stands at ``stage``."""
    found = [w for w in ctx.state.ware.values() if w.stage == stage and ware_id in (w.id, w.parent)]
    return sorted(found, key=lambda w: (w.id != ware_id, w.id))


def _cut(pieces: acts.Pieces, count: int) -> acts.Pieces:
    """The first ``count`` of ``pieces``."""
    if count < 1:
        raise Refused(_("An empty kiln is not packed."), errors={"count": _("At least 1.")})
    kept: acts.Pieces = []
    for piece in pieces:
        part = min(piece["count"], count - sum(p["count"] for p in kept))
        if part > 0:
            kept.append({**piece, "count": part})
    return kept


def _unload(ctx: Context, planned: Planned, said: Said, at: Times) -> str:
    firing = cast(Firing, planned.thing)
    kiln = planned.scenario.kiln[firing.kiln]
    stands = _firing_now(ctx, planned, firing)
    there = sum(stands.pieces.values())
    if planned.task.id in ctx.state.done_tasks:
        said = Said()  # somebody drew it already: no questions
    lost = acts.draw(ctx, stands, said, at=at, task=planned.task.id)
    return _part_words(
        _("%(kiln)s is drawn: %(n)d pieces.") % {"kiln": kiln.name or kiln.id, "n": there - lost},
        acts.Shares(there - lost, lost, 0),
    )


def _firing_now(ctx: Context, planned: Planned, firing: Firing) -> FiringState:
    """The firing as it is on record: the load that was in the kiln then has another name in a plan."""
    state = ctx.state
    if firing.load is not None:
        known = state.firings.get(firing.id)
        return known or FiringState(firing.id, firing.kiln, firing.program or "", "bisque", (0, 0))
    holds = state.kilns[firing.kiln].holds if firing.kiln in state.kilns else None
    if holds is None:
        drawn = [f for f in state.firings.values() if f.kiln == firing.kiln and f.drawn is not None]
        holds = max(drawn, key=lambda f: f.drawn or 0).id if drawn else None
    if holds is None or holds not in state.firings:
        raise Refused(_("Nothing is on record in this kiln. Record its packing first."), status=NOT_FOUND)
    return state.firings[holds]


def _glaze(ctx: Context, planned: Planned, said: Said, at: Times) -> str:
    lot = cast(Lot, planned.thing)
    order = planned.scenario.order[lot.order]
    wares = _of_form(ctx, order.form, BISQUED, [p.source for p in lot.sources])
    part = acts.shares(said, lot.count)
    pieces = acts.take(wares, part.good) or [{"batch": p.source, "count": p.count} for p in lot.sources]
    if not part.good:
        raise Refused(_("None was glazed? Then leave the task as it is."), errors={"count": _("At least 1.")})
    again = planned.task.id in ctx.state.done_tasks
    lot_data = {"lot": lot.id, "form": order.form, "glaze": order.glaze, "order": _line(ctx, lot.order)}
    acts.glaze(ctx, lot_data, pieces, batch=said.glaze_batch, at=at, task=planned.task.id)
    if part.lost and not again:
        left = _of_form(ctx, order.form, BISQUED, [p.source for p in lot.sources])
        acts.lose(ctx, acts.take(left, part.lost), "glaze", said.why, at=at.ended)
    n = sum(p["count"] for p in pieces)
    return _part_words(_("%(n)d × %(form)s glazed.") % {"n": n, "form": _form_name(planned, order.form)}, part)


def _of_form(ctx: Context, form: str, stage: str, first: list[str]) -> list[Ware]:
    """Ware of a form at a stage: what the plan meant first (ware, or all of a firing), then the oldest."""

    def key(ware: Ware) -> tuple[int, int, str]:
        meant = [i for i, s in enumerate(first) if s in (ware.id, ware.parent, ware.firing)]
        return (meant[0] if meant else len(first), ware.at or 0, ware.id)

    return sorted((w for w in ctx.state.ware.values() if w.stage == stage and w.form == form), key=key)


def _line(ctx: Context, line: str) -> str | None:
    """The order line, unless it was cancelled since: then the ware is for stock."""
    from studio.models import OrderLine

    open_ = {"cancelled_at": None, "order__cancelled_at": None}
    return line if OrderLine.objects.filter(studio=ctx.studio, public_id=line, **open_).exists() else None


def _finish(ctx: Context, planned: Planned, said: Said, at: Times) -> str:
    finish = cast(Finish, planned.thing)
    order = planned.scenario.order[finish.order]
    wares = [w for w in _of_form(ctx, order.form, FIRED, [finish.source]) if w.order == finish.order]
    said_all = Said(count=None if said.count is None else said.count + said.seconds, lost=said.lost, rest=said.rest)
    part = acts.shares(said_all, finish.count)
    seconds = min(said.seconds, part.good)
    pieces = acts.take(wares, part.good + part.lost)
    taken = sum(p["count"] for p in pieces)
    if not pieces:
        pieces, taken = [{"batch": finish.source, "count": part.good + part.lost}], part.good + part.lost
    lost = min(part.lost, taken)
    seconds = min(seconds, taken - lost)
    data = {
        "order": _line(ctx, finish.order), "form": order.form, "glaze": order.glaze, "pieces": pieces,
        "firsts": taken - lost - seconds, "seconds": seconds, "lost": lost, "why": said.why, **at.data,
        **acts.showing(said.why, said.showing, taken - lost - seconds),
    }  # fmt: skip
    ctx.fact("sorted", data, task=planned.task.id, happened=at.ended)
    sentence = _("%(n)d firsts × %(form)s.") % {"n": data["firsts"], "form": _form_name(planned, order.form)}
    if seconds:
        sentence += " " + ngettext("%(n)d second.", "%(n)d seconds.", seconds) % {"n": seconds}
    return _part_words(sentence, part)


def _pour(ctx: Context, planned: Planned, said: Said, at: Times) -> str:
    one = cast(CastPlan, planned.thing)
    form = planned.scenario.cast[one.id].form
    fact = {"cast": one.id, "form": form, **at.data, **plaster_keys(ctx, form)}
    ctx.fact("poured", fact, task=planned.task.id, happened=at.ended)
    return _("A mould of %(form)s is poured.") % {"form": _form_name(planned, form)}


def _lift(ctx: Context, planned: Planned, said: Said, at: Times) -> str:
    one = cast(CastPlan, planned.thing)
    ctx.fact("lifted", {"cast": one.id, **at.data}, task=planned.task.id, happened=at.ended)
    form = planned.scenario.cast[one.id].form
    return _("The mould of %(form)s is lifted and has to dry.") % {"form": _form_name(planned, form)}


def _job(ctx: Context, planned: Planned, said: Said, at: Times) -> str:
    job = cast(JobPlan, planned.thing)
    ctx.fact("job_done", {"job": job.id, **at.data}, task=planned.task.id, happened=at.ended)
    return _("%(job)s is done.") % {"job": planned.scenario.job[job.id].name or job.id}


DOERS: dict[str, Doer] = {
    "press": _press, "release": _release, "load": _load, "unload": _unload, "glaze": _glaze, "finish": _finish,
    "pour": _pour, "lift": _lift, "job": _job,
}  # fmt: skip


def said_of(data: dict[str, Any]) -> Said:
    """What the person said, out of a read payload."""
    keys = Said.__dataclass_fields__
    got = {k: v for k, v in data.items() if k in keys and v is not None}
    got["moulds"] = tuple(got.get("moulds", ()))
    got["lost_of"] = tuple(got.get("lost_of", ()))
    return Said(**got)
