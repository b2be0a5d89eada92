"""Makes the cards of a plan's tasks from the plan and from where everything stands now."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta
from functools import cached_property
from typing import TYPE_CHECKING

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from planner.plan import Batch, Firing, Task
from planner.ware import InMould
from studio import units, words
from studio.queries.buckets import too_little
from studio.queries.cards import Card, Names, local, subjects
from studio.queries.food import food_warning
from studio.queries.glaze_grams import Grams
from studio.record.glazes import open_batches
from studio.record.state import IN_MOULD, KILN, LEATHER, GlazeBatch, State, Ware
from studio.translate.stages import mould_wait, softer, work_waits

if TYPE_CHECKING:
    from studio.queries.plans import Live


class Deck:
    """All cards of one plan, made when they are asked for.

    :param live: the current plan with its scenario and calendar.
    :param state: where everything stands now.
    """

    def __init__(self, live: Live, state: State, names: Names, pinned: frozenset[str] = frozenset()) -> None:
        self.live, self.state, self.names, self.pinned = live, state, names, pinned
        self.plan, self.scenario = live.plan, live.scenario
        self.about = subjects(self.plan, self.scenario)

    def cards(self, first: datetime | None = None, last: datetime | None = None) -> list[Card]:
        """Cards of the tasks that start in ``[first, last)``, in order of time."""
        low = self.live.minute(first) if first else None
        high = self.live.minute(last) if last else None
        tasks = sorted(self.plan.tasks, key=lambda t: (t.start, t.end, t.id))
        return [
            self.card(t)
            for t in tasks
            if t.id in self.about and (low is None or t.start >= low) and (high is None or t.start < high)
        ]

    def card(self, task: Task) -> Card:
        """The card of one task."""
        about = self.about[task.id]
        person = self.scenario.person.get(task.person)
        base = Card(
            id=task.id, kind=task.kind, title="", done_label="", count=about.count, pot=self.names.pot(about.form),
            start=self.live.when(task.start), end=self.live.when(task.end), person=task.person,
            person_name=(person.name if person else None) or task.person, subject=about,
            done=task.id in self.state.done_tasks, pinned=task.id in self.pinned,
        )  # fmt: skip
        filled = getattr(self, f"_{about.kind}")(base, task)
        return self._titled(filled)

    def _titled(self, card: Card) -> Card:
        about = card.subject
        thing = self._kiln(about.kiln) if about.kind == "firing" else self.names.form(about.form)
        if about.kind == "job":
            thing = (self.scenario.job[about.id].name if about.id in self.scenario.job else None) or about.id
        glaze = ""
        if about.order and about.order in self.scenario.order:
            glaze = self._name(self.scenario.glaze, self.scenario.order[about.order].glaze)
        title = words.todo(card.kind, n=card.count, thing=thing, glaze=glaze)
        return replace(card, title=title, done_label=words.done(card.kind, n=card.count), thing=thing, glaze=glaze)

    # One method for each kind of subject: what is worth saying, and when it no longer waits.

    def _batch(self, card: Card, task: Task) -> Card:
        batch = self.plan.batch[card.subject.id]
        ware = self.state.ware.get(batch.id)
        there = ware is not None and ware.stage in (IN_MOULD, LEATHER)
        card = replace(card, ware=batch.id if there else "")
        if there and ware is not None and task.kind != "press":
            card = replace(card, count=ware.count, ask_at=local(ware.ask_at) if ware.ask_at else None)
        if task.kind == "press":
            return self._press(card, task, batch)
        return self._release(card, batch, ware) if task.id == batch.release else self._step(card, batch, ware)

    def _press(self, card: Card, task: Task, batch: Batch) -> Card:
        form, row = self.scenario.form[batch.form], self.names.forms.get(batch.form)
        prepare = task.end - task.start - form.press.minutes(batch.count)
        said = []
        if row is not None:
            there = self.state.settings.get(batch.form)
            said.append(words.setting(row.ball_g, row.tool.name, there.stop if there is not None else ""))
            if prepare > 0:
                said.append(_set_up(row.tool.name, prepare, full=prepare == form.setup))
            balls = {"n": batch.count, "ball": units.weight(row.ball_g), "all": units.bulk(batch.count * row.ball_g)}
            said.append(_("%(n)s balls of %(ball)s, %(all)s in all") % balls)
        said.append(ngettext("%(n)s dry mould", "%(n)s dry moulds", batch.count) % {"n": batch.count})
        if batch.covered_in_mould:
            said.append(_("cover the filled moulds afterwards"))
        return replace(card, details=tuple(said), cover="mould" if batch.covered_in_mould else "")

    def _release(self, card: Card, batch: Batch, ware: Ware | None) -> Card:
        form = self.scenario.form[batch.form]
        said: list[str] = []
        if ware is not None and ware.stage == IN_MOULD and ware.pressed and ware.first is not None:
            window, _covered = mould_wait(ware, form)
            soft = softer(ware.ask_at, ware.pressed[1], window.lo)
            latest = local(ware.until or ware.first + soft + window.hi)
            said.append(_("pressed %(when)s") % {"when": _moment(local(ware.pressed[0]))})
            if ware.covered_in_mould:
                said.append(_("covered"))
        else:
            minute = self.planned_release_latest(batch)
            latest = self.live.when(minute) if minute is not None else None
        n = -(-card.count // form.boards.green)
        said.append(ngettext("onto %(n)s board", "onto %(n)s boards", n) % {"n": n})
        if batch.covered:
            said.append(_("wrap them afterwards"))
        return replace(card, details=tuple(said), latest=latest, cover="ware" if batch.covered else "")

    def planned_release_latest(self, batch: Batch) -> int | None:
        """The minute by which a batch that is yet to be pressed must be out of its moulds."""
        form, ware = self.scenario.form[batch.form], self.scenario.ware.get(batch.id)
        window = form.release_after_covered if batch.covered_in_mould else form.release_after
        if isinstance(ware, InMould):
            window = form.release_after_covered if ware.covered else form.release_after
            return ware.until if ware.until is not None else (ware.first + window.hi if window else None)
        if batch.press is None or window is None:
            return None
        press = self.plan.task[batch.press]
        prepare = press.end - press.start - form.press.minutes(batch.count)
        return press.start + prepare + -(-form.press.each_s // 60) + window.hi

    def _step(self, card: Card, batch: Batch, ware: Ware | None) -> Card:
        step = next((s for s in self.scenario.form[batch.form].steps if s.kind == card.kind), None)
        said: list[str] = []
        if ware is not None and ware.stage == LEATHER and ware.released:
            todo = [s for s in self.scenario.form[batch.form].steps if s.kind not in ware.steps]
            waits, _wrapped = work_waits(ware, todo)
            window = next((w for s, w in zip(todo, waits, strict=True) if s is step), None)
            soft = softer(ware.ask_at, ware.released[1], waits[0].lo) if waits else 0
            minute = ware.until or (ware.released[0] + soft + window.hi if window else None)
            latest = local(minute) if minute is not None else None
            said.append(_("out of the moulds %(when)s") % {"when": _moment(local(ware.released[1]))})
            if ware.wrapped:
                said.append(_("wrapped"))
        else:
            window = step and (step.after_covered if batch.covered else step.after)
            latest = None  # it runs from the real take-out: a clock time before that would be a guess
            if window:
                said.append(_("within %(time)s of taking out") % {"time": words.span(window.hi)})
        return replace(card, details=tuple(said), latest=latest)

    def _firing(self, card: Card, task: Task) -> Card:
        firing = self.plan.firing[card.subject.id]
        parts = self.load_of(firing)
        said = [f"{n} × {self.names.form(form)}" for form, n in parts]
        if firing.program is not None and firing.fire is not None and task.id == firing.load:
            said.insert(0, self._program(firing))
            said.append(_("light it %(when)s") % {"when": words.around(self.live.when(firing.fire))})
        count = sum(n for _form, n in parts) or card.count
        inside = self._inside(firing) if task.id == firing.unload else ()
        return replace(card, details=tuple(said), count=count, inside=inside, glost=self._is_glost(firing))

    def _is_glost(self, firing: Firing) -> bool:
        """Whether a firing is a glost: as it stands in the kiln now, else as planned."""
        kiln = self.state.kilns.get(firing.kiln)
        held = self.state.firings.get(kiln.holds or "") if kiln is not None and firing.load is None else None
        program = self.live.scenario.kiln[firing.kiln].program(firing.program or "")
        return (held.stage if held is not None else program.stage if program is not None else "") == "glost"

    def _inside(self, firing: Firing) -> tuple[tuple[str, str, int], ...]:
        """What stands in the kiln now, ware by ware, if it is this load."""
        held = self.state.kilns[firing.kiln].holds if firing.kiln in self.state.kilns else None
        if held is None or firing.id not in (held, f"now:{firing.kiln}"):
            return ()
        wares = [w for w in self.state.ware.values() if w.stage == KILN and w.firing == held]
        return tuple((w.id, self.names.form(w.form), w.count) for w in wares)

    def load_of(self, firing: Firing) -> list[tuple[str, int]]:
        """Forms and pieces of a firing, most first: as planned, or as they stand in the kiln now."""
        held: dict[str, int] = {}
        sources = [(self._form_of(p.source), p.count) for p in firing.pieces]
        if not sources:
            inside = [w for w in self.state.ware.values() if w.stage == KILN and w.kiln == firing.kiln]
            sources = [(w.form, w.count) for w in inside]
        for form, n in sources:
            held[form] = held.get(form, 0) + n
        return sorted(held.items(), key=lambda x: -x[1])

    def _form_of(self, source: str) -> str:
        if source in self.plan.batch:
            return self.plan.batch[source].form
        if source in self.plan.lot:
            return self.scenario.order[self.plan.lot[source].order].form
        return self.scenario.ware[source].form if source in self.scenario.ware else ""

    def _lot(self, card: Card, task: Task) -> Card:
        order = self.scenario.order.get(card.subject.order)
        if order is None:
            return replace(card, details=self._for(card.subject.order))
        there = open_batches(self.state, order.glaze)
        now = (_("from the batch %(batch)s") % {"batch": batch_words(there[0])},) if there else ()
        others = tuple((b.id, batch_words(b)) for b in there) if len(there) > 1 else ()
        short = too_little(self.state, self._grams, order.form, order.glaze, card.count) if not card.done else ""
        said = (*self._for(card.subject.order), *now, *((short,) if short else ()), *self._food(card.subject.order))
        return replace(card, details=said, glaze_id=order.glaze, glaze_batches=others)

    @cached_property
    def _grams(self) -> Grams:
        return Grams(self.live.row.studio)

    def _finish(self, card: Card, task: Task) -> Card:
        return replace(card, details=(*self._for(card.subject.order), *self._food(card.subject.order)))

    def _food(self, order: str) -> tuple[str, ...]:
        """What has to stand beside the glaze of an order that is not tested for food."""
        warning = food_warning(self.state, self.scenario.order[order].glaze) if order in self.scenario.order else ""
        return (str(warning),) if warning else ()

    def _for(self, order: str) -> tuple[str, ...]:
        customer = self.names.customer(order)
        return (_("for %(customer)s") % {"customer": customer},) if customer else ()

    def _cast(self, card: Card, task: Task) -> Card:
        cast, planned = self.scenario.cast[card.subject.id], next(c for c in self.plan.casts if c.id == card.subject.id)
        there = self.state.casts.get(cast.id)
        if task.kind != "lift":
            said = (_("frame off as it begins to warm, lift it an hour or so after: a hand on the side tells"),)
            return replace(card, details=said)
        if there is not None:
            poured = local(there.poured)
        else:
            minute = self.plan.task[planned.pour].end if planned.pour else cast.poured
            if minute is None:
                return card
            poured = self.live.when(minute)
        ready = poured + timedelta(minutes=cast.lift_after.lo)
        said = (_("poured %(when)s, lift it from %(from)s") % {"when": _moment(poured), "from": f"{ready:%H:%M}"},)
        return replace(card, details=said, latest=poured + timedelta(minutes=cast.lift_after.hi))

    def _job(self, card: Card, task: Task) -> Card:
        job = self.scenario.job.get(card.subject.id)
        return card if job is None else replace(card, latest=self.live.when(job.window.hi))

    def _kiln(self, kiln: str) -> str:
        return self._name(self.scenario.kiln, kiln)

    def _program(self, firing: Firing) -> str:
        program = self.scenario.kiln[firing.kiln].program(firing.program or "")
        return (program.name if program else None) or (firing.program or "")

    @staticmethod
    def _name(things: dict, id_: str) -> str:  # type: ignore[type-arg]
        thing = things.get(id_)
        return (thing.name if thing is not None else None) or id_


def _set_up(tool: str, minutes: int, *, full: bool) -> str:
    text = _("first mount the tool %(tool)s, %(n)s min") if full else _("first check the tool %(tool)s, %(n)s min")
    return text % {"tool": tool, "n": minutes}


def _moment(at: datetime) -> str:
    return f"{words.day(at)} {at:%H:%M}"


def batch_words(batch: GlazeBatch) -> str:
    """A batch of glaze by the day it was mixed, its recipe and how thick it was."""
    said = [_("mixed %(day)s") % {"day": words.day(local(batch.mixed))}, *((batch.recipe,) if batch.recipe else ())]
    if batch.g_l is not None:
        said.append(_("100 ml %(g)s g") % {"g": f"{batch.g_l / 10:g}"})
    return ", ".join(said)
