"""A form's life: where it stands, what is next, and when the plan has it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from planner.plan import Plan
from studio import form_steps
from studio.models import Cast, Form, FormProfile, Mould, Studio
from studio.queries.cards import local
from studio.queries.plans import Live, current_plan
from studio.queries.record import minute_of
from studio.queries.state import state_of
from studio.record import forms
from studio.record.state import LifeState, State
from studio.words import Text

DONE, NEXT, LATER = "done", "next", "later"


@dataclass(frozen=True)
class StepView:
    """One step. ``undo``: the fact by which somebody said that it is done; without one the record knows by itself."""

    key: str
    title: Text
    hint: Text
    where: str  # done, next or later
    at: datetime | None
    undo: str
    minutes: int
    caution: str
    planned: datetime | None
    more: str

    @property
    def poured(self) -> bool:
        """Whether pouring a mould is what does it."""
        return self.key in (forms.TRIAL_MOULD, forms.WORKING_MOULDS)

    @property
    def in_plan(self) -> bool:
        """Whether it is work for the plan."""
        return bool(self.minutes) or self.poured


@dataclass(frozen=True)
class Life:
    """All steps, and what stands in the way of orders."""

    steps: tuple[StepView, ...]
    to_pour: int  # moulds that can be poured or are in their frames
    moulds: int

    @property
    def next(self) -> tuple[StepView, ...]:
        return tuple(s for s in self.steps if s.where == NEXT)

    @property
    def made(self) -> bool:
        """Whether the form is in production."""
        return self.steps[-1].where == DONE

    @property
    def n_done(self) -> int:
        return sum(s.where == DONE for s in self.steps)


def life_of(studio: Studio, form: Form, state: State | None = None) -> Life | None:
    """The life of a form that began as a drawing; None of one that came into the book in production.

    ``state`` is the studio's, where it is known already.
    """
    if form.begun_at is None:
        return None
    return _life(form, state_of(studio) if state is None else state, current_plan(studio))


def _life(form: Form, state: State, live: Live | None) -> Life:
    own = state.lives.get(form.public_id, LifeState())
    moulds = [m for m in Mould.objects.filter(form=form, retired_at=None) if not _gone(state, m)]
    drawn = FormProfile.objects.filter(form=form).order_by("valid_from").values_list("valid_from", flat=True).first()
    ready = [minute_of(m.ready_from) for m in moulds]
    done = forms.done_steps(own, minute_of(drawn) if drawn else None, ready)
    casts = list(Cast.objects.filter(form=form, retired_at=None).values_list("public_id", flat=True))
    made = _Steps(form, state, live, done, casts, own.trials)
    return Life(tuple(made.step(s) for s in forms.STEPS), len(casts), len(moulds))


def next_steps(studio: Studio) -> dict[str, str]:
    """By form that began as a drawing, what is next; "" once it is in production."""
    rows = list(Form.objects.filter(studio=studio, retired_at=None, begun_at__isnull=False))
    if not rows:
        return {}
    state, live = state_of(studio), current_plan(studio)
    return {f.public_id: ", ".join(str(s.title).lower() for s in _life(f, state, live).next) for f in rows}


def _gone(state: State, mould: Mould) -> bool:
    there = state.moulds.get(mould.public_id)
    return there is not None and there.gone is not None


@dataclass(frozen=True)
class _Steps:
    form: Form
    state: State
    live: Live | None
    done: Mapping[str, int | None]
    casts: list[str]
    trials: int

    def step(self, key: str) -> StepView:
        words = form_steps.WORDS[key]
        at = self.done.get(key)
        open_now = forms.open_steps(dict(self.done))
        where = DONE if key in self.done or forms.PRODUCTION in self.done else NEXT if key in open_now else LATER
        minutes = form_steps.minutes_of(key, self.form.life.get("minutes", {})) if words.job else 0
        return StepView(
            key, words.title, words.hint, where, local(at) if at is not None else None, self._undo(key), minutes,
            words.caution, self._planned(key) if where == NEXT else None, self._more(key),
        )  # fmt: skip

    def _undo(self, key: str) -> str:
        seen, form = self.state.seen, self.form.public_id
        said = seen.get(f"form_step/{form}/{key}") or seen.get(f"job_done/{forms.step_job(form, key)}")
        return said or ""

    def _planned(self, key: str) -> datetime | None:
        if self.live is None:
            return None
        plan = self.live.plan
        task = next((j.task for j in plan.jobs if j.id == forms.step_job(self.form.public_id, key)), None)
        if key in (forms.TRIAL_MOULD, forms.WORKING_MOULDS):
            task = self._pour(plan)
        return self.live.when(plan.task[task].start) if task else None

    def _pour(self, plan: Plan) -> str | None:
        pours = [c.pour for c in plan.casts if c.id in self.casts and c.pour]
        return min(pours, key=lambda t: plan.task[t].start, default=None)

    def _more(self, key: str) -> str:
        if key == forms.TRIALS and self.trials:
            return ngettext("%(n)d pressing so far", "%(n)d pressings so far", self.trials) % {"n": self.trials}
        return ""


def without_moulds(studio: Studio, names: Mapping[str, str], state: State | None = None) -> tuple[str, ...]:
    """Of forms asked for (public id and name), a sentence for each that has no mould to be pressed in."""
    if not names:
        return ()
    state = state_of(studio) if state is None else state
    rows = Mould.objects.filter(studio=studio, retired_at=None, form__public_id__in=list(names)).select_related("form")
    have = {m.form.public_id for m in rows if not _gone(state, m)}
    casts = Cast.objects.filter(studio=studio, retired_at=None, form__public_id__in=list(names))
    pours: dict[str, int] = {}
    for form in casts.values_list("form__public_id", flat=True):
        pours[form] = pours.get(form, 0) + 1
    return tuple(_no_mould(name, pours.get(form, 0)) for form, name in names.items() if form not in have)


def _no_mould(name: str, pours: int) -> str:
    said: dict[str, Any] = {"form": name, "n": pours}
    if not pours:
        return _("%(form)s has no mould: an order for it waits until one is there. Plan to pour some.") % said
    text = ngettext(
        "%(form)s has no mould yet: the plan presses it once the one that is to be poured is lifted and dry.",
        "%(form)s has no mould yet: the plan presses it once one of the %(n)d that are to be poured is lifted and dry.",
        pours,
    )
    return text % said
