"""The worker that makes plans: it takes a run, has the planner solve it outside any transaction, and keeps the plan.

It holds nothing that matters: killed at any moment, it leaves the run's row, whose lease passes, and the plan in use.
"""

from __future__ import annotations

import datetime as dt
import logging
import os
import secrets
import socket
import threading
import time
from collections.abc import Callable
from dataclasses import asdict
from typing import TypeVar

from django.db import DatabaseError, InterfaceError, close_old_connections, connections, transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from planner.checks import check
from planner.plan import Plan as Solved
from planner.promise import promise
from planner.solve import solve
from studio.fitting import NO_PLAN, Fitted, fitted
from studio.looker import Looker
from studio.models import PlanRun
from studio.services import plans, runs
from studio.translate import Made, question_at, scenario_at
from studio.translate.question import answer_of, without_planning
from studio.translate.taken import as_before, plan_to_begin_from
from studio.translate.tuning import CALM, FAST, IN_TIME, OWN, other_way
from studio.watch import Watch

log = logging.getLogger("studio.worker")

POLL = 0.3  # seconds between looks for work
REAP = 5.0  # seconds between looks for runs that nobody holds any more
LONGEST_PAUSE = 5.0  # seconds between tries while the database is away
KEEP_TRYING = 30.0  # seconds for which the end of a run is tried to be written
CHILDREN = 2

Result = TypeVar("Result")


class Superseded(Exception):
    """The run was taken away while it was worked on: its plan is not wanted."""


class Worker:
    """One worker process. ``stop`` is set when it is to end; what it found by then is kept."""

    def __init__(
        self,
        stop: threading.Event,
        say: Callable[[str], object] = lambda _text: None,
        clock: Callable[[], dt.datetime] = timezone.now,
    ) -> None:
        self.name = f"{socket.gethostname()}:{os.getpid()}:{secrets.token_hex(3)}"[-80:]
        self.stop = stop
        self.say = say
        self.clock = clock
        self._reaped = 0.0

    def loop(self, poll: float = POLL) -> None:
        """Work until told to stop."""
        pause = poll
        while not self.stop.is_set():
            try:
                close_old_connections()
                self._reap()
                pause = poll
                if self.once() or Looker(self).once():
                    continue
            except (DatabaseError, InterfaceError):
                log.warning("the database cannot be used; trying again", exc_info=True)
                connections.close_all()
                pause = min(LONGEST_PAUSE, pause * 2)
            self.stop.wait(pause)

    def once(self) -> bool:
        """Take one run and bring it to its end; False if there was none."""
        run = runs.claim_run(worker=self.name, now=self.clock())
        if run is None:
            return False
        self.say(f"working on a plan for {run.studio.name} ({run.why or 'week'})")
        try:
            if run.kind == PlanRun.Kind.WHEN:
                self._answer(run)
            else:
                self._work(run)
        except Superseded:
            self.say("things have changed meanwhile; a newer plan is asked for")
        except (DatabaseError, InterfaceError):
            raise  # the lease will pass, and it is said then that the work broke off
        except Exception:
            code = secrets.token_hex(4)
            log.exception("a run broke off, code %s", code)
            message = _broke_off(run) % {"code": code}
            self._persist(lambda: runs.fail_run(run=run, worker=self.name, now=self.clock(), message=message))
        return True

    def _reap(self) -> None:
        """Say of runs whose worker has gone that they broke off; of this machine's own dead at once."""
        if self._reaped and time.monotonic() - self._reaped < REAP:
            return
        self._reaped = time.monotonic()
        now = self.clock()
        runs.reap(now=now)
        for run in PlanRun.objects.filter(state=PlanRun.State.RUNNING).exclude(worker=self.name):
            if _is_dead(run.worker):
                runs.fail_run(run=run, worker=run.worker, now=now, message=runs.gone_words())

    def _work(self, run: PlanRun) -> None:
        watch, ways = Watch(run, self), _ways(run)
        tried: list[tuple[str, Fitted]] = []
        for way, matters in ways:
            found = self._fitted(run, watch, matters, run.seconds / len(ways))
            tried.append((way, found))
            self.say(f"done: {found.plan.status}, cost {found.plan.cost}")
            if watch.stopped or found.plan.status in NO_PLAN:
                break
        self._persist(lambda: self._end(run, tried, stopped=watch.stopped))

    def _fitted(self, run: PlanRun, watch: Watch, matters: tuple[str, ...] | None, seconds: float) -> Fitted:
        """A plan whose loads find their places, for one way."""
        now = self.clock()

        def solved(made: Made, seconds: float, start: Solved | None) -> Solved:
            return solve(
                made.scenario, seconds=seconds, workers=CHILDREN, on_progress=watch.note,
                should_stop=watch.should_stop, start=start or plan_to_begin_from(run.studio, made),
            )  # fmt: skip

        return fitted(
            run.studio, lambda: scenario_at(run.studio, now, matters), solved, seconds, lambda: not watch.should_stop()
        )

    def _answer(self, run: PlanRun) -> None:
        """Answer a question by when something could be ready; a plan that somebody waits for goes first."""
        watch, about = Watch(run, self), run.about
        question = question_at(
            run.studio, self.clock(), form=about["form"], glaze=about["glaze"], qty=about["qty"]
        )  # fmt: skip
        result = without_planning(question)
        if result is None:
            scenario = as_before(question.made.scenario, plan_to_begin_from(run.studio, question.made))
            found = promise(
                scenario, form=question.form, glaze=question.glaze, qty=question.to_make,
                seconds=run.seconds, workers=CHILDREN, on_progress=lambda p: watch.answer(answer_of(question, p)),
                should_stop=watch.should_stop,
            )  # fmt: skip
            result = {**answer_of(question, found), "final": not watch.stopped}
        if watch.gave_way and self._persist(lambda: runs.put_back(run=run, worker=self.name)):
            self.say("a plan is waited for; the question goes on after it")
            return
        state = PlanRun.State.STOPPED if watch.stopped else PlanRun.State.DONE
        self._persist(lambda: runs.finish_run(
            run=run, worker=self.name, now=self.clock(), state=state, result=result
        ))  # fmt: skip
        self.say(f"answered: {result['status']}")

    def _end(self, run: PlanRun, tried: list[tuple[str, Fitted]], *, stopped: bool) -> None:
        """Write how the run ended, with its plan if there is one, and the other way; all of it or nothing."""
        found = [x for x in tried if x[1].plan.status not in NO_PLAN]
        if not found:
            self._without_plan(run, tried[0][1].plan, stopped=stopped)
            return
        for _way, one in found:
            faults = check(one.made.scenario, one.plan)
            if faults:
                raise ValueError(f"the planner's answer breaks its own rules: {faults[0]}")
        state = PlanRun.State.STOPPED if stopped else PlanRun.State.DONE
        message = _("Stopped early; the best plan so far is kept.") if stopped else ""
        with transaction.atomic():
            rows = [
                plans.save_plan(studio=run.studio, made=one.made, plan=one.plan, now=self.clock(), way=way,
                                placing=one.placing, noted=one.noted)
                for way, one in found
            ]
            kept = runs.finish_run(
                run=run, worker=self.name, now=self.clock(), state=state, plan=rows[0],
                other=rows[1] if len(rows) > 1 else None, message=message,
                reasons=[asdict(r) for r in found[0][1].plan.reasons],
            )  # fmt: skip
            if not kept:
                raise Superseded

    def _without_plan(self, run: PlanRun, plan: Solved, *, stopped: bool) -> None:
        impossible = plan.status == "infeasible"
        state = PlanRun.State.IMPOSSIBLE if impossible else PlanRun.State.STOPPED if stopped else PlanRun.State.FAILED
        message = (
            _("What has to be done anyway cannot all be done in time as things stand.")
            if impossible
            else _("No plan was found in this time; give it longer.")
        )
        runs.finish_run(
            run=run, worker=self.name, now=self.clock(), state=state, message=message,
            reasons=[asdict(r) for r in plan.reasons],
        )  # fmt: skip

    def _persist(self, write: Callable[[], Result]) -> Result:
        """Write, and try again while the database is locked or away."""
        end, pause = time.monotonic() + KEEP_TRYING, 0.1
        while True:
            try:
                return write()
            except (DatabaseError, InterfaceError):
                if time.monotonic() > end:
                    raise
                log.warning("the end of a run could not be written; trying again", exc_info=True)
                connections.close_all()
                time.sleep(pause)
                pause = min(LONGEST_PAUSE, pause * 2)


def _ways(run: PlanRun) -> list[tuple[str, tuple[str, ...] | None]]:
    """The ways in which a run plans, each with what matters more in it; None stands for the studio's choice."""
    if not run.about.get("two"):
        return [("", None)]
    chosen = tuple(run.studio.matters.get("more", ()))
    other = other_way(chosen)
    return [(OWN, chosen), (FAST if IN_TIME in other else CALM, other)]


def _broke_off(run: PlanRun) -> str:
    if run.kind == PlanRun.Kind.WHEN:
        return _("Looking for a day broke off; ask again. If it happens again, quote %(code)s.")
    return _("Making the plan broke off; start it again. If it happens again, quote "
             "%(code)s.")  # fmt: skip


def _is_dead(worker: str) -> bool:
    """Whether a worker of this machine is known to have gone; of other machines only the lease tells."""
    host, _colon, rest = worker.partition(":")
    pid = rest.partition(":")[0]
    if host != socket.gethostname() or not pid.isdecimal() or os.name == "nt":
        return False
    try:
        os.kill(int(pid), 0)
    except ProcessLookupError:
        return True
    except OSError:
        return False
    return False
