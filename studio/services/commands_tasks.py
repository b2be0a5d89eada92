"""Commands that record planned tasks as done: one by one, or all up to here."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from studio.services.acts import Said, Times
from studio.services.answers import DONE, NOT_FOUND, Answer, Refused
from studio.services.commands import command
from studio.services.context import Context
from studio.services.doing import do_task, said_of, usual_times
from studio.services.fields import Fault, choice, flag, ident, ids, optional, text, whole
from studio.services.planned import Planned, find_task, title
from studio.services.readings import AT_DRAWING, with_readings
from studio.services.remarks import OUT_WORDS, STEP_WORDS, with_word

COUNT = whole(0, 100_000)


def lost_of(value: Any) -> list[tuple[str, int]]:
    """What was lost of which ware: a record of ware id to count, or a list of ``{"batch", "count"}``."""
    if isinstance(value, dict):
        value = [{"batch": k, "count": v} for k, v in value.items()]
    if not isinstance(value, list) or len(value) > 500 or not all(isinstance(v, dict) for v in value):
        raise Fault(_("Say how many of each."))
    return [(ident(v.get("batch")), optional(COUNT, 0)(v.get("count"))) for v in value]


SAID = {
    "count": optional(COUNT), "lost": optional(COUNT), "rest": optional(choice(("lost", "to_do"))),
    "why": optional(text(200), ""), "mould_numbers": optional(text(200), ""), "covered": optional(flag),
    "wrapped": optional(flag), "moulds": optional(ids, []), "seconds": optional(COUNT, 0),
    "showing": optional(COUNT, 0), "lost_of": optional(lost_of, []),
}  # fmt: skip


@command("task_done", {"task": ident, **SAID, **AT_DRAWING, "said": optional(choice((*OUT_WORDS, *STEP_WORDS))),
                       "glaze_batch": optional(ident)})  # fmt: skip
def task_done(ctx: Context, data: dict[str, Any]) -> Answer:
    """A planned task is done, as planned or with another count.

    ``count`` are the good ones (firsts, when sorting); fewer than there are needs ``rest``, "lost" or "to_do".
    ``said``: how it was, in a word, at taking out or leather-hard work.
    ``glaze_batch``: what it was glazed from, if not the batch in use.
    When a kiln is drawn, ``lost_of`` says what was lost of which ware (or fields named ``lost:<ware id>``); how hot
    it was and what it used may be told along (:data:`AT_DRAWING`).
    """
    planned = _planned(ctx, data["task"])
    said = with_flat_losses(ctx, said_of(data))
    message = do_task(ctx, planned, said, usual_times(planned, ctx.minute))
    with_word(ctx, data["said"])
    with_readings(ctx, data)
    return ctx.done(message)


def _planned(ctx: Context, task: str) -> Planned:
    planned = find_task(ctx.studio, task)
    if planned is None:
        raise Refused(
            _("This task is in no plan of this studio any more. Please open Today again, or record it as unplanned."),
            status=NOT_FOUND,
        )
    return planned


def with_flat_losses(ctx: Context, said: Said) -> Said:
    """What was said, with the losses that a plain form sends in fields named ``lost:<ware id>``."""
    flat = {k.split(":", 1)[1]: v for k, v in ctx.payload.items() if k.startswith("lost:") and v not in ("", None)}
    if not flat:
        return said
    try:
        return Said(**{**said.__dict__, "lost_of": tuple(lost_of(flat))})
    except Fault as fault:
        raise Refused(str(fault), errors={"lost": str(fault)}) from None


@command("done_up_to", {"tasks": ids})
def done_up_to(ctx: Context, data: dict[str, Any]) -> Answer:
    """Everything on this list was done as planned. In the order of the plan; one undo takes all of it back.

    What somebody recorded in the meantime is left alone, so that nobody's count is overwritten.
    """
    planned = [_planned(ctx, t) for t in data["tasks"]]
    known = set(ctx.state.done_tasks)
    to_do = sorted((p for p in planned if p.task.id not in known), key=lambda p: (p.ended, p.started, p.task.id))
    if not to_do:
        return Answer(DONE, _("All of this is recorded already."))
    for one in to_do:
        _do_one(ctx, one)
    message = ngettext("%(n)d task is marked as done.", "%(n)d tasks are marked as done.", len(to_do))
    return ctx.done(message % {"n": len(to_do)}, tasks=[p.task.id for p in to_do])


def _do_one(ctx: Context, one: Planned) -> None:
    """One of a list; where it is refused, it is said which, so that its tick can be taken off."""
    try:
        do_task(ctx, one, Said(), _times(ctx, one))
    except Refused as refused:
        answer = refused.answer
        said = _("“%(task)s” cannot be marked as it is planned, so nothing was marked: %(why)s")
        text = said % {"task": title(one), "why": answer.message}
        raise Refused(text, status=answer.status, data={**answer.data, "task": one.task.id}) from None


def _times(ctx: Context, planned: Planned) -> Times:
    """As planned where that is past, else as long as planned and just ended: nobody looked at a clock."""
    return usual_times(planned, min(planned.ended, ctx.minute))
