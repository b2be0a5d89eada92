"""What is next in the life of a form, as work for the plan."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from planner.scenario import Job, Mould, Person, Span, Station, Window
from studio import form_steps
from studio.models import Form as FormRow
from studio.queries.record import minute_of
from studio.record import forms as lives
from studio.record.state import LifeState, State
from studio.translate.chances import has_room
from studio.translate.clock import Clock
from studio.translate.made import Notes
from studio.translate.rows import Rows


def done_of(rows: Rows, state: State, form: FormRow) -> dict[str, int | None]:
    """The steps of a form that are done, by the record and by what the studio has of it."""
    ready = [minute_of(m.ready_from) for m in rows.moulds if m.form_id == form.pk and m.retired_at is None]
    return lives.done_steps(state.lives.get(form.public_id, LifeState()), rows.drawn.get(form.pk), ready)


def without_model(rows: Rows, state: State) -> frozenset[str]:
    """Forms begun as a drawing of which there is no model yet: no mould of theirs can be poured."""
    begun = (f for f in rows.forms if f.begun_at is not None)
    return frozenset(f.public_id for f in begun if lives.MODEL not in done_of(rows, state, f))


WITHIN = 7 * 1440  # from when it could be begun: a form in the making is not to lie; common practice, no source
SOON = 3 * 1440  # that much time at least, also once it has passed
HURRIED = 2  # steps with such a day in one plan; more of them could crowd out what cannot wait


@dataclass(frozen=True)
class StepMaker:
    """Turns the next steps of forms that are not in production yet into jobs."""

    rows: Rows
    state: State
    clock: Clock
    horizon: int
    people: Mapping[str, Person]
    stations: Mapping[str, Station]
    moulds: tuple[Mould, ...]
    notes: Notes

    def all(self) -> tuple[Job, ...]:
        """A job for each step that can be done now, as soon as somebody has the time; one for which nobody has, or
        a trial pressing without a mould, is left out with a note."""
        found: list[Job] = []
        for form in self.rows.forms:
            if form.begun_at is None or form.retired_at is not None:
                continue
            done = done_of(self.rows, self.state, form)
            for step in lives.open_steps(done):
                minutes = form_steps.minutes_of(step, form.life.get("minutes", {}))
                job_id = lives.step_job(form.public_id, step)
                if step in form_steps.WITH_JOB and minutes and job_id not in self.state.jobs_done:
                    by = self._by(form, step, done) if len(found) < HURRIED else self.horizon
                    job = self.notes.built(job_id, lambda: self._job(form, step, job_id, minutes, by))  # noqa: B023
                    found.extend([job] if job is not None else [])
        return tuple(found)

    def _job(self, form: FormRow, step: str, job_id: str, minutes: int, by: int) -> Job | None:
        name = self.notes.name(job_id, form_steps.job_name(step, form.name))
        first = self._first(form, step)
        who, where = form.life.get("person"), self._station(step)
        who = who if who in self.people else None
        people = [self.people[who]] if who is not None else list(self.people.values())
        closed = self.stations[where].closed if where is not None else ()
        if first is None or first >= self.horizon:
            self.notes.leave_out(job_id, "no_mould" if first is None else "not_dry")
            return None
        for last in (max(by, first + SOON), self.horizon):
            span = Span(first, min(last, self.horizon))
            if has_room(people, "job", minutes, span, closed):
                return Job(job_id, minutes, Window(span.a, span.b), who, where, name)
        self.notes.leave_out(job_id, "no_chance")
        return None

    def _by(self, form: FormRow, step: str, done: Mapping[str, int | None]) -> int:
        """The minute by which it should be done: some days after all that it waits for was."""
        since = [done.get(n) or 0 for n in lives.NEEDS[step]]
        return self.clock.of_record(max([minute_of(form.begun_at or self.clock.start), *since])) + WITHIN

    def _first(self, form: FormRow, step: str) -> int | None:
        """From when it can be done; a trial pressing waits for a mould that is dry enough."""
        if step != lives.TRIALS:
            return 0
        ready = [max(0, m.ready) for m in self.moulds if m.form == form.public_id and m.ready is not None]
        return min(ready, default=None)

    def _station(self, step: str) -> str | None:
        """Trials are pressed on the machine, which then is not free for anything else."""
        if step != lives.TRIALS:
            return None
        return next((s.id for s in self.stations.values() if "press" in s.kinds), None)
