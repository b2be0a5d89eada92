"""From a scenario and its plan to the line that is played."""

from __future__ import annotations

from planner.facts import Facts, Kilnful, Made
from planner.plan import Plan, Task
from planner.robust.line import NEVER, Batch, Line, Load, Lot, Pack, Place, Then, Wait, half_day, hours_of, stations_of
from planner.scenario import Bisqued, Drying, Fired, Form, Glazed, InMould, Released, Scenario


def line_of(scenario: Scenario, plan: Plan) -> Line:
    """The line of a valid ``plan``."""
    return _Compiler(scenario, plan).line()


class _Compiler:
    def __init__(self, scenario: Scenario, plan: Plan) -> None:
        self._s, self._facts = scenario, Facts(scenario, plan)
        tasks = sorted(plan.tasks, key=lambda t: (t.start, t.end, t.id))
        self._at = {t.id: i for i, t in enumerate(tasks)}
        people = {p.id: i for i, p in enumerate(scenario.people)}
        stations = {x.id: i for i, x in enumerate(scenario.stations)}
        self._places = [
            Place(t.kind, t.end - t.start, people[t.person], stations.get(t.station or "", -1), self._floor(t))
            for t in tasks
        ]
        self._green: dict[str, int] = {}
        self._load: dict[str, int] = {}
        self._lot: dict[str, int] = {}
        self._batches: list[Batch] = []
        self._loads: list[Load] = []
        self._lots: list[Lot] = []
        self._packs: list[Pack] = []

    def _floor(self, t: Task) -> int:
        return half_day(self._s, t.start)

    def line(self) -> Line:
        for made in self._facts.batches:
            self._batch(made)
        self._moulds()
        for w in self._s.wip:
            if isinstance(w, Drying):
                self._green[w.id] = len(self._batches)
                self._batches.append(Batch(w.form, w.count, w.dry_at, made=True))
        kilnfuls = sorted(self._facts.kilnfuls, key=lambda k: k.unload.start if k.unload else 0)
        for k in kilnfuls:
            self._load[k.firing.id] = len(self._loads)
            self._loads.append(self._loaded(k))
        self._stock()
        self._glazing()
        self._firing(kilnfuls)
        last = self._packing()
        self._casts_and_jobs()
        return Line(
            self._places,
            self._batches,
            self._loads,
            self._lots,
            self._packs,
            hours_of(self._s, self._facts.plan.tasks),
            stations_of(self._s),
            last,
        )

    # moulds and leather-hard work

    def _batch(self, made: Made) -> None:
        form = made.form
        if form is None:
            return
        number = len(self._batches)
        batch = Batch(form.id, 0 if made.spoiled else made.count, form.dry)
        self._green[made.batch.id] = number
        self._batches.append(batch)
        release = self._release(made, form, number)
        before = release
        for step, task in zip(made.todo, made.steps, strict=False):
            if task is None:
                continue
            place = self._places[self._at[task.id]]
            window = (step.after_covered if made.batch.covered else None) or step.after
            if release >= 0:
                place.waits.append(Wait(release, window.lo))
                place.clock, place.until = release, max(x.hi for x in (step.after, step.after_covered) if x)
            elif isinstance(made.wip, Released):
                place.floor = max(place.floor, made.wip.released.b + window.lo)
                place.until = made.wip.released.a + window.hi if made.wip.until is None else made.wip.until
            if before >= 0:
                place.waits.append(Wait(before))
            place.ware = number
            before = self._at[task.id]
        batch.place = before
        if before >= 0 and not made.spoiled:
            self._places[before].then, self._places[before].thing = Then.DRYING, number

    def _release(self, made: Made, form: Form, number: int) -> int:
        """The place of taking the batch out, or -1."""
        if made.release is None:
            return -1
        at = self._at[made.release.id]
        place = self._places[at]
        window = (form.release_after_covered if made.batch.covered_in_mould else None) or form.release_after
        if made.press is not None and made.first is not None:
            press = self._at[made.press.id]
            place.waits.append(Wait(press, window.lo))
            latest = max(x.hi for x in (form.release_after, form.release_after_covered) if x)
            place.clock, place.until = press, made.first - made.press.start + latest
            self._places[press].out, self._places[press].out_from = at, window.lo
        elif isinstance(made.wip, InMould):
            place.floor = max(place.floor, made.wip.pressed.b + window.lo)
            place.until = made.wip.first + window.hi if made.wip.until is None else made.wip.until
        if made.spoiled:
            place.until = NEVER
        place.ware = number
        return at

    def _moulds(self) -> None:
        """A press waits for its moulds: dried from the start, out of the batch before, or poured."""
        uses: dict[str, list[Made]] = {}
        for made in self._facts.batches:
            for mould in made.batch.moulds:
                uses.setdefault(mould, []).append(made)
        for mould, line in uses.items():
            line.sort(key=lambda m: m.press.start if m.press else -1)
            for before, made in zip([None, *line], line, strict=False):
                if made.press is None:
                    continue
                place = self._places[self._at[made.press.id]]
                if before is not None and before.release is not None and before.form is not None:
                    place.waits.append(Wait(self._at[before.release.id], 0, before.form.mould_rest))
                elif mould in self._facts.lifted:
                    place.waits.append(Wait(self._at[self._facts.lifted[mould].id], 0, self._s.cast[mould].dry))
                elif mould in self._s.mould:
                    place.damp = max(place.damp, self._s.mould[mould].ready or 0)

    # kilns

    def _loaded(self, k: Kilnful) -> Load:
        if k.present or k.kiln is None or k.program is None or k.load is None or k.unload is None:
            held = [(p.form or "" if k.stage == "bisque" else p.order or "", p.count) for p in k.pieces]
            return Load(k.stage or "", opens=self._facts.opens(k.firing.kiln) if k.present else 0, holds=held)
        closed = tuple(x for x in k.kiln.closed if x.b > 0)
        fire = k.firing.fire or 0
        return Load(
            k.stage or "",
            k.program.fire,
            k.program.cool,
            half_day(self._s, fire),
            starts=k.kiln.start_spans,
            closed=closed,
            whole=k.unload.end - k.load.start,
        )

    def _stock(self) -> None:
        """Bisqued and fired ware in the studio: loads drawn already, never lost again in that firing."""
        for w in self._s.wip:
            if isinstance(w, Bisqued | Fired):
                self._load[w.id] = len(self._loads)
                key = w.form if isinstance(w, Bisqued) else w.order or ""
                self._loads.append(Load("stock", opens=w.at, holds=[(key, w.count)]))

    def _firing(self, kilnfuls: list[Kilnful]) -> None:
        before: dict[str, int] = {}
        for k in kilnfuls:
            number = self._load[k.firing.id]
            if k.load is not None and not k.present:
                place = self._places[self._at[k.load.id]]
                place.then, place.thing = Then.LIT, number
                if k.kiln is not None and k.kiln.free_at is not None:
                    place.floor = max(place.floor, k.kiln.free_at)
                if k.firing.kiln in before:
                    place.waits.append(Wait(before[k.firing.kiln]))
                known = self._green if k.stage == "bisque" else self._lot
                self._loads[number].parts = [(known[p.source], p.count) for p in k.pieces if p.source in known]
            if k.unload is not None:
                at = self._at[k.unload.id]
                self._places[at].then, self._places[at].thing = Then.DRAWN, number
                before[k.firing.kiln] = at

    # glazing and packing

    def _glazing(self) -> None:
        for w in self._s.wip:
            if isinstance(w, Glazed):
                self._lot[w.id] = len(self._lots)
                self._lots.append(Lot(w.order or "", w.form, w.count, w.at))
        for lot in self._facts.plan.lots:
            form = self._s.form[self._s.order[lot.order].form]
            number, at = len(self._lots), self._at[lot.glaze]
            parts = [(self._load[p.source], p.count) for p in lot.sources if p.source in self._load]
            self._lot[lot.id] = number
            self._lots.append(Lot(lot.order, form.id, lot.count, form.glaze_dry, parts, at))
            place = self._places[at]
            place.then, place.thing = Then.GLAZED, number
            self._after_draw(place, [p.source for p in lot.sources])

    def _after_draw(self, place: Place, sources: list[str]) -> None:
        for source in sources:
            k = self._facts.kilnful.get(source)
            if k is not None and k.unload is not None:
                place.waits.append(Wait(self._at[k.unload.id]))
            elif source in self._load:
                place.floor = max(place.floor, self._loads[self._load[source]].opens)

    def _packing(self) -> dict[str, int]:
        last: dict[str, int] = {}
        for n in sorted(self._facts.plan.finishes, key=lambda n: self._at[n.task]):
            at = self._at[n.task]
            place = self._places[at]
            place.then, place.thing = Then.PACKED, len(self._packs)
            self._after_draw(place, [n.source])
            if n.source in self._load:
                self._packs.append(Pack(n.order, self._s.order[n.order].form, self._load[n.source], n.count))
                last[n.order] = at
        return last

    def _casts_and_jobs(self) -> None:
        for c in self._facts.plan.casts:
            cast = self._s.cast[c.id]
            place = self._places[self._at[c.lift]]
            if c.pour is not None:
                place.waits.append(Wait(self._at[c.pour], cast.lift_after.lo))
            elif cast.poured is not None:
                place.floor = max(place.floor, cast.poured + cast.lift_after.lo)
        for j in self._facts.plan.jobs:
            place = self._places[self._at[j.task]]
            place.floor = max(place.floor, self._s.job[j.id].window.lo)
