"""Taking a batch out of its moulds and doing its leather-hard work: found as one whole, then booked as one whole."""

from __future__ import annotations

from dataclasses import dataclass

from planner.dispatch.calendar import NEVER
from planner.dispatch.kept import at_same
from planner.dispatch.shop import Shop, Slot
from planner.plan import Task
from planner.scenario import Form


@dataclass(slots=True)
class Chain:
    """Where a batch's release and steps would stand. ``release`` is None for ware already taken out."""

    release: Slot | None
    steps: list[Slot]
    covered: bool
    out_from: int  # release start
    out_to: int  # release end
    end: int  # last step's end, or release end
    extra: bool


@dataclass(slots=True)
class Ask:
    """What is asked of a chain: ``steps_from`` = the first step to do; ``until`` replaces the form's latest times."""

    form: Form
    count: int
    out_lo: int
    out_end: int  # the release must have ended by then
    covered: bool
    steps_from: int = 0
    until: int | None = None
    extra: bool = False


def find_chain(shop: Shop, ask: Ask) -> Chain | None:
    """The earliest release from which every step can be done in its window, boards looked at too."""
    minutes = ask.form.release.minutes(ask.count)
    lo = ask.out_lo
    for _ in range(4):
        slot = shop.find("release", lo, minutes, ask.out_end - minutes, ask.extra)
        if slot is None:
            return None
        steps, again = find_steps(shop, ask, slot[0], slot[0] + minutes)
        if steps is not None:
            end = _end(ask, steps, slot[0] + minutes)
            if boards_fit(shop, ask, slot[0], end):
                return Chain(slot, steps, ask.covered, slot[0], slot[0] + minutes, end, ask.extra)
            again = slot[0] + 240
        if again <= slot[0]:
            return None
        lo = again
    return None


def find_steps(shop: Shop, ask: Ask, out_from: int, out_to: int) -> tuple[list[Slot] | None, int]:
    """The slots of the steps after a release over ``[out_from, out_to)``.

    On failure None and the earliest release start that could help (0: none).
    """
    slots: list[Slot] = []
    before = out_to
    for step in ask.form.steps[ask.steps_from :]:
        window = step.after_covered if ask.covered else step.after
        if window is None:
            return None, 0
        minutes = step.work.minutes(ask.count)
        lo = max(before, out_to + window.lo)
        latest = (out_from + window.hi if ask.until is None else ask.until) - minutes
        slot = shop.find(step.kind, lo, minutes, latest, ask.extra)
        if slot is None:
            if ask.until is not None:
                return None, 0
            later = shop.find(step.kind, lo, minutes, NEVER, ask.extra)
            return None, 0 if later is None else later[0] + minutes - window.hi
        slots.append(slot)
        before = slot[0] + minutes
    return slots, 0


def chain_as_before(shop: Shop, ask: Ask, release: Task | None, steps: list[Task | None]) -> Chain | None:
    """The chain at the minutes it had in the plan before; steps that no longer fit are found anew. None if the
    release has no place there."""
    minutes = ask.form.release.minutes(ask.count)
    slot = at_same(shop, release, minutes, ask.out_lo, ask.out_end)
    if slot is None:
        return None
    out_to = slot[0] + minutes
    slots = steps_as_before(shop, ask, slot[0], out_to, steps)
    if slots is None:
        slots = find_steps(shop, ask, slot[0], out_to)[0]
    if slots is None:
        return None
    end = _end(ask, slots, out_to)
    if not boards_fit(shop, ask, slot[0], end):
        return None
    return Chain(slot, slots, ask.covered, slot[0], out_to, end, ask.extra)


def steps_as_before(
    shop: Shop, ask: Ask, out_from: int, out_to: int, tasks: list[Task | None]
) -> list[Slot] | None:
    """All steps at the minutes they had before, or None where one of them cannot stay."""
    slots: list[Slot] = []
    before = out_to
    for step, task in zip(ask.form.steps[ask.steps_from :], tasks, strict=True):
        window = step.after_covered if ask.covered else step.after
        if window is None:
            return None
        minutes = step.work.minutes(ask.count)
        latest = out_from + window.hi if ask.until is None else ask.until
        slot = at_same(shop, task, minutes, max(before, out_to + window.lo), latest)
        if slot is None:
            return None
        slots.append(slot)
        before = slot[0] + minutes
    return slots


def boards_fit(shop: Shop, ask: Ask, start: int, end: int) -> bool:
    """Whether the batch's boards find room: covered on the damp rack until ``end``, then drying; else drying."""
    boards = -(-ask.count // ask.form.boards.green)
    if not ask.covered:
        return shop.drying.room(start) >= boards
    return shop.drying.room(end) >= boards and (end <= start or shop.damp.room(start, end) >= boards)


def book_chain(
    shop: Shop, ask: Ask, chain: Chain, ids: tuple[str | None, ...] = ()
) -> tuple[Task | None, list[Task]]:
    """Book the release and steps of ``chain``; ``ids`` are task ids to keep, release first."""
    names = list(ids) + [None] * (1 + len(chain.steps) - len(ids))
    release = None
    if chain.release is not None:
        release = shop.book("release", chain.release, ask.form.release.minutes(ask.count), names[0])
    steps = [
        shop.book(step.kind, slot, step.work.minutes(ask.count), name)
        for step, slot, name in zip(ask.form.steps[ask.steps_from :], chain.steps, names[1:], strict=False)
    ]
    return release, steps


def stand(shop: Shop, batch: str, form: int, ask: Ask, chain: Chain) -> None:
    """Put the batch on its boards and among the ware that will be dry."""
    since = chain.out_from
    if ask.covered:
        shop.damp.add(-(-ask.count // ask.form.boards.green), since, chain.end)
        since = chain.end
    shop.add_green(batch, form, ask.count, chain.end + ask.form.dry, since)


def _end(ask: Ask, slots: list[Slot], out_to: int) -> int:
    if not slots:
        return out_to
    return slots[-1][0] + ask.form.steps[-1].work.minutes(ask.count)
