"""How long each form's moulds last in this studio, which are likely worn by a day, and what to pour by when."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from math import ceil
from statistics import median

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from planner.craft.ranges import OutOfRange
from planner.craft.survival import MOST_USES, Curve, Life, Stated, kaplan_meier, lasts, learned, to_pour
from studio import words
from studio.defaults import CAST
from studio.models import Cast, Form, Mould, Studio, WeeklyHours
from studio.queries.life_picture import LifePicture, life_picture
from studio.queries.plans import Live, current_plan
from studio.queries.state import state_of
from studio.record.state import State
from studio.translate.allowing import SURE

WEEKS = (2, 4, 8)
AHEAD = 4
USUAL_SURE = 0.8  # where the studio is content with enough on average: a mould short stops a whole day
IN_HAND = timedelta(days=2)  # for a session that does not happen on the day: common practice, no source
MOST_POURED = 20


@dataclass(frozen=True)
class FormLife:
    """One form. ``uses`` pressings are planned until the day, ``each`` of every mould as they go round.

    ``worn``: likely so many of the ``n`` moulds, with the ``past`` that have had their stated uses already, so that no
    plan presses them; ``pour`` new ones keep as many as there are with the chance ``sure``,
    beside those ``coming`` that can be poured or are. ``refusal`` where nothing can be said.
    """

    form: Form
    n: int
    uses: int
    each: int
    worn: int
    past: int
    pour: int
    coming: int
    until: date
    pour_by: date
    late: bool
    usual: int
    half: int
    watched: int
    ended: int
    refusal: str
    picture: LifePicture

    @property
    def said(self) -> str:
        """``2 of 8 will likely be worn by Thursday 10 December: pour 2 by 28 November.``"""
        day, pour = words.day(self.until), {"pour": self.pour, "by": words.day(self.pour_by)}
        if not self.worn:
            return _("None of the %(n)d is likely worn by %(day)s.") % {"n": self.n, "day": day}
        worn = _("%(worn)d of %(n)d will likely be worn by %(day)s") % {"worn": self.worn, "n": self.n, "day": day}
        if not self.pour:
            return worn + _("; those that are being made are enough.")
        more = _(": pour %(pour)d more") if self.coming else _(": pour %(pour)d")
        return worn + more % pour + (_(" as soon as you can.") if self.late else _(" by %(by)s.") % pour)

    @property
    def from_record(self) -> str:
        """What the curve rests on."""
        said = {"usual": self.usual, "watched": self.watched, "ended": self.ended, "half": self.half}
        if not self.ended:
            text = _("None of its %(watched)d moulds has ended yet: the curve is that of the %(usual)d uses stated of "
                     "them, and rises as they outlast it. Half last beyond %(half)d uses.")  # fmt: skip
            return text % said
        text = ngettext(
            "%(ended)d of %(watched)d moulds has ended. With the %(usual)d uses stated, which count as much as 4 "
            "moulds, half last beyond %(half)d uses.",
            "%(ended)d of %(watched)d moulds have ended. With the %(usual)d uses stated, which count as much as 4 "
            "moulds, half last beyond %(half)d uses.",
            self.ended,
        )
        return text % said


@dataclass(frozen=True)
class MouldLives:
    """All forms with moulds, those to pour for first. ``sure`` in percent."""

    forms: tuple[FormLife, ...]
    weeks: int
    until: date
    sure: int
    has_plan: bool

    @property
    def to_pour(self) -> tuple[FormLife, ...]:
        return tuple(f for f in self.forms if f.pour)


def mould_lives(studio: Studio, now: datetime, weeks: int = AHEAD, form: str = "") -> MouldLives:
    """Each form's moulds until so many ``weeks`` from the local time ``now``, or those of one ``form``."""
    state, live = state_of(studio), current_plan(studio)
    until = now + timedelta(weeks=weeks)
    chance = max(SURE[studio.enough] or USUAL_SURE, USUAL_SURE)
    rows = Mould.objects.filter(studio=studio).select_related("form").order_by("number")
    moulds: dict[str, list[Mould]] = {}
    for m in rows.filter(form__public_id=form) if form else rows:
        moulds.setdefault(m.form.public_id, []).append(m)
    coming = _coming(studio, state)
    hours = WeeklyHours.objects.filter(studio=studio, person__retired_at=None, evening=False)
    weekdays = frozenset(hours.values_list("weekday", flat=True))
    planned = _planned_uses(live, state, now, until)
    found = [
        _form_life(many, state, planned.get(f, 0), coming.get(f, 0), now.date(), until.date(), chance, weekdays)
        for f, many in moulds.items()
        if any(_is_good(m, state) for m in many)
    ]
    found.sort(key=lambda v: (-v.pour, -v.worn, v.form.name))
    return MouldLives(tuple(found), weeks, until.date(), round(100 * chance), live is not None)


def _is_good(mould: Mould, state: State) -> bool:
    stands = state.moulds.get(mould.public_id)
    return mould.retired_at is None and (stands is None or stands.gone is None)


def life_in(mould: Mould, state: State) -> Life | None:
    """A mould's life as the record tells it; None of one that was put into the book by mistake."""
    stands = state.moulds.get(mould.public_id)
    uses = min(MOST_USES, mould.uses_before + (stands.uses if stands else 0))
    gone = stands is not None and stands.gone is not None
    if mould.retired_at is not None and not gone:
        return None
    return Life(uses, gone, min(mould.uses_before, uses))


def _coming(studio: Studio, state: State) -> dict[str, int]:
    """By form, moulds that can be poured or are poured and not lifted."""
    found: dict[str, int] = {}
    for cast in Cast.objects.filter(studio=studio, retired_at=None).select_related("form"):
        stands = state.casts.get(cast.public_id)
        if stands is None or stands.gone or stands.lifted is None:
            found[cast.form.public_id] = found.get(cast.form.public_id, 0) + 1
    return found


def _planned_uses(live: Live | None, state: State, now: datetime, until: datetime) -> dict[str, int]:
    """By form, pressings until a moment: those of the plan, and beyond its last one as many a day as in it."""
    if live is None:
        return {}
    starts = [(live.when(live.plan.task[b.press].start), b) for b in live.plan.batches if b.press]
    last = max((at for at, _b in starts), default=now)
    seen = max((last - now) / timedelta(days=1), 1.0)
    beyond = max(0.0, (until - last) / timedelta(days=1))
    found: dict[str, float] = {}
    for at, batch in starts:
        if batch.press in state.done_tasks:
            continue
        uses = batch.count if at < until else 0
        found[batch.form] = found.get(batch.form, 0.0) + uses + batch.count / seen * beyond
    return {form: ceil(n - 1e-9) for form, n in found.items()}


def _form_life(
    many: list[Mould],
    state: State,
    uses: int,
    coming: int,
    today: date,
    until: date,
    sure: float,
    weekdays: frozenset[int],
) -> FormLife:
    good = [m for m in many if _is_good(m, state)]
    lives = [x for m in many if (x := life_in(m, state)) is not None]
    usual = round(min(1000, max(5, median(m.life for m in good))))
    stated = Stated(usual=usual)
    curve = learned(lives, stated)
    used = {m.public_id: life.uses for m in good if (life := life_in(m, state)) is not None}
    going = {m.public_id: used[m.public_id] for m in good if used[m.public_id] < m.life}
    each = min(MOST_USES, ceil(uses / len(good)))
    past = len(good) - len(going)
    worn = past + round(sum(1 - lasts(curve, n, each) for n in going.values()))
    pour, refusal = _pour(going, each, curve, len(good), sure)
    pour_by = _working_day(until - timedelta(minutes=CAST.dry_min) - IN_HAND, weekdays)
    return FormLife(
        form=good[0].form, n=len(good), uses=uses, each=each, worn=worn, past=past,
        pour=min(MOST_POURED, max(0, pour - coming)) if worn else 0, coming=coming, until=until,
        pour_by=max(pour_by, today), late=pour_by <= today, usual=usual,
        half=next((u for u in range(len(curve.lasting)) if curve.beyond(u) <= 0.5), len(curve.lasting)),
        watched=len(lives), ended=sum(x.ended for x in lives), refusal=refusal,
        picture=life_picture(curve, stated, kaplan_meier(lives), tuple(used.values())),
    )  # fmt: skip


def _working_day(day: date, weekdays: frozenset[int]) -> date:
    """That day, or the last one before it on which somebody works."""
    return next((d for i in range(7) if (d := day - timedelta(days=i)).weekday() in weekdays), day)


def _pour(used: dict[str, int], each: int, curve: Curve, keep: int, sure: float) -> tuple[int, str]:
    if not each:
        return 0, ""
    try:
        return to_pour(used, each, curve, keep, sure), ""
    except OutOfRange:
        return 0, _("More is pressed in each mould than a new one stands: look at fewer weeks.")
