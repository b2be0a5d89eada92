"""The way of an order's last pieces from the mould to the box: every stretch of time, and what it was spent on.

Codes of stretches in which nothing could be done faster: ``work``, ``setting`` (in the mould), ``leather`` (until the
clay may be worked), ``drying``, ``firing`` (with cooling), ``glaze_drying``, ``under_way`` (begun before). Codes of
waits, which relief can shorten: ``moulds`` (none dry), ``boards`` (no room on the rack), ``kiln`` (another load is in
it), ``load`` (the kiln stands ready, but is not packed yet: a fuller load, or its hours of lighting), ``hands``
(somebody is busy with other things), ``closed`` (nobody is there).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cached_property

from planner.checks.boards import Level, rack_levels
from planner.dispatch.calendar import Gaps
from planner.facts import Facts, Kilnful, Made
from planner.plan import Finish, Task
from planner.scenario import Form, Order

WAITS = ("moulds", "boards", "kiln", "load", "hands", "closed")


@dataclass(frozen=True)
class Link:
    """The minutes ``[start, end)`` of the way, what they were spent on, for which task, and with which thing."""

    code: str
    start: int
    end: int
    kind: str
    things: dict[str, str] = field(default_factory=dict)

    @property
    def minutes(self) -> int:
        return self.end - self.start


def chain_of(facts: Facts, order: Order) -> tuple[Link, ...]:
    """The links of the pieces of ``order`` that are finished last, in time; empty if none is finished."""
    last = _last_finish(facts, order)
    if last is None:
        return ()
    links = sorted((x for x in _Way(facts, order).back(*last) if x.minutes > 0), key=lambda x: (x.start, x.end))
    if links and links[0].start > 0:  # it comes from a task that is being done now
        links.insert(0, Link("under_way", 0, links[0].start, links[0].kind))
    return tuple(links)


def waits_of(chain: tuple[Link, ...]) -> dict[str, int]:
    """Minutes by what the pieces waited for, the longest first."""
    total: dict[str, int] = {}
    for link in chain:
        if link.code in WAITS:
            total[link.code] = total.get(link.code, 0) + link.minutes
    return dict(sorted(total.items(), key=lambda x: -x[1]))


def unavoidable(chain: tuple[Link, ...]) -> int:
    """Minutes of the way that are no waiting: work, setting, drying, firing."""
    return sum(x.minutes for x in chain if x.code not in WAITS)


def _last_finish(facts: Facts, order: Order) -> tuple[Task, Finish] | None:
    found = [(task, n) for n in facts.plan.finishes if n.order == order.id and (task := facts.find(n.task, "finish"))]
    return max(found, key=lambda x: (x[0].end, x[1].id), default=None)


class _Way:
    """Follows one order's last pieces back through a plan."""

    def __init__(self, facts: Facts, order: Order) -> None:
        self._facts, self._order = facts, order
        self._form: Form = facts.scenario.form[order.form]
        self._duty: dict[str, Gaps] = {}

    def back(self, task: Task, finish: Finish) -> Iterator[Link]:
        yield _work(task)
        source = self._facts.fired.get(finish.source)
        at = source.at if source is not None and source.at is not None else 0
        yield from self._hands(at, task)
        kilnful = self._facts.kilnful.get(finish.source)
        if kilnful is not None:
            yield from self._kilnful(kilnful, "glost")

    def _kilnful(self, kilnful: Kilnful, stage: str) -> Iterator[Link]:
        kiln = {"kiln": kilnful.firing.kiln}
        if kilnful.unload is None:
            return
        yield _work(kilnful.unload, kiln)
        if kilnful.present or kilnful.load is None:
            opens = self._facts.opens(kilnful.firing.kiln) if kilnful.present else 0
            yield Link("firing", 0, max(0, opens), stage, kiln)
            yield from self._hands(opens, kilnful.unload)
            return
        fire, program = kilnful.firing.fire, kilnful.program
        opens = (fire or 0) + (program.fire + program.cool if program else 0)
        yield from self._hands(opens, kilnful.unload)
        yield Link("load", kilnful.load.end, fire or 0, "fire", kiln)
        yield Link("firing", fire or 0, opens, stage, kiln)
        yield _work(kilnful.load, kiln)
        ready, source = self._latest(kilnful, stage)
        yield from self._for_kiln(max(0, ready), kilnful, kilnful.load)
        if source is not None:
            yield from self._lot(source) if stage == "glost" else self._batch(source)

    def _latest(self, kilnful: Kilnful, stage: str) -> tuple[int, str | None]:
        """The order's pieces in the load that were ready last."""
        ready: int = 0
        source = None
        for p in kilnful.pieces:
            glost, green = self._facts.glazed.get(p.source), self._facts.green.get(p.source)
            ours = glost is not None and glost.order == self._order.id if stage == "glost" else p.form == self._form.id
            at = glost.ready if glost is not None else green.ready if green is not None else None
            if ours and at is not None and (source is None or at > ready):
                ready, source = at, p.source
        return ready, source

    def _lot(self, lot_id: str) -> Iterator[Link]:
        lot = self._facts.lots.get(lot_id)
        task = self._facts.find(lot.glaze, "glaze") if lot is not None else None
        if lot is None or task is None:
            return
        yield Link("glaze_drying", task.end, task.end + self._form.glaze_dry, "glaze")
        yield _work(task)
        found = [(self._facts.bisque.get(p.source), p.source) for p in lot.sources]
        sources = [(w.at, source) for w, source in found if w is not None and w.at is not None]
        at, source = max(sources, default=(0, ""))
        yield from self._hands(at, task)
        kilnful = self._facts.kilnful.get(source)
        if kilnful is not None:
            yield from self._kilnful(kilnful, "bisque")

    def _batch(self, batch_id: str) -> Iterator[Link]:
        made = self._facts.made.get(batch_id)
        if made is None:
            green = self._facts.green.get(batch_id)
            yield Link("drying", 0, max(0, (green.ready or 0) if green else 0), "dry", {"batch": batch_id})
            return
        thing = {"batch": batch_id}
        end = made.leather_end or 0
        yield Link("drying", max(0, end), end + self._form.dry, "dry", thing)
        yield from self._leather(made, thing)
        if made.release is not None:
            yield _work(made.release, thing)
            yield from self._setting(made, made.release, thing)
        if made.press is not None:
            yield _work(made.press, thing)
            yield from self._for_moulds(made, made.press)

    def _leather(self, made: Made, thing: dict[str, str]) -> Iterator[Link]:
        out = made.taken_out
        if out is None:
            return
        before = out.b
        for step, task in zip(made.todo, made.steps, strict=False):
            if task is None:
                return
            window = step.after_covered if made.batch.covered and step.after_covered else step.after
            may = max(before, out.b + window.lo)
            yield Link("leather", max(0, before), may, step.kind, thing)
            yield from self._hands(may, task)
            yield _work(task, thing)
            before = task.end

    def _setting(self, made: Made, release: Task, thing: dict[str, str]) -> Iterator[Link]:
        window = self._form.release_after_covered if made.batch.covered_in_mould else self._form.release_after
        pressed = made.pressed_end or 0
        may = pressed + (window.lo if window else 0)
        yield Link("setting", max(0, pressed), max(0, may), "release", thing)
        yield from self._hands(may, release)

    # what was waited for

    def _for_moulds(self, made: Made, press: Task) -> Iterator[Link]:
        ready = max([0, *(self._free(m, press.start) for m in made.batch.moulds)])
        things = {"form": self._form.id, "batch": made.batch.id}
        yield Link("moulds", 0, ready, "press", things)
        full = self._no_board(made, ready, press)
        rack = "damp" if made.batch.covered else "drying"
        yield Link("boards", ready, full, "press", {"rack": rack} | things)
        yield from self._hands(max(ready, full), press)

    def _free(self, mould: str, before: int) -> int:
        free = self._facts.mould_ready(mould) or 0
        for other in self._facts.batches:
            if mould in other.batch.moulds and other.taken_out is not None and other.taken_out.b <= before:
                free = max(free, other.taken_out.b + (other.form.mould_rest if other.form else 0))
        return free

    def _no_board(self, made: Made, start: int, press: Task) -> int:
        """The minute up to which the batch, pressed earlier, would have come out to a rack without room for it."""
        if made.release is None:
            return start
        need, shift = -(-made.count // self._form.boards.green), made.release.start - press.start
        size, levels = self._racks["damp" if made.batch.covered else "drying"]
        ends = [level.minute for level in levels[1:]] + [self._facts.scenario.horizon]
        full = start
        for level, until in zip(levels, ends, strict=False):
            if level.minute < made.release.start and until > start + shift and level.boards + need > size:
                full = max(full, min(until, made.release.start) - shift)
        return full

    @cached_property
    def _racks(self) -> dict[str, tuple[int, list[Level]]]:
        found = rack_levels(self._facts)
        return {rack: (getattr(self._facts.scenario.racks, rack), levels) for rack, levels in found.items()}

    def _for_kiln(self, ready: int, kilnful: Kilnful, load: Task) -> Iterator[Link]:
        """The wait for a load: while another is in the kiln, and then while nobody packs it."""
        at = ready
        busy = sorted(
            (k.load.start if k.load else 0, k.unload.end, k.firing.id)
            for k in self._facts.kilnfuls
            if k.firing.kiln == kilnful.firing.kiln and k.unload is not None and k.firing.id != kilnful.firing.id
        )
        for a, b, firing in busy:
            if b <= at or a >= load.start:
                continue
            if a > at:
                yield from self._idle(at, a, kilnful.firing.kiln, load)
            yield Link("kiln", max(a, at), min(b, load.start), "load", {"kiln": kilnful.firing.kiln, "firing": firing})
            at = min(b, load.start)
        yield from self._idle(at, load.start, kilnful.firing.kiln, load)

    def _idle(self, start: int, end: int, kiln: str, task: Task) -> Iterator[Link]:
        for a, b, there in self._there(start, end, task.kind):
            yield Link("load" if there else "closed", a, b, task.kind, {"kiln": kiln})

    def _hands(self, ready: int, task: Task) -> Iterator[Link]:
        for a, b, there in self._there(max(0, ready), task.start, task.kind):
            yield Link("hands" if there else "closed", a, b, task.kind)

    def _there(self, start: int, end: int, kind: str) -> Iterator[tuple[int, int, bool]]:
        """``[start, end)`` cut where somebody who does ``kind`` comes or goes."""
        duty = self._duty.get(kind)
        if duty is None:
            s = self._facts.scenario
            spans = [span for p in s.people if p.can(kind) for span in p.hours]
            duty = self._duty[kind] = Gaps.joined(spans, s.horizon)
        at = start
        for a, b in zip(duty.a, duty.b, strict=True):
            a, b = max(a, start), min(b, end)
            if a < b:
                if at < a:
                    yield at, a, False
                yield a, b, True
                at = b
        if at < end:
            yield at, end, False


def _work(task: Task, things: dict[str, str] | None = None) -> Link:
    return Link("work", task.start, task.end, task.kind, {"person": task.person} | (things or {}))
