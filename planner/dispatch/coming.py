"""What a plan before will still take, told to the shop before it is laid in and taken back when it is."""

from __future__ import annotations

from collections.abc import Callable

from planner.dispatch.kept import Kept, form_of
from planner.dispatch.shop import Shop
from planner.dispatch.to_come import Change, note
from planner.plan import Batch, CastPlan, Finish, Firing, Lot

Thing = Batch | Firing | Lot | Finish | CastPlan
Tell = Callable[[int], None]  # with 1 it will come, with -1 it does


class Coming:
    """Tells the shop of things to come: pieces always; moulds, tools, kilns, ware and boards too if it ``guards``.

    Where it guards them, whoever fills the days leaves what is to come in its place; else it may have to give way.
    """

    def __init__(self, shop: Shop, kept: Kept, *, guards: bool) -> None:
        self._shop, self._kept, self._guards = shop, kept, guards
        self._told: dict[int, list[Tell]] = {}
        facts = shop.facts
        self._stations = {x.id: i for i, x in enumerate(facts.scenario.stations)}
        self._count = {b.id: b.count for b in kept.plan.batches} | {x.id: x.count for x in kept.plan.lots}
        self._count |= {w.id: w.count for w in facts.scenario.wip}

    def tell(self, thing: Thing) -> None:
        """It will come."""
        tellers = self._tellers(thing)
        self._told[id(thing)] = tellers
        for tell in tellers:
            tell(1)

    def arrives(self, thing: Thing) -> None:
        """It is laid in now."""
        for tell in self._told.pop(id(thing), ()):
            tell(-1)

    def _tellers(self, thing: Thing) -> list[Tell]:
        if isinstance(thing, Batch):
            return self._batch(thing)
        if isinstance(thing, Firing):
            return self._firing(thing) if self._guards else []
        if isinstance(thing, Lot):
            return self._lot(thing)
        return self._finish(thing) if isinstance(thing, Finish) else []

    def _batch(self, b: Batch) -> list[Tell]:
        shop, facts = self._shop, self._shop.facts
        form, press, out = facts.form_at.get(b.form), self._kept.task(b.press, "press"), self._kept.release(b.id)
        if form is None or press is None:
            return []
        come = shop.to_come
        f, station = facts.forms[form], self._stations.get(press.station or "", -1)
        if not self._guards or out is None:
            return [lambda sign: come.press(form, b.count, sign)]
        setup = press.end - press.start >= f.setup + f.press.minutes(b.count)
        row = (press.start, b.count, out.end + f.mould_rest)
        last = max((t.end for t in map(self._kept.any_task, b.steps) if t is not None), default=out.end)
        boards = -(-b.count // f.boards.green)
        tells: list[Tell] = [
            lambda sign: come.press(form, b.count, sign),
            lambda sign: come.batch(form, row, station, setup, sign),
            lambda sign: shop.drying.add(sign * boards, last if b.covered else out.start),
        ]
        if b.covered:
            tells.append(lambda sign: shop.damp.add(sign * boards, out.start, last))
        return tells

    def _firing(self, x: Firing) -> list[Tell]:
        shop, facts = self._shop, self._shop.facts
        load, unload = self._kept.task(x.load, "load"), self._kept.task(x.unload, "unload")
        kiln = facts.kiln_at.get(x.kiln)
        program = None if kiln is None else facts.kilns[kiln].program(x.program or "")
        if load is None or unload is None or kiln is None or program is None:
            return []
        bisque, come, freed = program.stage == "bisque", shop.to_come, 0
        rack, lines = (shop.drying, come.bisqued) if bisque else (shop.glazed, come.fired)
        tells: list[Tell] = [lambda sign: come.firing(kiln, load.start, x.pieces, sign)]
        for part in x.pieces:
            per = self._per_board(part.source, bisque)
            freed += part.count // per if part.count < self._count.get(part.source, 0) else -(-part.count // per)
            goes_to = form_of(facts, self._kept, part.source) if bisque else self._order(part.source)
            if goes_to is not None:
                tells.append(_changing(lines[goes_to], unload.end, part.count))
        return [*tells, lambda sign: rack.add(-sign * freed, load.start)]

    def _lot(self, x: Lot) -> list[Tell]:
        shop, facts = self._shop, self._shop.facts
        order, task = facts.order_at.get(x.order), self._kept.task(x.glaze, "glaze")
        if order is None or task is None:
            return []
        come, form = shop.to_come, facts.order_form[order]
        boards = -(-x.count // facts.forms[form].boards.glazed)
        tells: list[Tell] = [lambda sign: come.lot(order, x.count, sign)]
        if self._guards:
            tells.append(lambda sign: shop.glazed.add(sign * boards, task.end))
            tells.append(_changing(come.bisqued[form], task.start, -x.count))
        return tells

    def _finish(self, n: Finish) -> list[Tell]:
        order, task = self._shop.facts.order_at.get(n.order), self._kept.task(n.task, "finish")
        if order is None or task is None:
            return []
        come = self._shop.to_come
        tells: list[Tell] = [lambda sign: come.finish(order, n.count, sign)]
        return [*tells, _changing(come.fired[order], task.start, -n.count)] if self._guards else tells

    def _order(self, source: str) -> int | None:
        """The order of glazed ware, by place."""
        facts, plan = self._shop.facts, self._kept.plan
        if source in plan.lot:
            return facts.order_at.get(plan.lot[source].order)
        return facts.order_at.get(getattr(facts.scenario.ware.get(source), "order", None) or "")

    def _per_board(self, source: str, bisque: bool) -> int:
        """Pieces of a ware on one board; so many that they need none where the ware is unknown."""
        form = form_of(self._shop.facts, self._kept, source)
        if form is None:
            return 1 << 20
        boards = self._shop.facts.forms[form].boards
        return boards.green if bisque else boards.glazed


def _changing(line: list[Change], minute: int, pieces: int) -> Tell:
    return lambda sign: note(line, (minute, pieces), sign)
