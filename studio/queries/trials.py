"""The trial pressings of a form: the last three side by side, the next ball, and the setting that won."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from planner.craft import trial as craft
from planner.craft.ranges import OutOfRange
from studio import units
from studio.models import Form, FormTimings, Studio, Tool
from studio.queries.cards import local
from studio.queries.record import settled_of
from studio.record.facts import Fact
from studio.words import Text

PLACES: dict[str, Text] = {"foot": gettext_lazy("foot"), "wall": gettext_lazy("wall"), "rim": gettext_lazy("rim")}
SIDE_BY_SIDE = 3


@dataclass(frozen=True)
class TrialView:
    """One pressing; ``sections`` as said, in the order of :data:`PLACES`, "" where none was measured."""

    at: datetime
    ball_g: int
    spare_g: int
    filled: bool
    stop: str
    tool: str
    tool_id: str
    changed: str
    good: bool
    sections: tuple[str, ...]
    values: dict[str, int]  # tenths of a mm by field, for the next entry

    @property
    def piece_g(self) -> int:
        return self.ball_g - self.spare_g


@dataclass(frozen=True)
class Next:
    """The next pressing as advised; ``stop`` says how to move it, or nothing."""

    ball_g: int
    piece_g: float
    spare_g: float
    stop: str
    settled: bool
    reclaim_g: float  # cut off in a hundred pressings
    clay_g: float | None  # gone into a hundred firsts


@dataclass(frozen=True)
class Trials:
    """All pressings counted, the last ones in the order they were made, the advice, and the last good one."""

    count: int
    last: tuple[TrialView, ...]
    next: Next | None
    setting: TrialView | None

    @property
    def rows(self) -> tuple[tuple[str, tuple[str, ...]], ...]:
        """The thicknesses by place, where any was measured."""
        by_place = ((str(name), tuple(t.sections[i] for t in self.last)) for i, name in enumerate(PLACES.values()))
        return tuple((name, cells) for name, cells in by_place if any(cells))


def trials_of(studio: Studio, form: Form) -> Trials:
    """What is on record of this form's trial pressings, without what was taken back."""
    many = [f for f in settled_of(studio, "trial", data__form=form.public_id) if _counts(f)]
    tools = dict(Tool.objects.filter(studio=studio).values_list("public_id", "name"))
    views = [_view(f, tools) for f in many]
    good = next((v for v in reversed(views) if v.good), None)
    return Trials(len(views), tuple(views[-SIDE_BY_SIDE:]), _next(form, _one_setting(many)), good)


def _counts(fact: Fact) -> bool:
    try:
        _pressing(fact)
    except OutOfRange:
        return False
    return True


def _pressing(fact: Fact) -> craft.Trial:
    d = fact.data
    sections = {p: d[p] / 10 for p in PLACES if d[p] is not None}
    return craft.Trial(d["ball_g"], d["spare_g"], sections, d["filled"])


def _view(fact: Fact, tools: dict[str, str]) -> TrialView:
    d = fact.data
    values = {k: d[k] for p in PLACES for k in (p, f"{p}_wanted") if d[k] is not None}
    return TrialView(
        local(fact.happened), d["ball_g"], d["spare_g"], d["filled"], d["stop"], tools.get(d["tool"] or "", ""),
        d["tool"] or "", d["changed"], d["verdict"] == "good", tuple(_thick(d[p]) for p in PLACES), values,
    )  # fmt: skip


def _thick(tenths: int | None) -> str:
    return "" if tenths is None else units.gauge(tenths / 10)


def _one_setting(facts: Sequence[Fact]) -> list[Fact]:
    """The last pressings that were made at one stop with one tool."""
    found: list[Fact] = []
    for fact in reversed(facts):
        if found and any(fact.data[k] != found[-1].data[k] for k in ("stop", "tool")):
            break
        found.append(fact)
    return found[::-1]


def _next(form: Form, facts: Sequence[Fact]) -> Next | None:
    if not facts:
        return None
    trials, last = [_pressing(f) for f in facts], facts[-1].data
    wanted = {p: last[f"{p}_wanted"] / 10 for p in PLACES if last[f"{p}_wanted"] is not None}
    advice = craft.next_ball(trials, wanted)
    clay = None
    lost = _share_lost(form)
    if trials[-1].filled and lost is not None and lost <= 0.9:
        clay = craft.clay_per_hundred_firsts_g(trials[-1].ball_g, trials[-1].spare_g, lost)
    return Next(
        advice.ball_g, advice.piece_g, advice.spare_g, _stop(advice.stop_mm), craft.settled(trials, wanted),
        craft.cut_off_per_hundred_g(trials), clay,
    )  # fmt: skip


def _stop(mm: float) -> str:
    if not mm:
        return ""
    said = {"by": units.gauge(abs(mm))}
    if mm < 0:
        return _("The wall is too thick: set the stop so that the tool comes %(by)s nearer to the mould.") % said
    return _("The wall is too thin: set the stop so that the tool stays %(by)s further from the mould.") % said


def _share_lost(form: Form) -> float | None:
    """Of pieces pressed, by the form's own figures of losses."""
    timings = FormTimings.objects.filter(form=form).order_by("valid_from").last()
    if timings is None:
        return None
    left = 1.0
    for pct in (timings.loss_making_pct, timings.loss_bisque_pct, timings.loss_glost_pct):
        left *= 1 - pct / 100
    return 1 - left
