"""One reason for everything a plan gives up."""

from __future__ import annotations

from collections.abc import Iterator

from planner.facts import Facts
from planner.plan import Reason
from planner.scenario import Cast, InMould, Released, Scenario, Span


def spoiled_reasons(facts: Facts) -> Iterator[Reason]:
    """Reasons of the plan's ``spoiled``, in its order."""
    s = facts.scenario
    for thing in facts.plan.spoiled:
        w = s.ware.get(thing)
        if isinstance(w, InMould):
            yield _in_mould(s, w)
        elif isinstance(w, Released):
            yield _leather_hard(s, w)
        elif thing in s.cast:
            yield _cast(s, s.cast[thing])


def _in_mould(s: Scenario, w: InMould) -> Reason:
    form = s.form[w.form]
    window = form.release_after_covered if w.covered else form.release_after
    until = w.until if w.until is not None else w.first + (window.hi if window else 0)
    lo = max(0, w.pressed.b + (window.lo if window else 0))
    text = f"Batch {w.id}: {w.count} pieces of {form.name or form.id} must be out of the mould by minute {until}, "
    text += _nobody(s, "release", lo, until, form.release.minutes(w.count), " and its leather-hard work done in time.")
    return Reason("spoiled_in_mould", {"batch": w.id, "form": form.id}, {"until": until}, {"pieces": w.count}, text)


def _leather_hard(s: Scenario, w: Released) -> Reason:
    form = s.form[w.form]
    steps = form.steps[w.steps_done :]
    windows = [x.after_covered if w.covered else x.after for x in steps]
    until = w.until if w.until is not None else min((w.released.a + x.hi for x in windows if x), default=0)
    work = sum(x.work.minutes(w.count) for x in steps)
    kind = steps[0].kind if steps else "step"
    text = f"Batch {w.id}: the leather-hard work on {w.count} pieces of {form.name or form.id} ends at minute {until}, "
    text += _nobody(s, kind, 0, until, work, " or no ware board is free for them.")
    return Reason("spoiled_leather_hard", {"batch": w.id, "form": form.id}, {"until": until}, {"pieces": w.count}, text)


def _cast(s: Scenario, cast: Cast) -> Reason:
    poured = cast.poured or 0
    lo, hi = max(0, poured + cast.lift_after.lo), poured + cast.lift_after.hi
    text = f"Mould {cast.id}, poured at {poured}, must be lifted between minute {lo} and minute {hi}, "
    text += _nobody(s, "lift", lo, hi + cast.lift, cast.lift, ".")
    return Reason("spoiled_cast", {"cast": cast.id, "form": cast.form}, {"from": lo, "until": hi}, {"pieces": 1}, text)


def _nobody(s: Scenario, kind: str, lo: int, hi: int, minutes: int, otherwise: str) -> str:
    """Whether nobody is there at all in ``[lo, hi)``, or the ones who are do not suffice."""
    able = [p for p in s.people if p.can(kind)]
    if not able:
        return f"and nobody has the skill for {kind}."
    if hi - lo < minutes or not any(_inside(x, lo, hi, minutes) for p in able for x in (*p.hours, *p.extra)):
        return f"and nobody is there for {minutes} min before."
    end = otherwise if otherwise != "." else "."
    return f"and with everything else that cannot wait it could not be placed{end}"


def _inside(span: Span, lo: int, hi: int, minutes: int) -> bool:
    return min(span.b, hi) - max(span.a, lo) >= minutes
