"""Glazing, finishing and what every owed piece costs by the minute it is done.

Only owed pieces are followed here; ware that nobody owes can be left out of a valid plan's lots, glost loads and
finishes, and what remains keeps every row. A piece finished in a bucket counts at the earliest minute it can be there;
one left over counts at the stage it has reached, the stages shared out as cheaply as can be. A piece that is out of
the kiln in a bucket and goes on in the same one needs its labour after the kiln was drawn.
"""

from __future__ import annotations

from collections import defaultdict

from planner.model.proof.firing import Firing, Load, loadings
from planner.model.proof.frame import Frame, each
from planner.model.proof.mip import Term, Var
from planner.model.proof.pressing import Pressing
from planner.scenario import Bisqued, Fired, Glazed, InKiln, Order

Came = list[tuple[int, list[Term]]]  # pieces that are there from a minute on


class Orders:
    """The rows of all orders."""

    def __init__(self, frame: Frame, pressing: Pressing, firing: Firing) -> None:
        self._f, self._s, self._mip, self._hands = frame, frame.s, frame.mip, frame.hands
        self._pressing, self._firing = pressing, firing
        self._rack: dict[int, list[Term]] = defaultdict(list)
        self._left: dict[str, dict[str, Var]] = {}
        self.glazing: dict[str, dict[int, Var]] = {}  # pieces glazed, by order and bucket
        self._hurried: dict[tuple[str, int], list[Term]] = defaultdict(list)
        for form in sorted({o.form for o in self._s.orders}):
            self._form(form)
        self._after_draws()
        for b in self._f.numbers:
            if self._rack[b]:
                self._mip.row(self._rack[b], hi=firing.glazed_standing())

    def _form(self, form: str) -> None:
        orders = [o for o in self._s.orders if o.form == form]
        bisqued = self._drawn_now("bisque", form)
        bisqued += [(w.at, [(w.count, self._f.one)]) for w in self._s.wip if isinstance(w, Bisqued) and w.form == form]
        glazing = {o.id: self._glazing(o) for o in orders}
        self.glazing |= glazing
        fixed = min(self._s.glaze[o.glaze].fixed for o in orders)
        soon = self._soon(self._firing.bisque, form, each(self._s.form[form].glaze), fixed)
        for b in self._f.numbers:
            up_to = [(1.0, v) for o in orders for n, v in glazing[o.id].items() if n <= b]
            least = fixed + self._s.form[form].glaze.minutes(1)
            self._no_more(up_to, bisqued, self._firing.bisque, form, soon, b, ("glaze", least))
        self._left[form] = {}
        left = {o.id: self._order(o, glazing[o.id]) for o in orders}
        drawn = [(c, v) for _, terms in bisqued for c, v in terms]
        fired = [(1.0, x.owed[form]) for x in self._firing.bisque if form in x.owed]
        glazed = [(1.0, v) for o in orders for v in glazing[o.id].values()]
        self._at_most([(1.0, left[o.id]["bisqued"]) for o in orders] + glazed, drawn + fired)
        green = self._pressing.green[form].total + self._undrawn("bisque", form)
        self._at_most([(1.0, left[o.id]["green"]) for o in orders] + fired, green)
        self._in_turn(orders, left)

    def _at_most(self, used: list[Term], there: list[Term]) -> None:
        self._mip.row([*used, *((-c, v) for c, v in there)], hi=0)

    def _drawn_now(self, stage: str, key: str) -> Came:
        """Pieces of the loads now in the kilns, from the minute they can be out."""
        out: Came = []
        for w in self._s.wip:
            if isinstance(w, InKiln) and w.fired_stage == stage and key == (w.form if stage == "bisque" else w.order):
                out += [(arc.out, [(w.count, v)]) for arc, v in self._firing.present[w.kiln]]
        return out

    def _undrawn(self, stage: str, key: str) -> list[Term]:
        """Pieces in a load that stays in its kiln, which count at the stage before."""
        return [
            (w.count, self._f.one)
            for w in self._s.wip
            if isinstance(w, InKiln) and w.fired_stage == stage and not self._firing.present[w.kiln]
            and key == (w.form if stage == "bisque" else w.order)
        ]  # fmt: skip

    def _glazing(self, order: Order) -> dict[int, Var]:
        """Pieces glazed by bucket, with at least one task where there are any."""
        glaze, work = self._s.glaze[order.glaze], self._s.form[order.form].glaze
        out = {}
        for b in self._f.numbers:
            if self._hands.end_in("glaze", 0, glaze.fixed + work.minutes(1), b) is None:
                continue
            out[b] = self._mip.var(order.qty)
            self._f.ask_kind("glaze", b, out[b], each(work, order.qty))
            if glaze.fixed:
                some = self._mip.var(1)
                self._f.ask_kind("glaze", b, some, glaze.fixed)
                room = self._hands.minutes_after("glaze", b, 0) - glaze.fixed
                most = min(order.qty, room * 60 // work.each_s if work.each_s else order.qty)
                self._mip.row([(1.0, out[b]), (-float(most), some)], hi=0)
        return out

    def _soon(self, loads: list[Load], key: str, minutes: float, fixed: int = 0) -> dict[int, list[Term]]:
        """Pieces that go on in the bucket their kiln is drawn in, by that bucket; the minutes they take after it."""
        out: dict[int, list[Term]] = defaultdict(list)
        for i, load in enumerate(loads):
            if key not in load.owed:
                continue
            soon = self._mip.var(load.most[key])
            self._at_most([(1.0, soon)], [(1.0, load.owed[key])])
            self._hurried[load.program.stage, i].append((minutes, soon))
            if fixed:
                some = self._mip.var(1)
                self._mip.row([(1.0, soon), (-float(load.most[key]), some)], hi=0)
                self._hurried[load.program.stage, i].append((float(fixed), some))
            out[load.to].append((1.0, soon))
        return out

    def _after_draws(self) -> None:
        """What goes on in the bucket its kiln is drawn in is worked on between that and the bucket's end."""
        for (stage, i), asked in self._hurried.items():
            load = (self._firing.bisque if stage == "bisque" else self._firing.glost)[i]
            kind = "glaze" if stage == "bisque" else "finish"
            self._at_most(asked, [(float(self._hands.minutes_after(kind, load.to, a.out)), v) for a, v in load.arcs])

    def _no_more(
        self,
        up_to: list[Term],
        came: Came,
        loads: list[Load],
        key: str,
        soon: dict[int, list[Term]],
        b: int,
        task: tuple[str, int],
    ) -> None:
        """What has gone on up to bucket ``b`` was there in time: from ``came`` or from ``loads``."""
        last = self._hands.last_end(*task, b)
        until = self._hands.buckets[b].a if last is None else last - task[1]
        there = [(c, v) for at, terms in came if at <= until for c, v in terms]
        there += [(1.0, x.owed[key]) for x in loads if x.to < b and key in x.owed]
        self._at_most(up_to, there + soon[b])

    def _order(self, order: Order, glazing: dict[int, Var]) -> dict[str, Var]:
        """From glazed to done; the pieces left over by stage."""
        form, key = self._s.form[order.form], order.id
        own = [w for w in self._s.wip if isinstance(w, Glazed) and w.order == key]
        given = self._mip.var(min(sum(w.count for w in own), order.qty))
        ready: Came = [(w.at, [(w.count, self._f.one)]) for w in own]
        glaze = self._s.glaze[order.glaze].fixed + form.glaze.minutes(1)
        for b, var in glazing.items():
            end = self._hands.end_in("glaze", 0, glaze, b)
            assert end is not None
            ready.append((end + form.glaze_dry, [(1.0, var)]))
        for last, terms in loadings(self._firing.glost, key):
            self._at_most(terms, [t for at, found in ready if at <= last for t in found])
        for b in self._f.numbers:
            glazed = [(1.0, given), *((1.0, v) for n, v in glazing.items() if n <= b)]
            self._rack[b] += self._firing.glazed_rack(order, b, glazed)
        in_all = [(1.0, given), *((1.0, v) for v in glazing.values())]
        self._mip.row(in_all, hi=order.qty)
        return self._done(order, in_all)

    def _done(self, order: Order, glazed: list[Term]) -> dict[str, Var]:
        key, work = order.id, self._s.form[order.form].finish
        came = self._drawn_now("glost", key)
        came += [(w.at, [(w.count, self._f.one)]) for w in self._s.wip if isinstance(w, Fired) and w.order == key]
        soon = self._soon(self._firing.glost, key, each(work))
        finished: list[Term] = []
        late: list[Term] = []
        for b in self._f.numbers:
            end = self._hands.end_in("finish", 0, work.minutes(1), b)
            if end is not None:
                var = self._piece(order, end, late)
                self._f.ask_kind("finish", b, var, each(work, order.qty))
                finished.append((1.0, var))
                self._no_more(list(finished), came, self._firing.glost, key, soon, b, ("finish", work.minutes(1)))
        left = {
            stage: self._piece(order, self._s.horizon + getattr(self._s.to_finish, stage), late)
            for stage in ("none", "green", "bisqued", "glazed", "fired")
        }
        self._mip.row([*finished, *((1.0, v) for v in left.values())], lo=order.qty, hi=order.qty)
        loads = [(1.0, x.held[key]) for x in self._firing.glost if key in x.held]
        self._at_most([*finished, (1.0, left["fired"])], [t for _, terms in came for t in terms] + loads)
        self._at_most([(1.0, left["glazed"]), *loads], glazed + self._undrawn("glost", key))
        self._tardy(order, late)
        return left

    def _piece(self, order: Order, at: int, late: list[Term]) -> Var:
        """Pieces done at ``at``, at their price."""
        over, w = max(0, at - order.due), self._s.weights
        var = self._mip.var(order.qty, cost=w.late * order.weight * -(-over // w.late_step))
        if over:
            late.append((1.0, var))
        return var

    def _tardy(self, order: Order, late: list[Term]) -> None:
        cost = self._s.weights.tardy * order.weight
        if cost and late:
            tardy = self._mip.var(1, cost=cost)
            self._mip.row([*late, (-float(order.qty), tardy)], hi=0)

    def _in_turn(self, orders: list[Order], left: dict[str, dict[str, Var]]) -> None:
        """Bisqued and green pieces go to the orders that are due first."""
        if not self._f.fine:
            return
        in_turn = sorted(orders, key=lambda o: o.due)
        for stage, earlier in (("bisqued", ("green", "none")), ("green", ("none",))):
            for i, order in enumerate(in_turn[1:], 1):
                later = self._mip.var(1)
                self._mip.row([(1.0, left[order.id][stage]), (-float(order.qty), later)], hi=0)
                for before in in_turn[:i]:
                    terms = [(1.0, left[before.id][s]) for s in earlier]
                    self._mip.row([*terms, (float(before.qty), later)], hi=before.qty)
