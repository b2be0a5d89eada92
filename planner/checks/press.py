"""R02: pressing, set-ups and the moulds that are pressed in."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from planner.checks.violation import Violation
from planner.facts import Facts, Made
from planner.rules import Rule


def _broken(text: str, **things: str) -> Violation:
    return Violation(Rule.R02, text, things)


def press(facts: Facts) -> Iterator[Violation]:
    """R02: the right moulds, dry and with uses left, and a press task as long as set-up and work together."""
    for made in facts.batches:
        if not made.pressed_here:
            continue
        yield from _moulds(facts, made)
        yield from _duration(facts, made)
    yield from _uses(facts)


def _moulds(facts: Facts, made: Made) -> Iterator[Violation]:
    batch = made.batch
    if made.form is None:
        yield _broken(f"batch {batch.id}: there is no form {batch.form}", batch=batch.id, form=batch.form)
    if batch.count < 1:
        yield _broken(f"batch {batch.id}: {batch.count} pieces", batch=batch.id)
    if len(set(batch.moulds)) != len(batch.moulds):
        yield _broken(f"batch {batch.id}: names a mould twice", batch=batch.id)
    if len(batch.moulds) != batch.count:
        text = f"batch {batch.id}: {batch.count} pieces in {len(batch.moulds)} moulds"
        yield _broken(text, batch=batch.id)
    for mould_id in dict.fromkeys(batch.moulds):
        yield from _mould(facts, made, mould_id)


def _mould(facts: Facts, made: Made, mould_id: str) -> Iterator[Violation]:
    batch, things = made.batch, {"batch": made.batch.id, "mould": mould_id}
    owned = facts.scenario.mould.get(mould_id) or facts.scenario.cast.get(mould_id)
    if owned is None:
        yield _broken(f"batch {batch.id}: there is no mould {mould_id}", **things)
        return
    if owned.form != batch.form:
        yield _broken(f"batch {batch.id}: mould {mould_id} is of another form", **things)
    if mould_id not in facts.scenario.mould and mould_id not in facts.lifted:
        yield _broken(f"batch {batch.id}: mould {mould_id} is not poured and lifted", **things)
        return
    ready = facts.mould_ready(mould_id)
    if made.press is not None and ready is not None and made.press.start < ready:
        early = ready - made.press.start
        yield _broken(f"batch {batch.id}: pressed {early} min before mould {mould_id} is ready", **things)


def _duration(facts: Facts, made: Made) -> Iterator[Violation]:
    if made.press is None or made.form is None:
        return
    says = facts.set_ups[made.press.id].minutes + made.form.press.minutes(made.count)
    lasts = made.press.end - made.press.start
    if lasts != says:
        text = f"batch {made.batch.id}: press lasts {lasts} min, its work says {says}"
        yield _broken(text, batch=made.batch.id, task=made.press.id)


def _uses(facts: Facts) -> Iterator[Violation]:
    pressed = Counter(m for made in facts.batches if made.pressed_here for m in set(made.batch.moulds))
    for mould_id, times in pressed.items():
        mould, cast = facts.scenario.mould.get(mould_id), facts.scenario.cast.get(mould_id)
        uses = mould.uses_left if mould else cast.uses if cast else times
        if times > uses:
            yield _broken(f"mould {mould_id}: pressed {times} times, {uses} uses left", mould=mould_id)
