"""R11: pouring and lifting working moulds."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator
from typing import NamedTuple

from planner.checks.violation import Violation
from planner.facts import Facts
from planner.plan import CastPlan
from planner.rules import Rule
from planner.scenario import Cast


def _broken(text: str, **things: str) -> Violation:
    return Violation(Rule.R11, text, things)


def cast(facts: Facts) -> Iterator[Violation]:
    """R11: lifted inside its window, one mould at a time in a model or frame, and what must be poured is poured."""
    for cast_id, times in Counter(c.id for c in facts.plan.casts).items():
        if times > 1:
            yield _broken(f"cast {cast_id}: in the plan {times} times", cast=cast_id)
    for listed in facts.plan.casts:
        known = facts.scenario.cast.get(listed.id)
        if known is None:
            yield _broken(f"cast {listed.id}: there is no such cast", cast=listed.id)
        else:
            yield from _one(facts, listed, known)
    yield from _missing(facts)
    yield from _held(facts)


def _one(facts: Facts, listed: CastPlan, known: Cast) -> Iterator[Violation]:
    if known.poured is None and listed.pour is None:
        yield _broken(f"cast {known.id}: lifted but not poured", cast=known.id)
    if known.poured is not None and listed.pour is not None:
        yield _broken(f"cast {known.id}: poured before, and poured again", cast=known.id)
    pour, lift = facts.find(listed.pour, "pour"), facts.find(listed.lift, "lift")
    poured = known.poured if known.poured is not None else pour.end if pour else None
    if lift is None or poured is None:
        return
    early, late = poured + known.lift_after.lo - lift.start, lift.start - poured - known.lift_after.hi
    if early > 0:
        yield _broken(f"cast {known.id}: lifted outside its window, {early} min too early", cast=known.id)
    if late > 0:
        yield _broken(f"cast {known.id}: lifted outside its window, {late} min too late", cast=known.id)


def _missing(facts: Facts) -> Iterator[Violation]:
    listed = {c.id for c in facts.plan.casts}
    for known in facts.scenario.casts:
        if known.id in listed:
            if known.poured is not None and known.id in facts.spoiled:
                yield _broken(f"cast {known.id}: given up, and lifted", cast=known.id)
        elif known.required and (known.poured is None or known.id not in facts.spoiled):
            yield _broken(f"required cast {known.id} missing", cast=known.id)
        elif known.poured is not None and known.id not in facts.spoiled:
            yield _broken(f"poured cast {known.id} missing", cast=known.id)


class Hold(NamedTuple):
    """A cast as it occupies its model and frame, from pour start (or 0) to lift end."""

    start: int
    end: int
    cast: str


def holds(facts: Facts) -> dict[str, list[Hold]]:
    """The casts that occupy each model or frame, in order."""
    found: dict[str, list[Hold]] = defaultdict(list)
    for listed in {c.id: c for c in reversed(facts.plan.casts)}.values():
        known, pour = facts.scenario.cast.get(listed.id), facts.find(listed.pour, "pour")
        lift = facts.find(listed.lift, "lift")
        if known is None or lift is None or (pour is None and known.poured is None):
            continue
        start = pour.start if pour and known.poured is None else 0
        for held in set(known.holds):
            found[held].append(Hold(start, lift.end, known.id))
    for group in found.values():
        group.sort()
    return found


def _held(facts: Facts) -> Iterator[Violation]:
    for held, group in holds(facts).items():
        last: Hold | None = None
        for hold in group:
            if last is not None and hold.start < last.end:
                text = f"{held}: {last.cast} and {hold.cast} at once"
                yield _broken(text, held=held, cast=hold.cast, other=last.cast)
            if last is None or hold.end > last.end:
                last = hold
