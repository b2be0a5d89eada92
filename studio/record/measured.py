"""What the record shows of how long work takes and how much is lost: pure, from facts that count.

A task is told when it is over, with the minutes it was planned for; what it truly took is the time since the same
person's task before it, where the two were told one by one and as they ended. A list ticked in one go, a task told
hours later, and the first task of a day measure nothing. Nor does a time that is far from the planned one, since the
record cannot tell slow work from a pause: a studio that is slower than that corrects the times of its forms. A time
that somebody corrected is taken at their word.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from studio.record.facts import Fact
from studio.record.followed import Passed
from studio.record.following import follow
from studio.record.form import check_form
from studio.record.settle import settle

# The fact that ends a task, and the planner's name of that task; a step has its own.
TIMED = {"pressed": "press", "taken_out": "release", "step_done": "", "packed": "load", "drawn": "unload",
         "glazed": "glaze", "sorted": "finish", "poured": "pour", "lifted": "lift"}  # fmt: skip
PROMPT = 5  # minutes from the end of a task to its being told
NEAR = (0.5, 1.5)  # of the planned minutes: beyond, something else was done in between, or the telling was late
STATED = (1 / 3, 3.0)  # of times that somebody corrected
LEAST_MINUTES = 5  # what is planned for less is not told to the minute


@dataclass(frozen=True)
class Measured:
    """``factors``: by kind of task, minutes taken over minutes planned. ``losses``: by form and stage, what went on and
    what was lost. ``since``: the first minute of the record that counted, None if nothing did."""

    factors: dict[str, list[float]] = field(default_factory=dict)
    losses: dict[tuple[str, str], list[Passed]] = field(default_factory=dict)
    since: int | None = None


def measured(facts: Iterable[Fact]) -> Measured:
    """What ``facts`` (in any order; undone and corrected ones among them) show."""
    told = {f.id: f for f in facts}
    counted = counting(told.values())
    factors, first = _factors(counted, told)
    followed = follow(counted)
    begun = [m for m in (first, followed.first) if m is not None]
    return Measured(factors, followed.losses, min(begun) if begun else None)


def counting(facts: Iterable[Fact]) -> list[Fact]:
    """Those of ``facts`` that count, as they count now, in the order of folding."""
    return _once(x.fact for x in settle(facts) if not check_form(x.fact.kind, x.fact.data))


def _once(facts: Iterable[Fact]) -> list[Fact]:
    """Without what was told twice of one planned task: only the first has an effect."""
    seen: set[tuple[str, str]] = set()
    found = []
    for fact in facts:
        if fact.task and fact.kind in TIMED:
            if (fact.kind, fact.task) in seen:
                continue
            seen.add((fact.kind, fact.task))
        found.append(fact)
    return found


def _factors(facts: list[Fact], told: Mapping[str, Fact]) -> tuple[dict[str, list[float]], int | None]:
    found: dict[str, list[float]] = defaultdict(list)
    first: int | None = None
    at_once: dict[tuple[str | None, int], int] = defaultdict(int)
    timed = [f for f in facts if f.kind in TIMED]
    for fact in timed:
        at_once[fact.by, fact.arrived] += 1
    before: dict[str, int] = {}  # by person, the end of the task before, if it is known to the minute
    for fact in timed:
        prompt = at_once[fact.by, fact.arrived] == 1 and 0 <= fact.arrived - fact.happened <= PROMPT
        factor = _factor(fact, told[fact.id], before.get(fact.by or "") if prompt else None)
        if factor is not None:
            found[TIMED[fact.kind] or fact.data["step"]].append(factor)
            first = fact.happened if first is None else first
        if fact.by is not None:
            before.pop(fact.by, None)
            if prompt:
                before[fact.by] = fact.data["ended"]
    return dict(found), first


def _factor(fact: Fact, told: Fact, before: int | None) -> float | None:
    """Taken over planned, or None where the record does not show it."""
    span, usual = fact.data, told.data
    planned = usual["ended"] - usual["started"]
    if planned < LEAST_MINUTES:
        return None
    if (span["started"], span["ended"]) != (usual["started"], usual["ended"]):
        taken, (low, high) = span["ended"] - span["started"], STATED
    elif before is not None:
        taken, (low, high) = span["ended"] - before, NEAR
    else:
        return None
    factor = taken / planned
    return factor if low <= factor <= high else None
