"""The way of an order's last pieces through the plan, and what they waited for."""

from __future__ import annotations

from dataclasses import dataclass, field

from planner.facts import Facts, Kilnful, Made
from planner.plan import Finish, Task
from planner.scenario import Form, Order, Scenario


@dataclass
class Way:
    """``waits``: minutes by "kiln", "moulds", "hands". ``from_clay``: pressed by this plan. ``soonest``: the first
    minute at which the same pieces could have been finished with nothing in their way."""

    waits: dict[str, int] = field(default_factory=dict)
    from_clay: bool = False
    soonest: int = 0

    def wait(self, code: str, minutes: int) -> None:
        if minutes > 0:
            self.waits[code] = self.waits.get(code, 0) + minutes


def last_way(facts: Facts, order: Order) -> Way | None:
    """The way of the pieces finished last, followed back to where they come from; None if none is finished."""
    last: tuple[Task, Finish] | None = None
    for n in facts.plan.finishes:
        task = facts.find(n.task, "finish")
        if n.order == order.id and task is not None and (last is None or task.end > last[0].end):
            last = task, n
    if last is None:
        return None
    way = Way()
    task, finish = last
    form = facts.scenario.form[order.form]
    source = facts.fired.get(finish.source)
    at = source.at if source is not None and source.at is not None else 0
    way.wait("hands", task.start - max(0, at))
    kilnful = facts.kilnful.get(finish.source)
    soonest = _glost(facts, way, order, form, kilnful) if kilnful is not None else at
    way.soonest = soonest + form.finish.minutes(1)
    return way


def _glost(facts: Facts, way: Way, order: Order, form: Form, kilnful: Kilnful) -> int:
    """Follow the order's pieces through a glost firing; the soonest minute they could be out."""
    if kilnful.present or kilnful.load is None:
        opens = facts.opens(kilnful.firing.kiln) if kilnful.present else 0
        way.wait("hands", (kilnful.out or opens) - opens)
        return opens
    ready, soonest = 0, 0
    for p in kilnful.pieces:
        ware = facts.glazed.get(p.source)
        if ware is not None and ware.order == order.id and ware.ready is not None and ware.ready >= ready:
            ready, soonest = ware.ready, _lot(facts, way, p.source, form, ware.ready)
    way.wait("kiln", kilnful.load.start - max(0, ready))
    return soonest + firing_minutes(facts.scenario, form, "glost")


def _lot(facts: Facts, way: Way, lot_id: str, form: Form, ready: int) -> int:
    lot = facts.plan.lot.get(lot_id)
    task = facts.find(lot.glaze, "glaze") if lot is not None else None
    if lot is None or task is None:
        return max(0, ready)
    at, soonest = 0, 0
    for part in lot.sources:
        ware = facts.bisque.get(part.source)
        if ware is None or ware.at is None or ware.at < at:
            continue
        at = ware.at
        kilnful = facts.kilnful.get(part.source)
        soonest = at if kilnful is None else _bisque(facts, way, form, kilnful)
    way.wait("hands", task.start - max(0, at))
    return soonest + (task.end - task.start) + form.glaze_dry


def _bisque(facts: Facts, way: Way, form: Form, kilnful: Kilnful) -> int:
    if kilnful.present or kilnful.load is None:
        return facts.opens(kilnful.firing.kiln) if kilnful.present else 0
    last: tuple[int, str] | None = None
    for p in kilnful.pieces:
        green = facts.green.get(p.source)
        if green is not None and green.form == form.id and green.ready is not None:
            last = max(last or (green.ready, p.source), (green.ready, p.source))
    if last is None:
        return 0
    way.wait("kiln", kilnful.load.start - max(0, last[0]))
    made = facts.made.get(last[1])
    soonest = max(0, last[0])
    if made is not None and made.pressed_here and made.press is not None:
        way.from_clay = True
        _press(facts, way, made, made.press)
        soonest = max(0, _first_mould(facts, form)) + clay_minutes(form)
    return soonest + firing_minutes(facts.scenario, form, "bisque")


def _press(facts: Facts, way: Way, made: Made, press: Task) -> None:
    """How long the batch waited for its moulds, and for hands after that."""
    ready = 0
    for mould in made.batch.moulds:
        free = facts.mould_ready(mould) or 0
        for other in facts.batches:
            if mould in other.batch.moulds and other.taken_out is not None and other.taken_out.b <= press.start:
                free = max(free, other.taken_out.b + (other.form.mould_rest if other.form else 0))
        ready = max(ready, free)
    way.wait("moulds", ready)
    way.wait("hands", press.start - max(0, ready))


def _first_mould(facts: Facts, form: Form) -> int:
    return min((m.ready for m in facts.scenario.moulds if m.form == form.id and m.ready is not None), default=0)


def clay_minutes(form: Form) -> int:
    """From the first ball to bone-dry, at the least."""
    wait = form.release_after.lo
    if form.release_after_covered is not None:
        wait = min(wait, form.release_after_covered.lo)
    waits = [min(w.lo for w in (s.after, s.after_covered) if w is not None) for s in form.steps]
    leather = 0
    for step, lo in zip(form.steps, waits, strict=True):
        leather = max(leather, lo) + step.work.minutes(1)
    return form.press.minutes(1) + wait + form.release.minutes(1) + leather + form.dry


def firing_minutes(scenario: Scenario, form: Form, stage: str) -> int:
    """Packing, firing, cooling and drawing in the quickest kiln that takes the form; 0 if there is none."""
    per_shelf = form.shelving(stage).per_shelf
    return min(
        (k.load + p.fire + p.cool + k.unload for k in scenario.kilns if k.id in per_shelf for p in k.programs
         if p.stage == stage),
        default=0,
    )


def soonest_from_clay(scenario: Scenario, order: Order) -> int:
    """The first minute at which a piece of the order not pressed yet could be finished, hands and kilns standing by."""
    form = scenario.form[order.form]
    first = min((m.ready for m in scenario.moulds if m.form == form.id and m.ready is not None), default=0)
    glaze = scenario.glaze[order.glaze].fixed + form.glaze.minutes(1) + form.glaze_dry
    firings = firing_minutes(scenario, form, "bisque") + firing_minutes(scenario, form, "glost")
    return max(0, first) + clay_minutes(form) + firings + glaze + form.finish.minutes(1)
