"""The promise: a first date at once, then earlier ones, then what would bring the order sooner still.

1. The plan of reference: the plan before if it is still valid, else the best one found in part of the time.
2. The order is put into what that plan leaves free. If the days given do not reach, more are added (see ``horizon``).
3. A search over whole plans finds earlier dates, and for every earlier day the plan that sets others back least.
4. Each easing is given the same number of tries as the studio as it is. A plan that turns out not to need its easing
   is taken as a better plan for the studio as it is: so no luck of the search is sold as an option.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import replace

from planner.bound import lower_bound
from planner.costs import finished_at
from planner.dispatch import first_plan
from planner.facts import Facts
from planner.faults import Fault, Refused
from planner.plan import Plan, Reason
from planner.promise.asked import must_be_known, order_of
from planner.promise.ground import STEP, Ground, reference_plan, stretched
from planner.promise.options import easings_for
from planner.promise.reasons import impossible, not_within, why_not_earlier
from planner.promise.records import Promise
from planner.promise.search import FIRSTS, Search, end_of_day
from planner.promise.standing import Standing
from planner.promise.telling import Eased, earlier_days, options_of, parts_of
from planner.reasons.waits import soonest_from_clay
from planner.relief.words import day_of
from planner.scenario import Order, Scenario
from planner.solve import solve

DAY = 1440
MOST_DAYS = 70  # from now; no date later than this is looked for
REFERENCE_PART, BASE_PART = 0.3, 0.5  # of the time: for a plan of reference if there is none, and until the options
LEAST_FOR_FIRST = 1.5  # seconds that looking for a first date may take, whatever was asked for
LAST_WORDS = 0.15  # seconds kept for the last try and for writing the answer down
REPORT = 0.3  # seconds between reports
ROUND = 6  # tries that each easing gets in a round

OnProgress = Callable[[Promise], None]
ShouldStop = Callable[[], bool]


def promise(
    scenario: Scenario,
    *,
    form: str,
    glaze: str,
    qty: int,
    weight: int = 1,
    seconds: float = 5,
    workers: int = 2,
    seed: int = 0,
    on_progress: OnProgress | None = None,
    should_stop: ShouldStop | None = None,
    most_days: int = MOST_DAYS,
) -> Promise:
    """The earliest date found within ``seconds`` for ``qty`` finished pieces that makes no present order later.

    ``qty`` is taken as it stands: pieces to finish, allowance for losses included. ``weight`` is the new order's.
    ``on_progress`` gets every better answer while it is looked for. ``workers`` are used where a plan of reference has
    to be found first. Raises :class:`planner.faults.Refused` for a form, glaze or number that cannot be.
    """
    must_be_known(scenario, form, glaze)
    if qty < 1:
        raise Refused([Fault("/qty", f"{qty} pieces", "a whole number of pieces from 1")])
    clock = _Clock(seconds, should_stop)
    asked = _Asked(scenario, order_of(scenario, form, glaze, qty, weight, 0), most_days, seed, clock, on_progress)
    return asked.answer(workers)


class _Clock:
    def __init__(self, seconds: float, should_stop: ShouldStop | None) -> None:
        self.begun = time.monotonic()
        self.total = max(0.9 * seconds, seconds - LAST_WORDS)
        self._stop = should_stop

    def spent(self) -> float:
        return time.monotonic() - self.begun

    def over_for_first(self, begun: float) -> bool:
        """Whether a first date, looked for since ``begun``, has taken too long; a short time is stretched for it."""
        return (self._stop is not None and self._stop()) or self.spent() > max(self.total, begun + LEAST_FOR_FIRST)

    def left(self, part: float = 1.0) -> float:
        """Seconds left until ``part`` of the time has gone; 0 once somebody wished to stop."""
        if self._stop is not None and self._stop():
            return 0.0
        return max(0.0, self.total * part - self.spent())


class _Asked:
    """One question at work."""

    def __init__(
        self,
        scenario: Scenario,
        order: Order,
        most_days: int,
        seed: int,
        clock: _Clock,
        on_progress: OnProgress | None,
    ) -> None:
        self._scenario, self._order, self._most_days = scenario, order, most_days
        self._seed, self._clock, self._on_progress = seed, clock, on_progress
        self._reported = -REPORT
        self._notes: list[str] = []
        self._eased: list[Eased] = []

    def answer(self, workers: int) -> Promise:
        proofs = impossible(self._scenario, self._order)
        if proofs:
            return self._without("impossible", proofs)
        reference = reference_plan(self._scenario, lambda: self._solved(workers))
        if reference is None:
            return self._no_plan(workers)
        self._first_date(Ground(self._scenario, reference, 0))
        self._report(always=True)
        if self._base.best is not None:
            self._search_base(BASE_PART if self._clock.total > 1 else 1.0)
        self._measure()
        return replace(self._promise(), final=True)

    # the plan of reference

    def _solved(self, workers: int) -> Plan | None:
        self._provisional()
        seconds = self._clock.left(REFERENCE_PART)
        plan = solve(self._scenario, seconds=seconds if seconds > 0.5 else 0, workers=workers, seed=self._seed)
        self._notes.append("there was no valid plan to measure by, so one was made first")
        return plan if plan.status in ("optimal", "feasible") else None

    def _provisional(self) -> None:
        """A date by a quick plan of reference, to be looked at while a good one is made."""
        quick = first_plan(self._scenario) if self._on_progress is not None else None
        if quick is not None:
            self._notes.append("measured by a quick plan, until there is a better one")
            self._first_date(Ground(self._scenario, quick, 0))
            self._report(always=True)
            self._notes.clear()

    def _no_plan(self, workers: int) -> Promise:
        plan = solve(self._scenario, seconds=self._clock.left(), workers=workers, seed=self._seed)
        status = "impossible" if plan.status == "infeasible" else "none"
        return self._without(status, plan.reasons)

    def _without(self, status: str, reasons: tuple[Reason, ...]) -> Promise:
        answer = replace(self._plain(status, reasons, None), final=True)
        if self._on_progress is not None:
            self._on_progress(answer)
        return answer

    def _plain(self, status: str, reasons: tuple[Reason, ...], reference: Plan | None) -> Promise:
        """An answer without a date."""
        return Promise(
            status,
            self._order,
            replace(self._scenario, orders=(*self._scenario.orders, self._order)),
            reference,
            most_days=self._most_days,
            reasons=reasons,
            notes=tuple(self._notes),
            seconds=round(self._clock.spent(), 2),
        )

    # dates

    def _first_date(self, ground: Ground) -> None:
        """Put the order into what is free, with more days if it takes them."""
        begun = self._clock.spent()
        while True:
            self._ground = ground
            soon = max(0, soonest_from_clay(ground.scenario, self._order))
            order = replace(self._order, due=soon)
            standing = Standing(ground.scenario, ground.reference)
            self._base = Search(ground.scenario, order, standing, ground.reference, self._seed)
            self._base.run(FIRSTS)
            more = min(STEP, self._most_days - ground.scenario.horizon // DAY)
            if self._base.best is not None or more <= 0 or self._clock.over_for_first(begun):
                return
            longer = stretched(ground, more, self._seed)
            if longer is None:
                return
            ground = longer

    def _search_base(self, part: float) -> None:
        while self._clock.left(part) > 0:
            if self._base.run(1):
                self._report()

    # options

    def _measure(self) -> None:
        """Give every easing as many tries as the studio as it is, round by round, until the time is over."""
        standing = Standing(self._ground.scenario, self._ground.reference)
        waiting = easings_for(self._ground.scenario, self._base.order, self._base.best)
        seed = self._seed + 1
        while self._clock.left() > 0:
            if waiting:
                easing = waiting.pop(0)
                search = Search(
                    easing.apply(self._ground.scenario), self._base.order, standing, self._ground.reference, seed
                )
                self._eased.append(Eased(easing, search))
                todo = [self._eased[-1]]
            else:
                todo = self._eased
                self._run_base(ROUND)
            for eased in todo:
                if self._clock.left() <= 0:
                    break
                self._run_eased(eased)
            self._report()

    def _run_base(self, tries: int) -> None:
        for _ in range(tries):
            if self._clock.left() > 0:
                self._base.run(1)

    def _run_eased(self, eased: Eased) -> None:
        if self._base.best is not None:
            eased.search.hint = self._base.best.plan
            eased.search.offer(self._base.best.plan)
        for _ in range(max(ROUND, FIRSTS if eased.search.tries == 0 else 0)):
            if self._clock.left() <= 0:
                return
            eased.search.run(1)
        found, best = eased.search.best, self._base.best
        if found is not None and best is not None and found.done < best.done:
            self._base.offer(found.plan)  # taken only if it does without the easing
            if self._base.best is not best:
                self._report(always=True)

    # what is told

    def _report(self, *, always: bool = False) -> None:
        now = self._clock.spent()
        if self._on_progress is not None and (always or now - self._reported >= REPORT):
            self._reported = now
            self._on_progress(self._promise())

    def _promise(self) -> Promise:
        found, ground = self._base.best, self._ground
        if found is None:
            return self._no_date()
        order = replace(self._order, due=end_of_day(ground.scenario, found.done))
        scenario = replace(ground.scenario, orders=(*ground.scenario.orders, order))
        bound = lower_bound(scenario)
        status = "optimal" if bound == found.plan.cost else "feasible"
        when = next(t for o, t in finished_at(Facts(scenario, found.plan)) if o.id == order.id)
        return Promise(
            "promise",
            order,
            scenario,
            ground.reference,
            plan=replace(found.plan, status=status, bound=bound),
            done=found.done,
            date=day_of(scenario, found.done),
            parts=parts_of(when.finished),
            added_days=ground.added,
            most_days=self._most_days,
            earlier=earlier_days(ground, self._base),
            reasons=why_not_earlier(scenario, order, found.plan),
            options=options_of(ground.scenario, self._order, self._base, self._eased),
            measured=len(self._eased),
            notes=tuple(self._all_notes()),
            seconds=round(self._clock.spent(), 2),
            tries=self._base.tries + sum(e.search.tries for e in self._eased),
        )

    def _no_date(self) -> Promise:
        ground = self._ground
        days = ground.scenario.horizon // DAY
        options = options_of(ground.scenario, self._order, self._base, self._eased)
        reasons = not_within(self._scenario, self._order, days)
        answer = self._plain("none", reasons, ground.reference)
        return replace(answer, added_days=ground.added, options=options, measured=len(self._eased))

    def _all_notes(self) -> list[str]:
        notes = list(self._notes)
        if self._ground.added:
            given = self._scenario.horizon // DAY
            notes.append(
                f"the {given} days given are too short: {self._ground.added} days were added, with the same hours "
                "week by week"
            )
        return notes
