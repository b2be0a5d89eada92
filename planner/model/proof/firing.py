"""Kiln loads: the path of each kiln, what each firing holds, and when its ware is out.

Why no valid plan is cut off: a kiln's loads follow each other (R07), so they are one path of :mod:`.kilns`; what is
loaded up to a bucket was dry, or its glaze was, by the last minute at which a load can begin there (R06, R09); R08 in
whole shelves over the loads of one kiln, stage and bucket (one load, but for very short programs, and then their sums
keep it too) and in millimetres for each firing, where S_k ≥ P_k gives sum(n × (clearance + shelf) / per_shelf) ≤ stack.
Ware of one order counts only as far as it is owed; ware of one form counts whole.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from math import floor

from planner.bound import Alone
from planner.model.proof.frame import Frame
from planner.model.proof.kilns import Arc, Kilns, Path
from planner.model.proof.mip import Term, Var
from planner.model.proof.pressing import Pressing
from planner.scenario import Form, Glazed, Kiln, Order, Program


@dataclass(frozen=True)
class Load:
    """All firings of one kiln and program from one bucket to another: the arcs and their choice."""

    kiln: Kiln
    program: Program
    start: int
    to: int
    last: int  # latest minute at which it can begin to be loaded
    arcs: tuple[tuple[Arc, Var], ...]
    held: dict[str, Var]  # pieces, by form (bisque) or order (glost)
    owed: dict[str, Var]  # of these, the pieces that somebody is owed
    most: dict[str, int]  # the most of each alone

    @property
    def lit(self) -> list[Term]:
        return [(1.0, v) for _, v in self.arcs]


class Firing:
    """``bisque`` and ``glost`` loads, and the draws of present loads by kiln."""

    def __init__(self, frame: Frame, pressing: Pressing, *, grain: int, reach: int) -> None:
        self._f, self._s, self._mip = frame, frame.s, frame.mip
        self._green, self._moulds, self._alone = pressing.green, pressing.moulds, Alone(frame.s)
        self.bisque: list[Load] = []
        self.glost: list[Load] = []
        self.present: dict[str, list[tuple[Arc, Var]]] = {}
        kilns = Kilns(frame.s, frame.hands, grain=grain, reach=reach)
        for kiln in frame.s.kilns:
            self._kiln(kilns.path(kiln))
        self._dry_first()
        self.boards()

    # the path

    def _kiln(self, path: Path) -> None:
        into: dict[object, list[Term]] = defaultdict(list)
        out: dict[object, list[Term]] = defaultdict(list)
        if path.first is not None:
            into[path.first].append((1.0, self._f.one))
        chosen = [(a, self._mip.var(1)) for a in path.present]
        if chosen:
            self._mip.row([(1.0, v) for _, v in chosen], lo=1, hi=1)
        self.present[path.kiln.id] = chosen
        arcs = [a for a in path.arcs if self._useful(path.kiln, a)]
        lit = [(a, self._mip.var(self._times(path.kiln, a))) for a in arcs]
        for program in path.kiln.programs:  # whole numbers of firings are what a search should decide first
            cycle = path.kiln.load + program.fire + program.cool + path.kiln.unload
            number = self._mip.var(1 + self._s.horizon // cycle)
            self._mip.row([(1.0, number), *((-1.0, v) for a, v in lit if a.program is program)], lo=0, hi=0)
        for arc, var in (*chosen, *lit):
            out[arc.start].append((1.0, var))
            into[arc.after].append((1.0, var))
            if not arc.late:
                self._f.ask_kind("unload", arc.to, var, path.kiln.unload)
        for arc, var in lit:
            assert arc.program is not None and arc.start is not None
            self._mip.price(var, self._s.weights.kwh * arc.program.kwh)
            self._f.ask_kind("load", arc.start.bucket, var, path.kiln.load)
        for node, following in path.idle.items():
            waits = self._mip.var(1)
            out[node].append((1.0, waits))
            into[following].append((1.0, waits))
        for node in path.nodes:
            self._mip.row([*out[node], *((-c, v) for c, v in into[node])], hi=0)
        self._loads(path, lit)

    def _times(self, kiln: Kiln, arc: Arc) -> int:
        """How often a firing can go this way: more than once only if it is over inside its bucket."""
        assert arc.program is not None and arc.start is not None
        if arc.to > arc.start.bucket:
            return 1
        bucket = self._f.hands.buckets[arc.to]
        return 1 + (bucket.b - bucket.a) // (kiln.load + arc.program.fire + arc.program.cool + kiln.unload)

    def _useful(self, kiln: Kiln, arc: Arc) -> bool:
        assert arc.program is not None
        return bool(self._fits(kiln, arc.program))

    def _fits(self, kiln: Kiln, program: Program) -> dict[str, tuple[Form, int]]:
        """What a program can take: forms, or orders whose glaze allows it, with the most pieces of it alone."""
        if program.stage == "bisque":
            some = {f: (g.form, alone(kiln, g.form, "bisque")) for f, g in self._green.items()}
        else:
            some = {
                o.id: (self._s.form[o.form], min(o.qty, alone(kiln, self._s.form[o.form], "glost")))
                for o in self._s.orders
                if program.id in self._s.glaze[o.glaze].programs
            }
        return {key: (form, most) for key, (form, most) in some.items() if most > 0}

    # what is in a firing

    def _loads(self, path: Path, lit: list[tuple[Arc, Var]]) -> None:
        grouped: dict[tuple[str, int, int], list[tuple[Arc, Var]]] = defaultdict(list)
        for arc, var in lit:
            assert arc.program is not None and arc.start is not None
            grouped[arc.program.id, arc.start.bucket, arc.to].append((arc, var))
        stages: dict[tuple[str, int], list[Load]] = defaultdict(list)
        for (_, start, to), arcs in grouped.items():
            program = arcs[0][0].program
            assert program is not None
            fits = self._fits(path.kiln, program)
            times = sum(self._times(path.kiln, a) for a, _ in arcs)
            lights = [(-1.0, v) for _, v in arcs]
            most = {key: min(n * times, self._there(program, key, start)) for key, (_, n) in fits.items()}
            held = {key: self._mip.var(n) for key, n in most.items() if n > 0}
            owed = {key: self._owed(program, key, v, lights) for key, v in held.items()}
            last = self._last(path.kiln, program, start, to, any(a.late for a, _ in arcs))
            load = Load(path.kiln, program, start, to, last, tuple(arcs), held, owed, most)
            (self.bisque if program.stage == "bisque" else self.glost).append(load)
            stages[program.stage, start].append(load)
            for key, var in held.items():
                self._mip.row([(1.0, var), *((min(fits[key][1], most[key]) * c, v) for c, v in lights)], hi=0)
            self._volume(path.kiln, program.stage, [(fits[k][0], v) for k, v in held.items()], lights)
        if self._f.fine:
            for (stage, _), loads in stages.items():
                self._shelves(path.kiln, stage, loads)

    def _there(self, program: Program, key: str, b: int) -> int:
        """The most pieces that can be ready to be loaded in bucket ``b``."""
        last = self.last_start(b)
        if last is None:
            return 0
        if program.stage == "bisque":
            return self._moulds.most_dry(self._green[key], last)
        order = self._s.order[key]
        return min(order.qty, sum(n for n, at in self._alone.glazed_from(order) if at <= last))

    def _owed(self, program: Program, key: str, held: Var, lights: list[Term]) -> Var:
        """The pieces of a load that count for an order: of green ware no more than are owed of the form."""
        if program.stage == "glost":
            return held
        qty = sum(o.qty for o in self._s.orders if o.form == key)
        owed = self._mip.var(qty)
        self._mip.row([(1.0, owed), (-1.0, held)], hi=0)
        self._mip.row([(1.0, owed), *((qty * c, v) for c, v in lights)], hi=0)
        return owed

    def _volume(self, kiln: Kiln, stage: str, held: list[tuple[Form, Var]], lights: list[Term]) -> None:
        """Millimetres of stack, and shelves, in fractions."""
        tall, wide = [], []
        for form, var in held:
            shelving = form.shelving(stage)
            per = shelving.per_shelf[kiln.id]
            tall.append(((shelving.clearance_mm + kiln.shelf_mm) / per / kiln.stack_mm, var))
            wide.append((1 / per / max(kiln.shelves, 1), var))
        self._mip.row([*tall, *lights], hi=0)
        self._mip.row([*wide, *lights], hi=0)

    def _shelves(self, kiln: Kiln, stage: str, loads: list[Load]) -> None:
        """R08 in whole shelves: S_k for each clearance, the tallest first."""
        held = [(self._form(stage, key).shelving(stage), v) for x in loads for key, v in x.held.items()]
        lit = [(-1.0, v) for x in loads for _, v in x.lit]
        before: list[Term] = []
        stack: list[Term] = []
        most = max((self._times(kiln, a) for x in loads if x.to == x.start for a, _ in x.arcs), default=0) + 1
        for clearance in sorted({s.clearance_mm for s, _ in held}, reverse=True):
            shelves = self._mip.var(kiln.shelves * most)
            filled = [(1 / s.per_shelf[kiln.id], v) for s, v in held if s.clearance_mm >= clearance]
            self._mip.row([*filled, (-1.0, shelves)], hi=0)
            self._mip.row([*before, (-1.0, shelves)], hi=0)
            height = float(clearance + kiln.shelf_mm)
            stack += [(height, shelves), *((-height, v) for _, v in before)]
            before = [(1.0, shelves)]
        self._mip.row([*stack, *((kiln.stack_mm * c, v) for c, v in lit)], hi=0)
        self._mip.row([*before, *((kiln.shelves * c, v) for c, v in lit)], hi=0)

    def _form(self, stage: str, key: str) -> Form:
        return self._s.form[key if stage == "bisque" else self._s.order[key].form]

    # what may be in it

    def last_start(self, number: int) -> int | None:
        """Latest minute in a bucket at which any kiln can begin to be loaded."""
        ends = [(k, self._f.hands.last_end("load", k.load, number)) for k in self._s.kilns]
        return max((end - k.load for k, end in ends if end is not None), default=None)

    def _last(self, kiln: Kiln, program: Program, start: int, to: int, late: bool) -> int:
        """Latest minute in bucket ``start`` at which to begin a load that is drawn in bucket ``to``."""
        loaded = self._f.hands.last_end("load", kiln.load, start)
        drawn = self._f.hands.last_end("unload", kiln.unload, to)
        assert loaded is not None and drawn is not None
        if late:
            return loaded - kiln.load
        lit = drawn - kiln.unload - program.fire - program.cool
        if kiln.start_spans is not None:
            lit = max((min(b - 1, lit) for a, b in kiln.start_spans if a <= lit), default=lit)
        return min(loaded, lit) - kiln.load

    def _dry_first(self) -> None:
        """Loaded in time to be drawn when they are, pieces were dry by then, one by one and step by step."""
        for form, green in self._green.items():
            for last, terms in loadings(self.bisque, form):
                for ready in (green.dry, green.alone):
                    dry = [(-c, v) for at, found in ready if at <= last for c, v in found]
                    self._mip.row([*terms, *dry], hi=0)

    def boards(self) -> None:
        """Damp and drying racks at the end of each bucket."""
        racks = self._s.racks
        for b in self._f.numbers:
            terms: list[Term] = []
            for green in self._green.values():
                per = green.form.boards.green
                here = [*green.standing, *(t for n, ts in green.out.items() if n <= b for t in ts)]
                terms += [(c / per, v) for c, v in here]
                terms += [(-c / per, v) for c, v in loaded(self.bisque, green.form.id, b)]
            self._mip.row(terms, hi=max(racks.damp + racks.drying, self._standing()))

    def _standing(self) -> int:
        """What the damp and drying racks may hold if what stands there at 0 is more than they have."""
        on = {"damp": 0, "drying": 0}
        for w in self._s.wip:
            if w.stage in ("released", "drying"):
                boards = -(-w.count // self._s.form[w.form].boards.green)
                on["damp" if getattr(w, "covered", False) else "drying"] += boards
        return max(on["damp"], self._s.racks.damp) + max(on["drying"], self._s.racks.drying)

    def glazed_rack(self, order: Order, b: int, glazed: Iterable[Term]) -> list[Term]:
        """Boards of an order's ware between glazing and kiln at the end of a bucket."""
        per = self._s.form[order.form].boards.glazed
        return [*((c / per, v) for c, v in glazed), *((-c / per, v) for c, v in loaded(self.glost, order.id, b))]

    def glazed_standing(self) -> int:
        boards = sum(-(-w.count // self._s.form[w.form].boards.glazed) for w in self._s.wip if isinstance(w, Glazed))
        return max(self._s.racks.glazed, boards)


def loaded(loads: list[Load], key: str, b: int) -> list[Term]:
    """Pieces of ``key`` loaded up to bucket ``b``."""
    return [(1.0, x.held[key]) for x in loads if x.start <= b and key in x.held]


def loadings(loads: list[Load], key: str) -> Iterator[tuple[int, list[Term]]]:
    """Minutes, and the pieces of ``key`` that are loaded by then if they are loaded at all."""
    holding = [x for x in loads if key in x.held]
    for start, last in sorted({(x.start, x.last) for x in holding}):
        yield last, [(1.0, x.held[key]) for x in holding if x.start < start or (x.start == start and x.last <= last)]


def alone(kiln: Kiln, form: Form, stage: str) -> int:
    """The most pieces of a form that the kiln takes if nothing else is in it."""
    shelving = form.shelving(stage)
    per = shelving.per_shelf.get(kiln.id)
    if per is None:
        return 0
    most = per * min(kiln.shelves, floor(kiln.stack_mm / (shelving.clearance_mm + kiln.shelf_mm)))
    barred = [x.counts[form.id] - 1 for x in kiln.limits if x.stage == stage and set(x.counts) == {form.id}]
    return min([most, *barred])
