"""Which few things to free at a time."""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Iterable, Set
from dataclasses import dataclass
from typing import Any

from planner.model.polish.freed import Freed
from planner.plan import Batch, Firing, Plan
from planner.scenario import Scenario, Span

DAY = 1440
HALF = 60  # minutes beside a task that count as its place
MOST = 26  # things freed at once when only times may change, at scale 1
MOST_OPEN = 20  # when contents may change too
WAYS = ("days", "kilns", "order", "form", "scattered", "finishing", "stretch")
BACK, MEND = "back", "mend"  # ways more where there is a plan before
WHOLE = 45  # a plan of no more things may be freed as a whole


@dataclass(frozen=True)
class Thing:
    """One thing of the plan with the minutes of its tasks."""

    sort: str  # the field of Freed that it goes to
    id: str
    start: int
    end: int


class Picker:
    """The things of one plan and ways to pick a neighbourhood among them."""

    def __init__(self, scenario: Scenario, plan: Plan, chance: random.Random) -> None:
        self.s, self.plan, self.chance = scenario, plan, chance
        self.things = list(_things(plan))
        self.loads = sorted((f for f in plan.firings if f.load), key=lambda f: plan.task[f.load or ""].start)
        self._of = {t.id: t for t in self.things}
        self._lots_in = {f.id: {p.source for p in f.pieces} for f in plan.firings}
        self._scale = 1.0

    def pick(self, way: str, scale: float = 1.0) -> Freed | None:
        """A neighbourhood of the kind ``way`` (one of ``WAYS``), at random; ``scale`` times as large as usual."""
        self._scale = scale
        made: Freed | None = getattr(self, way)()
        return made

    def _number(self, usual: int) -> int:
        return max(1, round(usual * self._scale))

    # --- ways ----------------------------------------------------------------------------------------------------

    def days(self) -> Freed | None:
        """All work of one to three days, contents as they are."""
        span = self.chance.choice((1, 1, 2, 3)) * DAY
        at = self._moment() - span // 2
        inside = [t for t in self.things if t.start < at + span and t.end > at and t.end - t.start < 3 * DAY]
        inside.sort(key=lambda t: abs((t.start + t.end) // 2 - at - span // 2))
        return self._freed(inside[: self._number(MOST)], "days", slack=(DAY // 2, DAY))

    def stretch(self) -> Freed | None:
        """Everything in some days with its contents; a small plan as a whole."""
        span = self._number(3) * DAY
        at = max(0, self._moment() - span // 3)
        inside = [t for t in self.things if t.start < at + span and t.end > at]
        if len(self.things) <= WHOLE and self._scale >= 1:
            inside = self.things
        orders = self._owing()
        lots = tuple(self.chance.sample(orders, min(len(orders), self._number(2))))
        inside.sort(key=lambda t: abs((t.start + t.end) // 2 - at - span // 2))
        most = max(WHOLE, self._number(MOST_OPEN))
        return self._freed(inside[:most], "stretch", contents=True, new_lots=lots, new_firings=self._perhaps_firing())

    def scattered(self) -> Freed | None:
        """Things from anywhere in a few days, contents as they are."""
        at = self._moment()
        near = [t for t in self.things if abs(t.start - at) < 3 * DAY and t.end - t.start < 4 * DAY]
        return self._freed(self.chance.sample(near, min(self._number(MOST), len(near))), "scattered", slack=(DAY, DAY))

    def finishing(self) -> Freed | None:
        """Sorting, packing and glazing in a stretch of time."""
        at = self._moment()
        near = [t for t in self.things if t.sort in ("finishes", "lots") and abs(t.start - at) < 3 * DAY]
        near.sort(key=lambda t: abs(t.start - at))
        return self._freed(near[: self._number(MOST)], "finishing", slack=(2 * DAY, 2 * DAY))

    def kilns(self) -> Freed | None:
        """Two or three firings one after another with the lots and finishes around them; one may come or go."""
        if not self.loads:
            return None
        first = self.chance.randrange(len(self.loads))
        number = self._number(self.chance.choice((1, 2, 2, 3)))
        chosen = self.loads[first : first + number]
        picked = self._around(chosen)
        orders = self._orders_near(chosen)
        lots = (self.chance.choice(orders),) if orders and self.chance.random() < 0.5 else ()
        return self._open(picked, "kilns", new_lots=lots, new_firings=self._perhaps_firing())

    def order(self) -> Freed | None:
        """One order: its lots and finishes, and the firings they are in."""
        if not self.s.orders:
            return None
        late = [o.id for o in self.plan.orders if o.late_min > 0]
        order = self.chance.choice(late if late and self.chance.random() < 0.7 else [o.id for o in self.s.orders])
        lots = {x.id for x in self.plan.lots if x.order == order}
        wares = lots | {w.id for w in self.s.wip if getattr(w, "order", None) == order}
        glost = [f for f in self.loads if self._lots_in[f.id] & wares]
        bisque = {p.source for x in self.plan.lots if x.order == order for p in x.sources}
        fired = [f for f in self.loads if f.id in bisque]
        chosen = [*fired[: self._number(2)], *glost[: self._number(2)]]
        ids = {f.id for f in chosen}
        picked = [self._of[f.id] for f in chosen]
        picked += [self._of[x] for x in lots]
        picked += [t for t in self.things if t.sort == "finishes" and self._finish_source(t.id) in ids]
        form = self.s.order[order].form
        batches = [b for f in fired for p in f.pieces if (b := self.plan.batch.get(p.source)) and b.form == form]
        picked += [self._of[b.id] for b in batches[: self._number(4)]]
        new = (form,) if self.chance.random() < 0.5 else ()
        return self._open(picked, "order", new_lots=(order,), new_batches=new)

    def mend(self) -> Freed | None:
        """What an order waits for: its lots, some firings in a row that might take its pieces, what goes with them."""
        costs = {o.id: o.late_min * self.s.order[o.id].weight for o in self.plan.orders if o.late_min > 0}
        if not costs or not self.loads:
            return None
        order = self.chance.choices(list(costs), list(costs.values()))[0]
        form = self.s.order[order].form
        first = self.chance.randrange(len(self.loads))
        chosen = self.loads[first : first + self._number(self.chance.choice((1, 2, 2, 3)))]
        sources = {p.source for f in chosen for p in f.pieces}
        picked = self._around(chosen, {x.id for x in self.plan.lots if x.order == order})
        batches = [b for b in self.plan.batches if b.id in sources and b.form == form and b.id in self._of]
        picked += [self._of[b.id] for b in batches[: self._number(4)]]
        same = [o.id for o in self.s.orders if o.form == form and o.id != order]
        lots = (order, *self.chance.sample(same, min(len(same), 1)))
        new = (form,) if self.chance.random() < 0.5 else ()
        most = max(WHOLE, self._number(MOST_OPEN))
        return self._freed(
            picked[:most], MEND, contents=True, new_lots=lots, new_batches=new, new_firings=self._perhaps_firing()
        )

    def form(self) -> Freed | None:
        """Batches of a form over some days, with the bisque firings that they go into."""
        made = [b for b in self.plan.batches if b.press is not None]
        forms = sorted({b.form for b in made} | {o.form for o in self.s.orders})
        if not forms:
            return None
        form = self.chance.choice(forms)
        at = self._moment()
        own = sorted((b for b in made if b.form == form), key=lambda b: abs(self._of[b.id].start - at))
        own = own[: self._number(5)]
        ids = {b.id for b in own}
        firings = [f for f in self.loads if self._lots_in[f.id] & ids][: self._number(3)]
        if not firings:
            later = [f for f in self.loads if self._is_bisque(f) and self._of[f.id].start > at + DAY]
            firings = later[:1]
        picked = [self._of[b.id] for b in own] + [self._of[f.id] for f in firings]
        if self.chance.random() < 0.5:
            drawn = {f.id for f in firings}
            picked += [t for t in self.things if t.sort == "lots" and self._drawn(t.id) & drawn][: self._number(4)]
        return self._open(picked, "form", new_batches=(form,), slack=(DAY, DAY))

    def back(self) -> Freed | None:
        """What stands at another minute than in the plan before, with whatever is in its old place."""
        previous = self.s.previous
        before = {} if previous is None else {t.id: t for t in previous.tasks if t.start >= 0}
        went = [t for t in self.plan.tasks if t.id in before and before[t.id].start != t.start]
        if not went:
            return None
        first = self.chance.choice(went)
        went.sort(key=lambda t: abs(t.start - first.start))
        places = []
        for t in went[: self._number(4)]:
            old = before[t.id]
            places += [(t.start, t.end), (old.start, old.end)]
        inside = [t for t in self.things if any(t.start < b + HALF and t.end > a - HALF for a, b in places)]
        inside.sort(key=lambda t: min(abs((t.start + t.end - a - b) // 2) for a, b in places))
        return self._freed(inside[: self._number(MOST)], BACK, slack=(DAY, DAY))

    # --- help ----------------------------------------------------------------------------------------------------

    def _moment(self) -> int:
        """A minute at which something is done."""
        return self.chance.choice(self.things).start if self.things else 0

    def _perhaps_firing(self) -> tuple[tuple[str, str], ...]:
        """Now and then a slot for one firing more."""
        if not self.s.kilns or self.chance.random() >= 0.3:
            return ()
        return ((self.chance.choice(self.s.kilns).id, self.chance.choice(("bisque", "glost"))),)

    def _owing(self) -> list[str]:
        """Orders that have pieces not glazed yet."""
        glazed = Counter(dict.fromkeys((o.id for o in self.s.orders), 0))
        for x in self.plan.lots:
            glazed[x.order] += x.count
        return [o.id for o in self.s.orders if glazed[o.id] < o.qty]

    def _around(self, firings: list[Firing], lots: Set[str] = frozenset()) -> list[Thing]:
        """``firings`` with what is sorted out of them, and ``lots`` with those that go in or are drawn from them."""
        ids = {f.id for f in firings}
        lots = lots | {p.source for f in firings for p in f.pieces}
        picked = [self._of[f.id] for f in firings]
        picked += [t for t in self.things if t.sort == "lots" and (t.id in lots or self._drawn(t.id) & ids)]
        return picked + [t for t in self.things if t.sort == "finishes" and self._finish_source(t.id) in ids]

    def _drawn(self, lot: str) -> set[str]:
        return {p.source for p in self.plan.lot[lot].sources}

    def _finish_source(self, finish: str) -> str:
        return next(x.source for x in self.plan.finishes if x.id == finish)

    def _is_bisque(self, firing: Firing) -> bool:
        program = self.s.kiln[firing.kiln].program(firing.program or "")
        return program is not None and program.stage == "bisque"

    def _orders_near(self, firings: Iterable[Firing]) -> list[str]:
        """Orders of the forms that bisque firings hold."""
        sources = {p.source for f in firings if self._is_bisque(f) for p in f.pieces}
        forms = {b.form for b in self.plan.batches if b.id in sources}
        return [o.id for o in self.s.orders if o.form in forms]

    def _open(self, picked: list[Thing], label: str, **more: Any) -> Freed | None:
        """A neighbourhood whose contents may change too."""
        return self._freed(picked[: self._number(MOST_OPEN)], label, contents=True, **more)

    def _freed(
        self,
        picked: list[Thing],
        label: str,
        *,
        contents: bool = False,
        slack: tuple[int, int] = (DAY // 2, DAY),
        new_batches: tuple[str, ...] = (),
        new_firings: tuple[tuple[str, str], ...] = (),
        new_lots: tuple[str, ...] = (),
    ) -> Freed | None:
        """The window around ``picked`` with ``slack`` minutes before and after."""
        if not picked:
            return None
        lo = max(0, min(t.start for t in picked) - slack[0])
        hi = min(self.s.horizon, max(t.end for t in picked) + slack[1])
        by: dict[str, set[str]] = {}
        for t in picked:
            by.setdefault(t.sort, set()).add(t.id)
        sets = {sort: frozenset(ids) for sort, ids in by.items()}
        return Freed(
            Span(lo, hi), **sets, contents=contents, new_batches=new_batches, new_firings=new_firings,
            new_lots=new_lots, label=label,
        )  # fmt: skip


def _things(plan: Plan) -> Iterable[Thing]:
    task = plan.task

    def thing(sort: str, name: str, ids: Iterable[str | None]) -> Thing:
        spans = [task[i] for i in ids if i is not None]
        return Thing(sort, name, min(t.start for t in spans), max(t.end for t in spans))

    for b in plan.batches:
        if any(_batch_tasks(b)):
            yield thing("batches", b.id, _batch_tasks(b))
    for f in plan.firings:
        yield thing("firings", f.id, (f.load, f.unload))
    for x in plan.lots:
        yield thing("lots", x.id, (x.glaze,))
    for n in plan.finishes:
        yield thing("finishes", n.id, (n.task,))
    for c in plan.casts:
        yield thing("casts", c.id, (c.pour, c.lift))
    for j in plan.jobs:
        yield thing("jobs", j.id, (j.task,))


def _batch_tasks(b: Batch) -> list[str]:
    return [t for t in (b.press, b.release, *b.steps) if t is not None]
