"""A scenario in the shape that the dispatcher works on: numbers by place, looked up once and shared by all runs."""

from __future__ import annotations

from copy import copy
from math import lcm

from planner.dispatch.calendar import Gaps
from planner.plan import Plan
from planner.scenario import Form, Kiln, Order, Scenario

DAY = 1440


class StackRule:
    """What one kiln holds of one stage (R08), in whole numbers.

    Pieces are counted in units of 1/``scale`` of a shelf. ``unit[f]`` is a piece of form f (0: this kiln cannot take
    it), ``rank[f]`` its clearance class (0 = tallest), ``step[k]`` the height that every shelf of class k or taller
    adds to the stack: S_k x (h_k - h_(k+1)) summed over k is the height of the rule's sum.
    """

    __slots__ = ("limits", "rank", "scale", "shelves", "stack", "step", "unit", "volume")

    def __init__(self, kiln: Kiln, stage: str, forms: tuple[Form, ...]) -> None:
        index = {f.id: i for i, f in enumerate(forms)}
        ways = [f.shelving(stage) for f in forms]
        per = [w.per_shelf.get(kiln.id, 0) for w in ways]
        self.scale = lcm(*[p for p in per if p > 0])
        self.unit = [self.scale // p if p > 0 else 0 for p in per]
        heights = sorted({w.clearance_mm + kiln.shelf_mm for w in ways}, reverse=True)
        self.rank = [heights.index(w.clearance_mm + kiln.shelf_mm) for w in ways]
        self.step = [h - low for h, low in zip(heights, [*heights[1:], 0], strict=True)]
        self.stack = kiln.stack_mm
        self.shelves = kiln.shelves
        self.limits = [
            [(index[f], n) for f, n in limit.counts.items()] for limit in kiln.limits if limit.stage == stage
        ]
        # the share of a full kiln that a piece takes, by height and by shelf, whichever is scarcer
        self.volume = [
            max((w.clearance_mm + kiln.shelf_mm) / max(1, kiln.stack_mm), 1 / max(1, kiln.shelves)) / p if p else 0.0
            for w, p in zip(ways, per, strict=True)
        ]


class Facts:
    """Everything of a scenario that no run changes."""

    def __init__(self, scenario: Scenario) -> None:
        s = self.scenario = scenario
        self.horizon = s.horizon
        self.forms = s.forms
        self.form_at = {f.id: i for i, f in enumerate(s.forms)}
        self.orders = s.orders
        self.order_at = {o.id: i for i, o in enumerate(s.orders)}
        self.order_form = [self.form_at[o.form] for o in s.orders]
        self.glaze_of = {g.id: g for g in s.glazes}
        self.kilns = s.kilns
        self.kiln_at = {k.id: i for i, k in enumerate(s.kilns)}
        self.midnight = s.midnight_offset
        self._hands()
        self.rules = [{st: StackRule(k, st, s.forms) for st in ("bisque", "glost")} for k in s.kilns]
        self.starts = [None if k.start_spans is None else list(k.start_spans) for k in s.kilns]
        # the part of a kiln that a glazed piece takes where it takes least; next to nothing where no kiln takes it
        self.glost_share = [
            min((v for r in self.rules if (v := r["glost"].volume[f])), default=1e-6) for f in range(len(s.forms))
        ]
        self._leads()
        self.rate = [self._rate(o) for o in s.orders]
        self.form_orders = [[i for i, f in enumerate(self.order_form) if f == n] for n in range(len(s.forms))]
        self.used_ids = self._used_ids()

    def _rate(self, order: Order) -> float:
        """What a late minute of one piece costs; a little even where lateness is free, so that orders get made."""
        w = self.scenario.weights
        return order.weight * (max(w.late / w.late_step, w.tardy / order.qty / (7 * DAY)) + 1e-9)

    def _hands(self) -> None:
        s = self.scenario
        kinds = {"press", "release", "load", "unload", "glaze", "finish", "pour", "lift", "job"}
        kinds |= {step.kind for f in s.forms for step in f.steps}
        narrow = sorted(
            range(len(s.people)), key=lambda i: (s.people[i].skills is None, len(s.people[i].skills or ()), i)
        )
        self.people_of = {k: [i for i in narrow if s.people[i].can(k)] for k in kinds}
        served = s.served_kinds
        self.stations_of: dict[str, list[int] | None] = {
            k: [i for i, x in enumerate(s.stations) if k in x.kinds] if k in served else None for k in kinds
        }
        self.regular = [Gaps.joined(p.hours, s.horizon) for p in s.people]
        self.all_hours = [Gaps.joined((*p.hours, *p.extra), s.horizon) for p in s.people]
        self.station_gaps = []
        for x in s.stations:
            gaps = Gaps.joined([(max(0, x.free_at), s.horizon)], s.horizon)
            for span in x.closed:
                gaps.cut(*span)
            self.station_gaps.append(gaps)

    def _leads(self) -> None:
        """Shortest ways through the studio by form, in minutes: to dry, through a bisque, from bisqued to finished."""
        self.to_dry: list[int] = []
        self.bisque_time: list[int] = []
        self.glost_time: list[int] = []
        self.hand_minutes: list[float] = []
        for i, f in enumerate(self.forms):
            self.to_dry.append(f.release_after.lo + sum(x.after.lo for x in f.steps) + f.dry + 120)
            self.bisque_time.append(self._firing_time(i, "bisque"))
            self.glost_time.append(self._firing_time(i, "glost") + f.glaze_dry + 240)
            seconds = f.press.each_s + f.release.each_s + sum(x.work.each_s for x in f.steps)
            self.hand_minutes.append(max(0.05, seconds / 60))

    def _firing_time(self, form: int, stage: str) -> int:
        times = [
            k.load + k.unload + p.fire + p.cool
            for n, k in enumerate(self.kilns)
            if self.rules[n][stage].unit[form]
            for p in k.programs
            if p.stage == stage
        ]
        return min(times, default=4 * DAY)

    def _used_ids(self) -> frozenset[str]:
        s = self.scenario
        return frozenset({w.id for w in s.wip} | (set() if s.previous is None else _ids(s.previous)))

    def without_ids_of(self, plan: Plan) -> Facts:
        """The same facts for a run that gives none of the plan's ids to anything new."""
        other = copy(self)
        other.used_ids = self.used_ids | _ids(plan)
        return other

    def day(self, minute: int) -> int:
        return (minute + self.midnight) // DAY


def _ids(plan: Plan) -> set[str]:
    return {r.id for rows in (plan.tasks, plan.batches, plan.firings, plan.lots, plan.finishes) for r in rows}


def facts_of(scenario: Scenario) -> Facts:
    """The facts of ``scenario``, made once and kept with it."""
    kept = vars(scenario).get("_facts")
    if kept is None:
        kept = vars(scenario)["_facts"] = Facts(scenario)
    return kept
