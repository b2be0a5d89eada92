"""One reason for each late order: what its pieces wait for longest, or that it was asked for too soon."""

from __future__ import annotations

from collections.abc import Iterator

from planner.costs import Times, finished_at
from planner.facts import Facts
from planner.plan import Reason
from planner.reasons.waits import Way, last_way, soonest_from_clay
from planner.scenario import Form, Order

UNDER_WAY = ("green", "bisqued", "glazed", "fired")


def late_reasons(facts: Facts) -> Iterator[Reason]:
    """Reasons of the orders that are late in the plan, in the scenario's order."""
    times = {o.id: t for o, t in finished_at(facts)}
    for order in facts.scenario.orders:
        when = times[order.id]
        last = max((t for t, _ in when.finished + when.reckoned), default=0)
        if last > order.due:
            yield _reason(facts, order, when, last)


def _reason(facts: Facts, order: Order, when: Times, last: int) -> Reason:
    form = facts.scenario.form[order.form]
    late = sum(n for t, n in when.finished + when.reckoned if t > order.due)
    code, more, counts, minutes = _cause(facts, order, form, when, late)
    minutes = {"due": order.due, "done": last, "late": last - order.due} | minutes
    text = f"Order {order.id}: {late} of {order.qty} late by up to {last - order.due} min: {more}."
    return Reason(code, {"order": order.id, "form": form.id}, minutes, {"late": late, "of": order.qty} | counts, text)


Cause = tuple[str, str, dict[str, int], dict[str, int]]  # code, words, counts, minutes


def _cause(facts: Facts, order: Order, form: Form, when: Times, late: int) -> Cause:
    open_late = [(t, n) for t, n in when.reckoned if t > order.due]
    way = last_way(facts, order)
    fresh = soonest_from_clay(facts.scenario, order)
    starts_fresh = (bool(open_late) and _of_clay(facts, open_late)) or (way is not None and way.from_clay)
    if starts_fresh and order.due < fresh:
        words = (
            f"pressing, drying and two firings of a {form.name or form.id} take at least {fresh} min, "
            f"it is due at {order.due}"
        )
        return "too_soon", words, {}, {"soonest": fresh}
    if way is not None and not open_late and order.due < way.soonest:
        words = f"what is under way for it cannot be finished before {way.soonest}, it is due at {order.due}"
        return "too_soon", words, {}, {"soonest": way.soonest}
    if open_late:
        return _not_finished(facts, form, open_late)
    return _waited(form, way)


def _of_clay(facts: Facts, open_late: list[tuple[int, int]]) -> bool:
    """Whether some late piece is not even pressed at the end, or only green."""
    s = facts.scenario
    return any(t >= s.horizon + s.to_finish.green for t, _ in open_late)


def _not_finished(facts: Facts, form: Form, open_late: list[tuple[int, int]]) -> Cause:
    s = facts.scenario
    unpressed = sum(n for t, n in open_late if t >= s.horizon + s.to_finish.none)
    under_way = sum(n for _, n in open_late) - unpressed
    if under_way >= unpressed:
        words = f"{under_way} pieces are still under way at the end of the plan"
        return "not_finished", words, {"under_way": under_way} | _by_stage(facts, open_late), {"end": s.horizon}
    code, things = scarce(facts, form)
    words = f"the {things} do not give {unpressed} more pieces in time"
    return code, words, {"not_pressed": unpressed}, {}


def _by_stage(facts: Facts, open_late: list[tuple[int, int]]) -> dict[str, int]:
    """Late pieces under way at the end by the stage they have reached."""
    s = facts.scenario
    stage = {s.horizon + getattr(s.to_finish, name): name for name in UNDER_WAY}
    counts: dict[str, int] = {}
    for t, n in open_late:
        if t in stage:
            counts[stage[t]] = counts.get(stage[t], 0) + n
    return counts


def scarce(facts: Facts, form: Form) -> tuple[str, str]:
    """What keeps more of the form from being pressed: its moulds, the drying boards, or hands."""
    s = facts.scenario
    moulds = [m for m in s.moulds if m.form == form.id]
    cycle = form.release_after.lo + form.mould_rest + 60
    day = max(1440, -(-cycle // 1440) * 1440)
    could = sum(min(m.uses_left, max(1, s.horizon // day)) for m in moulds)
    pressed = sum(m.count for m in facts.batches if m.pressed_here and m.form is not None and m.form.id == form.id)
    name = form.name or form.id
    if not moulds or pressed >= 0.6 * could:
        return "moulds", f"{name} moulds"
    if s.racks.drying and _boards_at_end(facts) >= 0.9 * s.racks.drying:
        return "boards", "ware boards"
    return "hands", "hands there are"


def _boards_at_end(facts: Facts) -> int:
    loaded: dict[str, int] = {}
    for k in facts.kilnfuls:
        for p in k.pieces:
            loaded[p.source] = loaded.get(p.source, 0) + p.count
    boards = 0
    for source, g in facts.green.items():
        left = g.count - loaded.get(source, 0)
        if left > 0 and not g.spoiled:
            boards += -(-left // facts.scenario.form[g.form].boards.green)
    return boards


def _waited(form: Form, way: Way | None) -> Cause:
    waits = {} if way is None else way.waits
    code = max(waits, key=lambda c: waits[c]) if waits else "hands"
    minutes = {"waited": waits[code]} if waits else {}
    words = {
        "kiln": "its last pieces come out of the kiln too late",
        "moulds": f"the {form.name or form.id} moulds are not free and dry early enough",
        "hands": "there are not enough hands in time for its last pieces",
    }[code]
    return code, words, {}, minutes
