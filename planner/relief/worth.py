"""What is scarce in a studio's weeks, and what each relief would be worth: measured by planning again.

1. The studio as it is gets the same number of tries as every easing, from the same plan, with the same chances.
2. Each better plan for the studio as it is goes to every easing too: an easing never looks worse than nothing.
3. A plan found with an easing that turns out valid without it goes to the studio as it is: luck is not sold as relief.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field

from planner.facts import Facts
from planner.plan import Plan
from planner.relief import easings
from planner.relief.chains import chain_of
from planner.relief.easings import Easing
from planner.relief.effort import Effort, Measure
from planner.relief.words import DAY, length, pieces
from planner.scenario import Person, Scenario

ROUND = 8  # tries each in a round
DAYS = 2  # of each person's fullest days are offered an hour or an evening

OnProgress = Callable[[tuple["Relief", ...]], None]
ShouldStop = Callable[[], bool]


@dataclass(frozen=True)
class Relief:
    """What one easing is worth against the studio as it is, both after ``tries`` tries.

    ``cost`` saved in the scenario's own weights; ``piece_minutes``: late minutes saved, summed over pieces;
    ``rescued``: orders late without and in time with it; ``kwh`` saved (below 0: more is fired); ``finished``: more
    pieces finished.
    """

    code: str
    things: dict[str, str]
    counts: dict[str, int]
    minutes: dict[str, int]
    cost: int
    piece_minutes: int
    rescued: tuple[str, ...]
    kwh: int
    finished: int
    tries: int
    text: str
    scenario: Scenario = field(repr=False)
    plan: Plan = field(repr=False)

    @property
    def piece_days(self) -> float:
        """Late piece-days saved."""
        return self.piece_minutes / DAY


def relief(
    scenario: Scenario,
    plan: Plan,
    *,
    seconds: float = 30,
    seed: int = 0,
    on_progress: OnProgress | None = None,
    should_stop: ShouldStop | None = None,
) -> tuple[Relief, ...]:
    """What each easing is worth, the most cost saved first; those worth nothing stand last.

    ``plan`` is a valid plan of ``scenario`` from which all searches start. ``on_progress`` gets the list after every
    round in which all had the same number of tries. Made for the background: one process, ``seconds`` long.
    """
    end = time.monotonic() + seconds
    base = Effort(scenario, plan, seed)
    base.offer(plan)
    tried = [(e, Effort(e.apply(scenario), plan, seed)) for e in plan_easings(scenario, plan)]
    found: tuple[Relief, ...] = ()

    def stopped() -> bool:
        return should_stop is not None and should_stop()

    while time.monotonic() < end and not stopped():
        base.run(ROUND)
        for _, effort in tried:
            if base.best is not None:
                effort.offer(base.best)
                effort.hint = base.best
            effort.run(ROUND)
            if effort.best is not None:
                base.offer(effort.best)
            if stopped() or (found and time.monotonic() >= end):
                return found  # somebody waits: not even the first round is brought to its end
        found = _ranked(base, tried)
        if on_progress is not None:
            on_progress(found)
    return found


def plan_easings(s: Scenario, plan: Plan) -> list[Easing]:
    """Everything that could ease the weeks of ``plan``."""
    found = [easings.owned_mould(s, f) for f in s.forms if any(o.form == f.id for o in s.orders)]
    found += [easings.boards(rack) for rack in ("damp", "drying", "glazed")]
    found += list(easings.kiln_easings(s, _kiln_wait(s, plan)))
    for p in s.people:
        found += list(_hours(s, plan, p))
    return [*found, *easings.morning_easings(s)]


def _kiln_wait(s: Scenario, plan: Plan) -> int:
    """The first minute at which a late order's last pieces wait for a kiln; 0 if none does."""
    facts = Facts(s, plan)
    late = {o.id for o in plan.orders if o.late_min > 0}
    waits = [x.start for o in s.orders if o.id in late for x in chain_of(facts, o) if x.code == "kiln"]
    return min(waits, default=0)


def _hours(s: Scenario, plan: Plan, p: Person) -> Iterator[Easing]:
    """An hour more on the person's fullest days, and the evening of the fullest."""
    work: dict[int, int] = {}
    for t in plan.tasks:
        if t.person == p.id:
            work[s.day(t.start)] = work.get(s.day(t.start), 0) + t.end - t.start
    fullest = sorted(easings.working_days(s, p), key=lambda d: (-work.get(d, 0), d))[:DAYS]
    yield from (e for d in fullest if (e := easings.hour_easing(s, p, d)) is not None)
    yield from (e for d in fullest[:1] if (e := easings.evening_easing(s, p, d)) is not None)


def _ranked(base: Effort, tried: list[tuple[Easing, Effort]]) -> tuple[Relief, ...]:
    if base.best is None:
        return ()
    before = Measure.of(base.scenario, base.best)
    rows = [_row(before, e, effort) for e, effort in tried if effort.best is not None]
    return tuple(sorted(rows, key=lambda r: (-r.cost, -r.piece_minutes)))


def _row(before: Measure, e: Easing, effort: Effort) -> Relief:
    assert effort.best is not None
    after = Measure.of(effort.scenario, effort.best)
    saved = max(0, before.cost - after.cost)
    if not saved:
        after = before
    rescued = tuple(sorted(before.late_orders - after.late_orders))
    minutes, kwh = before.late_piece_minutes - after.late_piece_minutes, before.kwh - after.kwh
    more = after.finished - before.finished
    text = f"{e.text[0].upper()}{e.text[1:]}: {_gain(saved, minutes, rescued, kwh, more)}."
    return Relief(e.code, e.things, e.counts, e.minutes, saved, minutes, rescued, kwh, more, effort.tries, text,
                  effort.scenario, effort.best)  # fmt: skip


def _gain(saved: int, minutes: int, rescued: tuple[str, ...], kwh: int, more: int) -> str:
    if not saved:
        return "gains nothing"
    parts = []
    if rescued:
        parts.append(f"{len(rescued)} order{'s' if len(rescued) > 1 else ''} in time")
    if minutes >= DAY // 2:
        parts.append(f"{round(minutes / DAY)} late piece-days less")
    elif minutes > 0:
        parts.append(f"{length(minutes)} less late, summed over the pieces")
    if more > 0:
        parts.append(f"{pieces(more)} more finished")
    if kwh:
        parts.append(f"{abs(kwh)} kWh {'less' if kwh > 0 else 'more'}")
    return ", ".join(parts) or "a little cheaper"
