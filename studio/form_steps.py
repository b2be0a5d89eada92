"""The steps of a form's life in words: what each is called, the job that it is in the plan, and its usual minutes.

The minutes are common practice, no source; a person changes them for each form.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from studio.record import forms
from studio.words import Text

MOST_MIN = 24 * 60


@dataclass(frozen=True)
class StepWords:
    """``job`` names the form by ``%(form)s``; a step without one is done by pouring or pressing, as planned anyway."""

    title: Text
    hint: Text
    job: Text = ""
    minutes: int = 0
    caution: str = ""  # a key of studio.cautions


WORDS: dict[str, StepWords] = {
    forms.DRAWING: StepWords(
        gettext_lazy("Drawing"), gettext_lazy("The profile, inside and outside, in the fired size."),
        gettext_lazy("Draw %(form)s"), 120,
    ),
    forms.MODEL: StepWords(
        gettext_lazy("Model"), gettext_lazy("Turned larger than the pot: the clay shrinks."),
        gettext_lazy("Turn the model for %(form)s"), 180, "turn_model",
    ),
    forms.TRIAL_MOULD: StepWords(
        gettext_lazy("Trial mould"), gettext_lazy("One or two poured from the model, dried a week or so."),
        caution="pour",
    ),
    forms.TOOL: StepWords(
        gettext_lazy("Profile tool"), gettext_lazy("Cut and filed to the profile, with its edge bevelled."),
        gettext_lazy("Cut the profile tool for %(form)s"), 90, "tool",
    ),
    forms.TRIALS: StepWords(
        gettext_lazy("Trial pressings"), gettext_lazy("Press, cut one in half, measure; until one is good to keep."),
        gettext_lazy("Trial pressings of %(form)s"), 60, "press",
    ),
    forms.FIRED_TEST: StepWords(
        gettext_lazy("Fired test"), gettext_lazy("Two of them fired and glazed, with the next firings."),
        gettext_lazy("Two trial pieces of %(form)s for the firing"), 30, "load",
    ),
    forms.APPROVED: StepWords(
        gettext_lazy("Approved"), gettext_lazy("Looked at, measured, used: good to be made."),
        gettext_lazy("Look at the fired test of %(form)s and decide"), 15,
    ),
    forms.WORKING_MOULDS: StepWords(
        gettext_lazy("Working moulds"), gettext_lazy("Poured from one model, two to four a day."), caution="pour",
    ),
    forms.PRODUCTION: StepWords(
        gettext_lazy("In production"), gettext_lazy("Pressed for orders and for the shelf."),
    ),
}  # fmt: skip
WITH_JOB = tuple(k for k, w in WORDS.items() if w.job)


def step_title(step: str) -> str:
    """What a step is called."""
    return str(WORDS[step].title) if step in WORDS else step


def job_name(step: str, form: str) -> str:
    """The job of a step, such as “Turn the model for Bowl 18”."""
    return str(WORDS[step].job) % {"form": form}


def minutes_of(step: str, own: Mapping[str, object]) -> int:
    """The minutes that a step's job takes: the studio's own for this form (``own``), or the usual ones. 0: no job."""
    minutes = own.get(step, WORDS[step].minutes)
    return minutes if isinstance(minutes, int) and 0 <= minutes <= MOST_MIN else WORDS[step].minutes


def said_done(step: str, form: str) -> str:
    """A sentence for the record."""
    return _("%(form)s: %(step)s done") % {"form": form, "step": step_title(step).lower()}
