"""Work in progress: what the record says of each ware, as the planner wants it at its stage."""

from __future__ import annotations

from dataclasses import dataclass

from planner.scenario import (
    Bisqued,
    Drying,
    Fired,
    Form,
    Glaze,
    Glazed,
    InKiln,
    InMould,
    Kiln,
    Order,
    Person,
    Released,
    Span,
    Step,
    Wip,
)
from studio.models import FormTimings, KilnProgram
from studio.record.state import BISQUED, FIRED, GLAZED, IN_MOULD, KILN, LEATHER, FiringState, State, Ware
from studio.translate.air import dry_minutes
from studio.translate.chances import day_of_chance
from studio.translate.clock import Clock
from studio.translate.firings import known_of, opens_at
from studio.translate.made import Notes
from studio.translate.rows import Rows
from studio.translate.stages import mould_wait, softer, steps_behind, timings_of, work_waits
from studio.translate.waits import dried, learned_of

USUAL_FIRING = {"bisque": (600, 900), "glost": (600, 1080)}  # fire, cool; common practice, where a program is gone


@dataclass(frozen=True)
class WareMaker:
    """Turns ware of the record into work in progress of a scenario."""

    rows: Rows
    state: State
    clock: Clock
    forms: dict[str, Form]
    kilns: dict[str, Kiln]
    glazes: dict[str, Glaze]
    orders: dict[str, Order]
    people: tuple[Person, ...]
    notes: Notes

    def all(self) -> tuple[Wip, ...]:
        """Everything that stands there and that the planner can be told of."""
        makers = {
            IN_MOULD: self.in_mould, LEATHER: self.leather, KILN: self.in_kiln, BISQUED: self.bisqued,
            GLAZED: self.glazed, FIRED: self.fired,
        }  # fmt: skip
        found: list[Wip] = []
        for ware in sorted(self.state.ware.values(), key=lambda w: w.id):  # snapshots may change their order
            if ware.form not in self.forms:
                self.notes.leave_out(ware.id, "no_such_form")
                continue
            wip: Wip | None = self.notes.built(ware.id, lambda: makers[ware.stage](ware))  # noqa: B023
            if wip is not None:
                found.append(wip)
        return tuple(found)

    def _minute(self, minute: int | None) -> int:
        return 0 if minute is None else self.clock.of_record(minute)

    def _asked(self, ware: Ware) -> int | None:
        return None if ware.ask_at is None else self._minute(ware.ask_at)

    def _order(self, ware: Ware) -> str | None:
        """The ware's order line if it is still to be made, else None: the ware is for stock."""
        order = self.orders.get(ware.order or "")
        fits = order is not None and (order.form, order.glaze) == (ware.form, ware.glaze)
        return order.id if order is not None and fits else None

    def in_mould(self, ware: Ware) -> InMould:
        form = self.forms[ware.form]
        a, b = (self._minute(m) for m in ware.pressed or (None, None))
        first, (window, covered) = self._minute(ware.first), mould_wait(ware, form)
        soft = softer(self._asked(ware), b, window.lo)
        first, pressed = first + soft, Span(a + soft, max(a + 1, b) + soft)
        latest = self._minute(ware.until) if ware.until is not None else first + window.hi
        until = self._minute(ware.until) if ware.until is not None else None
        until = self._still_good(ware, "release", form.release.minutes(ware.count), latest, until)
        return InMould(ware.id, ware.form, ware.count, tuple(ware.moulds), pressed, first, covered, until)

    def leather(self, ware: Ware) -> Released | Drying:
        form, timings = self.forms[ware.form], timings_of(ware, self.rows)
        behind = steps_behind(ware, [s.kind for s in form.steps], self.rows)
        if behind >= len(form.steps):
            dry = form.dry if timings is None else self._dry(ware, timings)
            dry_at = self._minute(ware.dry_at) if ware.dry_at is not None else self._minute(ware.last_end) + dry
            return Drying(ware.id, ware.form, ware.count, dry_at)
        todo = form.steps[behind:]
        waits, covered = work_waits(ware, todo)
        a, b = (self._minute(m) for m in ware.released or (None, None))
        soft = softer(self._asked(ware), b, waits[0].lo)
        released = Span(a + soft, max(a + 1, b) + soft)
        until = self._until(ware, todo, [released.a + w.hi for w in waits])
        return Released(ware.id, ware.form, ware.count, released, covered, behind, until)

    def _dry(self, ware: Ware, timings: FormTimings) -> int:
        """Minutes to bone-dry by the form's figures of when it was pressed, and what was learned since."""
        minutes = dry_minutes(self.rows.studio, timings)
        row = next((f for f in self.rows.forms if f.public_id == ware.form), None)
        remarks = self.state.remarks.get(ware.form)
        return dried(minutes, learned_of(row, timings, remarks)) if row is not None and remarks else minutes

    def _until(self, ware: Ware, todo: tuple[Step, ...], latest: list[int]) -> int | None:
        """The person's word, or the next chance if a step of ``todo`` cannot be in time any more."""
        said = self._minute(ware.until) if ware.until is not None else None
        minutes, passed = 0, None
        for step, end in zip(todo, latest, strict=True):
            minutes += step.work.minutes(ware.count)
            if passed is None and (said if said is not None else end) < minutes:
                passed = step
        if passed is None:
            return said
        total = sum(s.work.minutes(ware.count) for s in todo)
        return self._still_good(ware, passed.kind, total, 0, said)

    def _still_good(self, ware: Ware, kind: str, minutes: int, latest: int, said: int | None) -> int | None:
        """``said``, unless the ware's time is over: then it is to be asked about, and is good until the next chance.

        A little past its time it mostly still is; nothing is given up by the clock.
        """
        if latest >= minutes:
            return said
        self.notes.asks.append(ware.id)
        after = max(0, self._minute(ware.ask_at)) if ware.ask_at is not None else 0
        end = day_of_chance(self.people, kind, minutes, after)
        return end if end is not None else said

    def in_kiln(self, ware: Ware) -> InKiln | None:
        firing = self.state.firings.get(ware.firing or "")
        if firing is None or ware.kiln not in self.kilns:
            self.notes.leave_out(ware.id, "no_such_kiln")
            return None
        order = self._order(ware) if firing.stage == "glost" else None
        return InKiln(ware.id, ware.form, ware.count, firing.kiln, firing.stage, self.opens(firing), order)

    def opens(self, firing: FiringState) -> int:
        """When it may be opened; one that is not lit yet is taken to be lit at the first start allowed."""
        row = self._timing(firing)
        known = known_of(row, self.state.firings.values()) if row is not None else None
        fire, cool = (known.fire.used, known.cool.used) if known is not None else USUAL_FIRING[firing.stage]
        told = opens_at(firing, known) if known is not None else None
        if told is not None:
            return self._minute(told[1])
        if firing.lit is not None:
            return self._minute(firing.lit) + fire + cool
        earliest = max(0, self._minute(firing.packed[1]))
        kiln = self.kilns.get(firing.kiln)
        spans = kiln.start_spans if kiln is not None else None
        lit = earliest if spans is None else next((max(s.a, earliest) for s in spans if s.b > earliest), earliest)
        return lit + fire + cool

    def _timing(self, firing: FiringState) -> KilnProgram | None:
        """The program in its kiln, or failing that any other of its stage."""
        rows = self.rows.programs.get(firing.kiln, [])
        same = [r for r in rows if r.program.public_id == firing.program]
        return next(iter([*same, *(r for r in rows if r.program.stage == firing.stage)]), None)

    def bisqued(self, ware: Ware) -> Bisqued:
        return Bisqued(ware.id, ware.form, ware.count, self._minute(ware.at))

    def glazed(self, ware: Ware) -> Glazed | None:
        if ware.glaze not in self.glazes:
            self.notes.leave_out(ware.id, "no_such_glaze")
            return None
        at = self._minute(ware.at) + self.forms[ware.form].glaze_dry
        return Glazed(ware.id, ware.form, ware.count, self._order(ware), ware.glaze, at)

    def fired(self, ware: Ware) -> Fired:
        return Fired(ware.id, ware.form, ware.count, self._order(ware), self._minute(ware.at))
