"""Facts in, state out."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any

from studio.record import bags, clay, finishing, firing, forms, glazes, making, plaster, remarks
from studio.record.facts import Fact
from studio.record.form import check_form
from studio.record.happening import Happening
from studio.record.settle import Settled, settle
from studio.record.state import State, Trouble


def fold(facts: Iterable[Fact], start: State | None = None, *, owned: bool = False) -> State:
    """The state after ``facts``, in whatever order they are given. Never fails, whatever they say.

    ``start``: the state after all facts that stand before these in the order (happened, seq); it is not changed
    unless ``owned`` gives it away. No undo or correction among ``facts`` that ``start`` does not know of may speak of
    an earlier fact: :func:`studio.record.points.usable` tells. A fact of unknown kind or wrong form is a trouble
    without effect.
    """
    state = start if start is not None and owned else State() if start is None else start.clone()
    for settled in settle(facts):
        _meet(state, settled)
    return state


def _person_away(h: Happening) -> None:
    h.state.away.append((h.data["person"], h.data["from"], h.data["until"]))


def _job_done(h: Happening) -> None:
    h.state.jobs_done[h.data["job"]] = h.data["ended"]
    forms.job_done(h)


def _told(h: Happening) -> None:
    """Kept and shown, and nothing stands otherwise for it: a test tile, a fault on ware that goes on, the air."""


HANDLERS: dict[str, Callable[[Happening], None]] = {
    "pressed": making.pressed,
    "covered": making.covered,
    "taken_out": making.taken_out,
    "step_done": making.step_done,
    "lost": making.lost,
    "seen": _told,
    "air": _told,
    "still_good": making.still_good,
    "too_soft": making.too_soft,
    "said": remarks.said,
    "packed": firing.packed,
    "lit": firing.lit,
    "drawn": firing.drawn,
    "fired": firing.fired,
    "kiln_out": firing.kiln_out,
    "kiln_back": firing.kiln_back,
    "glazed": finishing.glazed,
    "sorted": finishing.sorted_,
    "seconds_taken": finishing.seconds_taken,
    "off_shelf": finishing.off_shelf,
    "shipped": finishing.shipped,
    "opening": finishing.opening,
    "mould_cracked": plaster.mould_cracked,
    "mould_retired": plaster.mould_retired,
    "weighed": plaster.weighed,
    "poured": plaster.poured,
    "lifted": plaster.lifted,
    "cast_lost": plaster.cast_lost,
    "person_away": _person_away,
    "job_done": _job_done,
    "glaze_mixed": glazes.mixed,
    "glaze_weighed": glazes.weighed,
    "glaze_in_use": glazes.in_use,
    "glaze_used_up": glazes.used_up,
    "glaze_on_ware": _told,
    "test_tile": _told,
    "food_result": glazes.food_result,
    "cast_step": plaster.cast_step,
    "plaster_in": bags.plaster_in,
    "plaster_opened": bags.plaster_opened,
    "plaster_left": bags.plaster_left,
    "clay_in": clay.clay_in,
    "clay_begun": clay.clay_begun,
    "clay_left": clay.clay_left,
    "reclaim_left": clay.reclaim_left,
    "trial": forms.trial,
    "form_step": forms.form_step,
    "setting": forms.setting,
    "tool_checked": forms.tool_checked,
    "shrinkage": _told,
}

# What makes two facts of one kind the same thing recorded twice. Kinds that are missing may well happen again.
SAME: dict[str, Callable[[dict[str, Any]], str]] = {
    "pressed": lambda d: d["batch"],
    "covered": lambda d: f"{d['batch']}/{d['what']}",
    "taken_out": lambda d: d["batch"],
    "step_done": lambda d: f"{d['batch']}/{d['step']}",
    "said": lambda d: f"{d['batch']}/{d['word']}",
    "packed": lambda d: d["firing"],
    "lit": lambda d: d["firing"],
    "drawn": lambda d: d["firing"],
    "glazed": lambda d: d["lot"],
    "glaze_mixed": lambda d: d["glaze_batch"],
    "opening": lambda d: d["id"],
    "mould_cracked": lambda d: d["mould"],
    "mould_retired": lambda d: d["mould"],
    "poured": lambda d: d["cast"],
    "lifted": lambda d: d["cast"],
    "cast_lost": lambda d: d["cast"],
    "job_done": lambda d: d["job"],
    "cast_step": lambda d: f"{d['cast']}/{d['step']}",
    "plaster_in": lambda d: d["bag"],
    "plaster_opened": lambda d: d["bag"],
    "clay_in": lambda d: d["batch"],
    "form_step": lambda d: f"{d['form']}/{d['step']}",
}


def _same(fact: Fact) -> str | None:
    """The name under which ``fact`` is known; for what has none of its own, the planned task that it did."""
    name = SAME.get(fact.kind)
    if name is not None:
        return f"{fact.kind}/{name(fact.data)}"
    return f"{fact.kind}/task/{fact.task}" if fact.task and fact.kind in ("sorted", "shipped") else None


def _meet(state: State, settled: Settled) -> None:
    fact = settled.fact
    for correction in settled.bad_corrections:
        state.troubles.append(Trouble(correction, "correction_cannot_be", {"fact": fact.id}))
    handler = HANDLERS.get(fact.kind)
    if handler is None:
        state.troubles.append(Trouble(fact.id, "unknown_kind", {"kind": fact.kind}))
        return
    if check_form(fact.kind, fact.data):
        state.troubles.append(Trouble(fact.id, "wrong_form", {"kind": fact.kind}))
        return
    same = _same(fact)
    if same is not None and same in state.seen:
        state.twice[fact.id] = state.seen[same]
        return
    if same is not None:
        state.seen[same] = fact.id
    if fact.task:
        state.done_tasks.setdefault(fact.task, fact.id)
    handler(Happening(state, fact))
