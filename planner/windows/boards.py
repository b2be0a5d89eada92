"""Windows from ware boards (R05): how far a task may move before a rack is over-full."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import partial

from planner.checks.boards import RACKS, Stand, changes_by_rack, levels, stands
from planner.facts import Facts
from planner.plan import Task
from planner.windows.bounds import Bounds

Move = Callable[[Stand, int], Stand]


def narrow_by_boards(bounds: Bounds) -> None:
    """Narrow the tasks that fill or empty a rack."""
    racks = RackRoom(bounds.facts)
    for task, offset, affected, move in _movers(bounds.facts, racks):
        if racks.always_room(affected):
            continue
        fits = partial(racks.fit, affected, move)
        earliest, latest = bounds.window(task)
        effect, last = task.start + offset, latest - (task.end - task.start) + offset
        bounds.starts_from(task, racks.reach(effect, earliest + offset, fits) - offset)
        bounds.starts_by(task, racks.reach(effect, last, fits) - offset)


class RackRoom:
    """The racks of a plan, for trying what happens if something comes or goes at another minute."""

    def __init__(self, facts: Facts) -> None:
        standing = list(stands(facts))
        self.stand = {s.thing: s for s in reversed(standing)}
        self._size = {rack: getattr(facts.scenario.racks, rack) for rack in RACKS}
        self._changes = changes_by_rack(standing)
        self._peak = {rack: self._peak_of(rack) for rack in RACKS}
        # between two of these minutes it makes no difference when something else comes or goes
        self._minutes = sorted({m for s in standing for m in [p[0] for p in s.places] + [x.minute for x in s.leaves]})

    def _peak_of(self, rack: str) -> int:
        found = levels(self._size[rack], self._changes[rack])
        return max([self._changes[rack].get(-1, 0), *(level.boards for level in found)])

    def always_room(self, affected: list[Stand]) -> bool:
        """Whether no rack can get over-full, wherever all of ``affected`` stands."""
        boards = sum(-(-s.pieces // s.per_board) for s in affected)
        return all(self._peak[rack] + boards <= self._size[rack] for rack in RACKS)

    def fit(self, affected: list[Stand], move: Move, minute: int) -> bool:
        """Whether all racks are right if ``affected`` changes at ``minute``."""
        before = changes_by_rack(affected)
        after = changes_by_rack(move(stand, minute) for stand in affected)
        for rack in RACKS:
            if not before[rack] and not after[rack]:
                continue
            changes = dict(self._changes[rack])
            for m, by in before[rack].items():
                changes[m] = changes.get(m, 0) - by
            for m, by in after[rack].items():
                changes[m] = changes.get(m, 0) + by
            if any(level.boards > level.most for level in levels(self._size[rack], changes)):
                return False
        return True

    def reach(self, start: int, limit: int, fits: Callable[[int], bool]) -> int:
        """The farthest minute from ``start`` towards ``limit`` up to which everything fits."""
        way = 1 if limit > start else -1
        reached = start
        while reached != limit:
            stop = self._next(reached, way)
            if stop is None or (limit - stop) * way <= 0:
                stop = limit
            if stop != reached + way:
                if not fits(reached + way):
                    break
                reached = stop - way
            if not fits(stop):
                break
            reached = stop
        return reached

    def _next(self, minute: int, way: int) -> int | None:
        """The next minute of change in that direction."""
        i = bisect_right(self._minutes, minute) if way > 0 else bisect_left(self._minutes, minute) - 1
        return self._minutes[i] if 0 <= i < len(self._minutes) else None


def _movers(facts: Facts, racks: RackRoom) -> Iterator[tuple[Task, int, list[Stand], Move]]:
    """Tasks that change a rack: how many minutes after their start, which stands, and how these change."""
    for made in facts.made.values():
        stand = racks.stand.get(made.batch.id)
        if stand is None:
            continue
        if made.release is not None:
            yield made.release, 0, [stand], _arrive
        last = made.steps[-1] if len(stand.places) > 1 else None
        if last is not None:
            yield last, last.end - last.start, [stand], _uncover
    for lot in facts.lots.values():
        glaze, stand = facts.find(lot.glaze, "glaze"), racks.stand.get(lot.id)
        if glaze is not None and stand is not None:
            yield glaze, glaze.end - glaze.start, [stand], _arrive
    for kilnful in facts.kilnful.values():
        if kilnful.load is not None:
            sources = dict.fromkeys(p.source for p in kilnful.pieces)
            found = [racks.stand[s] for s in sources if s in racks.stand]
            yield kilnful.load, 0, found, partial(_leave, kilnful.firing.id)


def _arrive(stand: Stand, minute: int) -> Stand:
    return replace(stand, places=((minute, stand.places[0][1]), *stand.places[1:]))


def _uncover(stand: Stand, minute: int) -> Stand:
    return replace(stand, places=(stand.places[0], (minute, stand.places[1][1])))


def _leave(firing_id: str, stand: Stand, minute: int) -> Stand:
    leaves = tuple(x._replace(minute=minute) if x.firing == firing_id else x for x in stand.leaves)
    return replace(stand, leaves=leaves)
