"""The studio as a plan grows: who is free when, what stands where, and what has been put into the plan so far."""

from __future__ import annotations

from bisect import bisect_left, bisect_right, insort

from planner.dispatch.calendar import NEVER, Gaps, Rack
from planner.dispatch.facts import Facts
from planner.dispatch.to_come import ToCome
from planner.plan import Batch, CastPlan, Finish, Firing, JobPlan, Lot, Task
from planner.scenario import Bisqued, Drying, Fired, Glazed, InKiln

Slot = tuple[int, int, int | None]  # start, person, station


class Green:
    """Ware that can be bisque fired: a batch or ``drying`` wip. ``loads`` = (minute, pieces) taken to a kiln."""

    __slots__ = ("form", "id", "left", "loads", "per_board", "ready", "since", "total")

    def __init__(self, id: str, form: int, count: int, ready: int, since: int, per_board: int) -> None:
        self.id, self.form, self.ready, self.since, self.per_board = id, form, ready, since, per_board
        self.total = self.left = count
        self.loads: list[tuple[int, int]] = []


class Stock:
    """Bisqued or fired pieces of one source."""

    __slots__ = ("at", "id", "left")

    def __init__(self, id: str, count: int, at: int) -> None:
        self.id, self.left, self.at = id, count, at


class Coated(Green):
    """Glazed pieces of one order: a lot or ``glazed`` wip."""

    __slots__ = ("glaze", "order")

    def __init__(
        self, id: str, form: int, count: int, ready: int, since: int, per_board: int, order: int | None, glaze: str
    ) -> None:
        super().__init__(id, form, count, ready, since, per_board)
        self.order, self.glaze = order, glaze


class Wheel:
    """What is known of a press station: the tool on it and when it was last pressed with."""

    __slots__ = ("day", "last", "tool")

    def __init__(self, tool: str | None) -> None:
        self.tool, self.last = tool, 0
        self.day: int | None = None  # None: mounted, not pressed with yet

    def copy(self) -> Wheel:
        w = Wheel(self.tool)
        w.day, w.last = self.day, self.last
        return w


class Shop:
    """The mutable state of one run."""

    def __init__(self, facts: Facts) -> None:
        s = facts.scenario
        self.facts = facts
        self.to_come = ToCome(facts)
        self.taken_ids = set(facts.used_ids)
        self.given_ids: set[str] = set()  # of tasks
        self.regular = [g.copy() for g in facts.regular]
        self.hours = [g.copy() for g in facts.all_hours]
        self.stations = [g.copy() for g in facts.station_gaps]
        self.wheels = [Wheel(x.mounted) for x in s.stations]
        self.damp, self.drying, self.glazed = Rack(s.racks.damp), Rack(s.racks.drying), Rack(s.racks.glazed)
        self.moulds: list[list[tuple[int, int, str]]] = [[] for _ in s.forms]  # (ready, -uses left, id), sorted
        self.uses = {m.id: m.uses_left for m in s.moulds}
        self.green: list[list[Green]] = [[] for _ in s.forms]
        self.bisqued: list[list[Stock]] = [[] for _ in s.forms]
        self.coated: list[Coated] = []
        self.fired: list[list[Stock]] = [[] for _ in s.orders]
        self.kiln_free: list[int] = [NEVER if k.free_at is None else max(0, k.free_at) for k in s.kilns]
        self.decisions = 0  # firings decided so far
        self.to_finish = [o.qty for o in s.orders]
        self.to_glaze = [o.qty for o in s.orders]
        self.under_way = [0] * len(s.forms)  # green and bisqued pieces of the form, in moulds and kilns too
        self.tasks: list[Task] = []
        self.batches: list[Batch] = []
        self.firings: list[Firing] = []
        self.lots: list[Lot] = []
        self.finishes: list[Finish] = []
        self.casts: list[CastPlan] = []
        self.jobs: list[JobPlan] = []
        self.spoiled: list[str] = []
        self.held: dict[str, list[tuple[int, int]]] = {}  # model or frame -> when casts hold it
        self.numbers = {"t": 0, "b": 0, "f": 0, "l": 0, "n": 0}
        self._stand_ware()
        for m in s.moulds:
            if m.ready is not None:
                self.put_mould(facts.form_at[m.form], m.id, m.ready)

    def _stand_ware(self) -> None:
        """Put the wip that needs nothing done first where it stands (batches are the core's affair)."""
        facts = self.facts
        for w in facts.scenario.wip:
            f = facts.form_at[w.form]
            if isinstance(w, Drying):
                self.add_green(w.id, f, w.count, w.dry_at, 0)
            elif isinstance(w, Bisqued):
                self.bisqued[f].append(Stock(w.id, w.count, w.at))
                self.under_way[f] += w.count
            elif isinstance(w, Glazed):
                order = None if w.order is None else facts.order_at[w.order]
                self.add_coated(w.id, f, w.count, w.at, 0, order, w.glaze)
            elif isinstance(w, Fired) and w.order is not None:
                self.fired[facts.order_at[w.order]].append(Stock(w.id, w.count, w.at))
                self.to_glaze[facts.order_at[w.order]] -= w.count
            elif isinstance(w, InKiln) and w.fired_stage == "bisque":
                self.under_way[f] += w.count
            elif isinstance(w, InKiln) and w.order is not None:
                self.to_glaze[facts.order_at[w.order]] -= w.count

    # ids and tasks

    def new_id(self, letter: str) -> str:
        used = self.taken_ids
        while True:
            self.numbers[letter] += 1
            name = f"{letter}{self.numbers[letter]}"
            if name not in used:
                return name

    def find(self, kind: str, lo: int, minutes: int, last: int, extra: bool = False) -> Slot | None:
        """The earliest (start, person, station) for a task of ``kind`` that starts in ``[lo, last]``."""
        facts = self.facts
        calendars = self.hours if extra else self.regular
        places = facts.stations_of[kind]
        best: Slot | None = None
        last = min(last, facts.horizon - minutes)
        for p in facts.people_of[kind]:
            gaps = calendars[p]
            if places is None:
                s = gaps.find(lo, minutes, last)
                if s >= 0:
                    best, last = (s, p, None), s - 1
            else:
                for x in places:
                    s = meet(gaps, self.stations[x], lo, minutes, last)
                    if s >= 0:
                        best, last = (s, p, x), s - 1
            if last < lo:
                break
        return best

    def book(self, kind: str, slot: Slot, minutes: int, task_id: str | None = None) -> Task:
        """Put a task into the plan at ``slot``."""
        start, person, station = slot
        end = start + minutes
        s = self.facts.scenario
        self.regular[person].cut(start, end)
        self.hours[person].cut(start, end)
        if station is not None:
            self.stations[station].cut(start, end)
        name = None if station is None else s.stations[station].id
        if task_id is None or task_id in self.given_ids:
            task_id = self.new_id("t")
        self.given_ids.add(task_id)
        task = Task(task_id, kind, start, end, s.people[person].id, name)
        self.tasks.append(task)
        return task

    # moulds

    def put_mould(self, form: int, mould: str, ready: int) -> None:
        if self.uses[mould] > 0:
            insort(self.moulds[form], (ready, -self.uses[mould], mould))

    def ready_moulds(self, form: int, minute: int) -> int:
        return bisect_right(self.moulds[form], (minute, 1, ""))

    def spare_moulds(self, form: int, minute: int) -> int:
        """Moulds ready at ``minute`` that nothing to come will miss."""
        return self.to_come.spare_moulds(form, minute, self.moulds[form], self.ready_moulds(form, minute))

    def take_moulds(self, form: int, minute: int, count: int, like: tuple[str, ...] = ()) -> list[str]:
        """Take ``count`` ready moulds out of the line: those in ``like``, then those with most uses left."""
        line = self.moulds[form]
        ready = line[: self.ready_moulds(form, minute)]
        if like:
            wanted = frozenset(like)
            ready.sort(key=lambda m: (m[2] not in wanted, m[1], m[0]))
            chosen = ready[:count]
        else:
            chosen = sorted(ready, key=_by_uses)[:count]
        for m in chosen:
            del line[bisect_left(line, m)]
            self.uses[m[2]] -= 1
        return [m[2] for m in chosen]

    # ware

    def add_green(self, id: str, form: int, count: int, ready: int, since: int) -> None:
        """Ware on the drying rack from ``since`` on, dry at ``ready``."""
        g = Green(id, form, count, ready, since, self.facts.forms[form].boards.green)
        self.drying.add(-(-count // g.per_board), since)
        self.green[form].append(g)
        self.under_way[form] += count

    def add_coated(
        self, id: str, form: int, count: int, ready: int, since: int, order: int | None, glaze: str
    ) -> None:
        c = Coated(id, form, count, ready, since, self.facts.forms[form].boards.glazed, order, glaze)
        self.glazed.add(-(-count // c.per_board), since)
        self.coated.append(c)
        if order is not None:
            self.to_glaze[order] -= count

    def spare(self, ware: Green) -> int:
        """Pieces of ``ware`` that no firing to come will miss."""
        return ware.left - self.to_come.loads[ware.id] if self.to_come.loads else ware.left

    def take(self, ware: Green, minute: int, count: int, rack: Rack) -> None:
        """Take ``count`` pieces off their boards into a kiln at ``minute``."""
        for sign in (-1, 1):
            if sign > 0:
                insort(ware.loads, (minute, count))
            left, since = ware.total, ware.since
            for at, n in ware.loads:
                rack.add(sign * -(-left // ware.per_board), since, at)
                left, since = left - n, at
            rack.add(sign * -(-left // ware.per_board), since)
        ware.left -= count


def meet(person: Gaps, station: Gaps, lo: int, minutes: int, last: int) -> int:
    """The earliest start in ``[lo, last]`` that suits both, or -1."""
    while True:
        s = person.find(lo, minutes, last)
        if s < 0:
            return -1
        t = station.find(s, minutes, last)
        if t < 0:
            return -1
        if t == s:
            return s
        lo = t


def id_of(task: Task | None) -> str | None:
    """The id of a task that there may not be."""
    return None if task is None else task.id


def _by_uses(mould: tuple[int, int, str]) -> tuple[int, int]:
    return mould[1], mould[0]
