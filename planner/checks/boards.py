"""R05: ware boards on the damp, drying and glazed racks."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import NamedTuple

from planner.checks.violation import Violation
from planner.facts import Facts, Made
from planner.rules import Rule
from planner.scenario import Drying, Glazed, Released

RACKS = ("damp", "drying", "glazed")


class Level(NamedTuple):
    """Boards on a rack from ``minute`` on, and the most that may be there."""

    minute: int
    boards: int
    most: int


class Leave(NamedTuple):
    """Pieces that go into a kiln, at the start of its load task."""

    minute: int
    pieces: int
    firing: str


@dataclass(frozen=True, slots=True)
class Stand:
    """One batch or lot as it takes boards: where it stands from when, and what leaves it when."""

    thing: str
    per_board: int
    pieces: int
    places: tuple[tuple[int, str], ...]  # (from minute, rack), in order; minute -1: it stands there at 0
    leaves: tuple[Leave, ...]


def boards(facts: Facts) -> Iterator[Violation]:
    """R05: no rack holds more than it has room for; one that is over-full at 0 only comes down."""
    for rack, found in rack_levels(facts).items():
        over = None
        for level in found:
            if level.boards > level.most:
                # one line for each time the rack gets over-full, at its worst
                over = level if over is None or level.boards > over.boards else over
            elif over is not None:
                yield _over(rack, over)
                over = None
        if over is not None:
            yield _over(rack, over)


def _over(rack: str, level: Level) -> Violation:
    return Violation(Rule.R05, f"rack {rack}: {level.boards} boards of {level.most} at {level.minute}", {"rack": rack})


def rack_levels(facts: Facts) -> dict[str, list[Level]]:
    """The boards on each rack, minute by minute of change."""
    changes = changes_by_rack(stands(facts))
    return {rack: levels(getattr(facts.scenario.racks, rack), changes[rack]) for rack in RACKS}


def changes_by_rack(standing: Iterable[Stand]) -> dict[str, dict[int, int]]:
    """Boards that come (or go, below 0) by rack and minute; minute -1 holds what stands there at 0."""
    changes: dict[str, dict[int, int]] = {rack: defaultdict(int) for rack in RACKS}
    for stand in standing:
        for minute, rack, by in moves(stand):
            changes[rack][minute] += by
    return changes


def levels(size: int, changes: Mapping[int, int]) -> list[Level]:
    """A rack of ``size`` boards over time. While it is over-full from the start it may only come down."""
    held = changes.get(-1, 0)
    most = max(size, held)
    found = []
    for minute, by in sorted(changes.items()):
        if minute >= 0:
            held += by
            found.append(Level(minute, held, most))
            most = max(size, min(most, held))
    return found


def moves(stand: Stand) -> Iterator[tuple[int, str, int]]:
    """The changes ``(minute, rack, boards)`` that one thing makes."""
    minutes = sorted({m for m, _ in stand.places} | {x.minute for x in stand.leaves})
    rack, held = None, 0
    for minute in minutes:
        here = [place for since, place in stand.places if since <= minute]
        left = stand.pieces - sum(x.pieces for x in stand.leaves if x.minute <= minute)
        now_rack, now = (here[-1] if here else None), -(-max(left, 0) // stand.per_board)
        if now_rack == rack:
            if rack is not None and now != held:
                yield minute, rack, now - held
        else:
            if rack is not None:
                yield minute, rack, -held
            if now_rack is not None:
                yield minute, now_rack, now
        rack, held = now_rack, now


def stands(facts: Facts) -> Iterator[Stand]:
    """Everything that takes boards in this plan."""
    leaves = leaving(facts)
    for made in facts.made.values():
        stand = green_stand(made, tuple(leaves[made.batch.id]))
        if stand is not None:
            yield stand
    for lot in facts.plan.lots:
        form, task = facts.lot_form(lot), facts.find(lot.glaze, "glaze")
        if form is not None and task is not None:
            places = ((max(task.end, 0), "glazed"),)
            yield Stand(lot.id, form.boards.glazed, lot.count, places, tuple(leaves[lot.id]))
    for w in facts.scenario.wip:
        form = facts.scenario.form.get(w.form)
        if form is not None and isinstance(w, Drying | Glazed):
            rack, per_board = ("drying", form.boards.green) if isinstance(w, Drying) else ("glazed", form.boards.glazed)
            yield Stand(w.id, per_board, w.count, ((-1, rack),), tuple(leaves[w.id]))


def leaving(facts: Facts) -> dict[str, list[Leave]]:
    """What leaves each source for a kiln."""
    leaves: dict[str, list[Leave]] = defaultdict(list)
    for kilnful in facts.kilnfuls:
        if kilnful.load is not None:
            for part in kilnful.pieces:
                leaves[part.source].append(Leave(max(kilnful.load.start, 0), part.count, kilnful.firing.id))
    return leaves


def green_stand(made: Made, leaves: tuple[Leave, ...]) -> Stand | None:
    """A batch from its release on; ``None`` if it takes no boards or is never taken out."""
    if made.spoiled or made.form is None or made.taken_out is None:
        return None
    since = -1 if isinstance(made.wip, Released) else max(made.taken_out.a, 0)
    covered = made.wip.covered if isinstance(made.wip, Released) else made.batch.covered
    places: tuple[tuple[int, str], ...] = ((since, "damp" if covered and made.todo else "drying"),)
    if covered and made.todo and made.leather_end is not None:
        places += ((max(made.leather_end, since), "drying"),)
    return Stand(made.batch.id, made.form.boards.green, made.count, places, leaves)
