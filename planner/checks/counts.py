"""R12: nobody takes more than there is."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from planner.checks.violation import Violation
from planner.facts import Facts
from planner.rules import Rule


def _broken(text: str, **things: str) -> Violation:
    return Violation(Rule.R12, text, things)


def conservation(facts: Facts) -> Iterator[Violation]:
    """R12: what is loaded, glazed and finished from a source never exceeds what it holds."""
    yield from _names(facts)
    yield from _counts(facts)
    yield from _loaded(facts)
    yield from _glazed(facts)
    yield from _finished(facts)


def _names(facts: Facts) -> Iterator[Violation]:
    """A source's name means one thing, or it could be counted twice."""
    carried = {m.batch.id for m in facts.batches if m.wip is not None}
    named = Counter(w.id for w in facts.scenario.wip if w.id not in carried)
    for things in (facts.plan.batches, facts.plan.firings, facts.plan.lots):
        named.update(thing.id for thing in things)
    for name, times in named.items():
        if times > 1:
            yield _broken(f"{name}: {times} things have this id", source=name)
    for finish_id, times in Counter(n.id for n in facts.plan.finishes).items():
        if times > 1:
            yield _broken(f"finish {finish_id}: {times} finishes have this id", finish=finish_id)


def _counts(facts: Facts) -> Iterator[Violation]:
    for f in facts.plan.firings:
        for part in f.pieces:
            if part.count < 1:
                yield _broken(f"{f.id}: {part.count} pieces from {part.source}", firing=f.id, source=part.source)
    for lot in facts.plan.lots:
        for part in lot.sources:
            if part.count < 1:
                yield _broken(f"lot {lot.id}: {part.count} pieces from {part.source}", lot=lot.id, source=part.source)
        taken = sum(part.count for part in lot.sources)
        if taken != lot.count or lot.count < 1:
            yield _broken(f"lot {lot.id}: {lot.count} pieces of {taken} taken", lot=lot.id)
    for n in facts.plan.finishes:
        if n.count < 1:
            yield _broken(f"finish {n.id}: {n.count} pieces", finish=n.id)


def _loaded(facts: Facts) -> Iterator[Violation]:
    loaded: Counter[str] = Counter()
    for kilnful in facts.kilnfuls:
        if not kilnful.present:
            for part in kilnful.pieces:
                loaded[part.source] += part.count
    for source, count in loaded.items():
        held = facts.green.get(source) or facts.glazed.get(source)
        if held is not None and count > held.count:
            yield _broken(f"{source}: {count} loaded of {held.count}", source=source)


def _glazed(facts: Facts) -> Iterator[Violation]:
    glazed: Counter[tuple[str, str]] = Counter()
    for lot in facts.plan.lots:
        form = facts.lot_form(lot)
        for part in lot.sources:
            if form is not None and part.source in facts.bisque:
                glazed[part.source, form.id] += part.count
    for (source, form_id), count in glazed.items():
        held = facts.bisque[source].held.get(form_id, 0)
        if count > held:
            yield _broken(f"{source}: {count} {form_id} glazed of {held}", source=source, form=form_id)


def _finished(facts: Facts) -> Iterator[Violation]:
    finished: Counter[tuple[str, str]] = Counter()
    for n in facts.plan.finishes:
        if n.source in facts.fired:
            finished[n.source, n.order] += n.count
    for (source, order_id), count in finished.items():
        held = facts.fired[source].held.get(order_id, 0)
        if count > held:
            text = f"order {order_id}: {count} finished from {source} of {held}"
            yield _broken(text, source=source, order=order_id)
