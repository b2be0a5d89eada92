"""Which few things to free at a time."""

from __future__ import annotations

import random
from collections.abc import Callable, Iterable
from dataclasses import dataclass

from planner.model.polish.freed import Freed
from planner.plan import Batch, Firing, Plan
from planner.scenario import Scenario, Span

DAY = 1440
MOST = 26  # things freed at once when only times may change
MOST_OPEN = 18  # when contents may change too


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

    def pick(self) -> Freed | None:
        """A neighbourhood at random."""
        ways: list[tuple[float, Callable[[], Freed | None]]] = [
            (3, self.days),
            (3, self.kilns),
            (2, self.order),
            (2, self.form),
            (1, self.scattered),
            (1, self.finishing),
        ]
        total = self.chance.random() * sum(w for w, _ in ways)
        for weight, way in ways:
            total -= weight
            if total <= 0:
                return way()
        return ways[-1][1]()

    # --- ways ----------------------------------------------------------------------------------------------------

    def days(self) -> Freed | None:
        """All work of one to three days, contents as they are."""
        span = self.chance.choice((1, 1, 2, 3)) * DAY
        at = self._moment() - span // 2
        inside = [t for t in self.things if t.start < at + span and t.end > at and t.end - t.start < 3 * DAY]
        inside.sort(key=lambda t: abs((t.start + t.end) // 2 - at - span // 2))
        return self._freed(inside[:MOST], "days", slack=(DAY // 2, DAY))

    def scattered(self) -> Freed | None:
        """Things from anywhere in a few days, contents as they are."""
        at = self._moment()
        near = [t for t in self.things if abs(t.start - at) < 3 * DAY and t.end - t.start < 4 * DAY]
        return self._freed(self.chance.sample(near, min(MOST, len(near))), "scattered", slack=(DAY, DAY))

    def finishing(self) -> Freed | None:
        """Sorting, packing and glazing in a stretch of time."""
        at = self._moment()
        near = [t for t in self.things if t.sort in ("finishes", "lots") and abs(t.start - at) < 3 * DAY]
        near.sort(key=lambda t: abs(t.start - at))
        return self._freed(near[:MOST], "finishing", slack=(2 * DAY, 2 * DAY))

    def kilns(self) -> Freed | None:
        """Two or three firings one after another with the lots and finishes around them; one may come or go."""
        if not self.loads:
            return None
        first = self.chance.randrange(len(self.loads))
        number = self.chance.choice((1, 2, 2, 3))
        chosen = self.loads[first : first + number]
        ids = {f.id for f in chosen}
        picked = [self._of[f] for f in ids]
        sources = {p.source for f in chosen for p in f.pieces}
        picked += [t for t in self.things if t.sort == "lots" and (t.id in sources or self._drawn(t.id) & ids)]
        picked += [t for t in self.things if t.sort == "finishes" and self._finish_source(t.id) in ids]
        new: tuple[tuple[str, str], ...] = ()
        if self.chance.random() < 0.3:
            kiln = self.chance.choice(self.s.kilns)
            new = ((kiln.id, self.chance.choice(("bisque", "glost"))),)
        orders = self._orders_near(chosen)
        lots = (self.chance.choice(orders),) if orders and self.chance.random() < 0.5 else ()
        return self._freed(picked[: MOST_OPEN + 6], "kilns", contents=True, new_firings=new, new_lots=lots)

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
        chosen = [*fired[:2], *glost[:2]]
        ids = {f.id for f in chosen}
        picked = [self._of[f.id] for f in chosen]
        picked += [self._of[x] for x in lots]
        picked += [t for t in self.things if t.sort == "finishes" and self._finish_source(t.id) in ids]
        form = self.s.order[order].form
        batches = [b for f in fired for p in f.pieces if (b := self.plan.batch.get(p.source)) and b.form == form]
        picked += [self._of[b.id] for b in batches[:4]]
        new = (form,) if self.chance.random() < 0.5 else ()
        return self._freed(picked[:MOST_OPEN], "order", contents=True, new_lots=(order,), new_batches=new)

    def form(self) -> Freed | None:
        """Batches of a form over some days, with the bisque firings that they go into."""
        made = [b for b in self.plan.batches if b.press is not None]
        forms = sorted({b.form for b in made} | {o.form for o in self.s.orders})
        if not forms:
            return None
        form = self.chance.choice(forms)
        at = self._moment()
        own = sorted((b for b in made if b.form == form), key=lambda b: abs(self._of[b.id].start - at))[:5]
        ids = {b.id for b in own}
        firings = [f for f in self.loads if self._lots_in[f.id] & ids][:3]
        if not firings:
            later = [f for f in self.loads if self._is_bisque(f) and self._of[f.id].start > at + DAY]
            firings = later[:1]
        picked = [self._of[b.id] for b in own] + [self._of[f.id] for f in firings]
        if self.chance.random() < 0.5:
            drawn = {f.id for f in firings}
            picked += [t for t in self.things if t.sort == "lots" and self._drawn(t.id) & drawn][:4]
        return self._freed(picked[:MOST_OPEN], "form", contents=True, new_batches=(form,), slack=(DAY, DAY))

    # --- help ----------------------------------------------------------------------------------------------------

    def _moment(self) -> int:
        """A minute at which something is done."""
        return self.chance.choice(self.things).start if self.things else 0

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
