"""What is told with a promise: earlier days and their price, and what would bring the order sooner."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from planner.checks import check
from planner.costs import reckon
from planner.plan import Plan
from planner.promise.ground import Ground
from planner.promise.records import EarlierDay, Later, Option
from planner.promise.search import Found, Search, end_of_day
from planner.relief.easings import Easing
from planner.relief.words import day_of, length, pieces
from planner.scenario import Order, Scenario


@dataclass
class Eased:
    """An easing with its own search."""

    easing: Easing
    search: Search


def parts_of(finished: tuple[tuple[int, int], ...]) -> tuple[tuple[int, int], ...]:
    """Pieces by the minute they are finished."""
    total: dict[int, int] = {}
    for minute, n in finished:
        total[minute] = total.get(minute, 0) + n
    return tuple(sorted(total.items()))


def earlier_days(ground: Ground, base: Search) -> tuple[EarlierDay, ...]:
    """Days before the promised one, the last first, each with the least set-back that was found for it."""
    assert base.best is not None
    promised = ground.scenario.day(base.best.done)
    rows: list[EarlierDay] = []
    least = None
    for day, found in sorted(base.by_day.items()):
        if day < promised and found.harm and (least is None or found.harm < least):
            least = found.harm
            rows.append(_earlier_day(ground, found))
    return tuple(reversed(rows))


def _earlier_day(ground: Ground, found: Found) -> EarlierDay:
    s = ground.scenario
    reckoned = reckon(s, ground.reference)
    before = {o.id: o.late_min for o in reckoned.orders}
    after = {o.id: o.late_min for o in found.plan.orders}
    later = tuple(Later(x.order, before[x.order], after[x.order], x.pieces, x.minutes) for x in found.setbacks)
    text = f"{day_of(s, found.done)}: {len(later)} order{'s' if len(later) != 1 else ''} later"
    worst = max(later, key=lambda x: x.minutes, default=None)
    if worst is not None:
        name = s.order[worst.order].name or worst.order
        text += f", {name} most of all ({pieces(worst.pieces)} by up to {length(worst.minutes)})"
    cost = found.plan.cost - reckoned.cost
    return EarlierDay(end_of_day(s, found.done), found.done, cost, later, text + ".", found.plan)


def options_of(s: Scenario, order: Order, base: Search, eased: list[Eased]) -> tuple[Option, ...]:
    """What brings the order sooner, the most sooner first; of one thing, no more than it takes."""
    rows = sorted(_options(s, order, base, eased), key=lambda o: (o.done, sum(o.counts.values())))
    kept: list[Option] = []
    for row in rows:
        same = [x for x in kept if x.code == row.code and x.things == row.things]
        if not any(sum(x.counts.values()) <= sum(row.counts.values()) for x in same):
            kept.append(row)
    return tuple(kept)


def _options(s: Scenario, order: Order, base: Search, eased: list[Eased]) -> Iterator[Option]:
    best = base.best
    for x in eased:
        found, e = x.search.best, x.easing
        if found is None or (best is not None and found.done >= best.done) or not _needed(base, found.plan):
            continue
        days, minutes, gain = None, None, ""
        if best is not None:
            days, minutes = s.day(best.done) - s.day(found.done), best.done - found.done
            gain = (f"{days} day{'s' if days != 1 else ''}" if days else length(minutes)) + " sooner, "
        text = f"{e.text[0].upper()}{e.text[1:]}: {gain}{day_of(s, found.done)}."
        asked = replace(order, due=end_of_day(s, found.done))
        scenario = replace(x.search.scenario, orders=(*x.search.scenario.orders, asked))
        when = e.minutes | _poured(e, found.plan)
        yield Option(e.code, e.things, e.counts, when, found.done, minutes, days, text, scenario, found.plan)


def _needed(base: Search, plan: Plan) -> bool:
    """Whether ``plan`` breaks a rule in the studio as it is, so that it does need its easing."""
    return bool(check(base.real_for(plan), plan))


def _poured(easing: Easing, plan: Plan) -> dict[str, int]:
    """When the first mould of the option is poured in its plan."""
    if easing.code != "pour":
        return {}
    task, stem = plan.task, f"{easing.things['form']}+"
    pours = [task[c.pour].start for c in plan.casts if c.pour is not None and c.id.startswith(stem)]
    return {"pour": min(pours)} if pours else {}
