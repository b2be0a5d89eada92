"""R05: ware boards on the damp, drying and glazed racks."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
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


class Stand(NamedTuple):
    """One batch or lot as it takes boards: where it stands from when, and how many pieces leave at which minute."""

    thing: str
    per_board: int
    pieces: int
    places: tuple[tuple[int, str], ...]  # (from minute, rack), in order; minute -1: it stands there at 0
    leaves: tuple[tuple[int, int], ...]  # (minute, pieces)


def boards(facts: Facts) -> Iterator[Violation]:
    """R05: no rack holds more than it has room for; one that is over-full at 0 only comes down."""
    for rack, levels in rack_levels(facts).items():
        over = None
        for level in levels:
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
    at_start: dict[str, int] = dict.fromkeys(RACKS, 0)
    changes: dict[str, dict[int, int]] = {rack: defaultdict(int) for rack in RACKS}
    for stand in stands(facts):
        for minute, rack, by in moves(stand):
            if minute < 0:
                at_start[rack] += by
            else:
                changes[rack][minute] += by
    size = facts.scenario.racks
    return {rack: _levels(getattr(size, rack), at_start[rack], sorted(changes[rack].items())) for rack in RACKS}


def _levels(size: int, standing: int, changes: list[tuple[int, int]]) -> list[Level]:
    levels = []
    most = max(size, standing)
    for minute, by in changes:
        standing += by
        levels.append(Level(minute, standing, most))
        most = max(size, min(most, standing))
    return levels


def moves(stand: Stand) -> Iterator[tuple[int, str, int]]:
    """The changes ``(minute, rack, boards)`` that one thing makes."""
    minutes = sorted({m for m, _ in stand.places} | {m for m, _ in stand.leaves})
    rack, held = None, 0
    for minute in minutes:
        here = [place for since, place in stand.places if since <= minute]
        left = stand.pieces - sum(n for m, n in stand.leaves if m <= minute)
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


def leaving(facts: Facts) -> dict[str, list[tuple[int, int]]]:
    """When how many pieces of each source are loaded: at the start of the load task."""
    leaves: dict[str, list[tuple[int, int]]] = defaultdict(list)
    for kilnful in facts.kilnfuls:
        if kilnful.load is not None:
            for part in kilnful.pieces:
                leaves[part.source].append((max(kilnful.load.start, 0), part.count))
    return leaves


def green_stand(made: Made, leaves: tuple[tuple[int, int], ...]) -> Stand | None:
    """A batch from its release on; ``None`` if it takes no boards or is never taken out."""
    if made.spoiled or made.form is None or made.taken_out is None:
        return None
    since = -1 if isinstance(made.wip, Released) else max(made.taken_out.a, 0)
    covered = made.wip.covered if isinstance(made.wip, Released) else made.batch.covered
    places: tuple[tuple[int, str], ...] = ((since, "damp" if covered and made.todo else "drying"),)
    if covered and made.todo and made.leather_end is not None:
        places += ((max(made.leather_end, since), "drying"),)
    return Stand(made.batch.id, made.form.boards.green, made.count, places, leaves)
