"""kill -9 in mid-run, of the worker and of the solver: a plain message, the old plan, a run that starts again.

Run it for longer with STUDIO_KILL_ROUNDS=20.
"""

from __future__ import annotations

import os
import signal

import pytest
from django.utils import timezone

from studio.models import PlanRun
from studio.queries.plans import current_plan
from studio.services import runs
from tests.runs.processes import WorkerProcess, alive, fresh, wait_for
from tests.services.shop import Shop

pytestmark = [
    pytest.mark.django_db(transaction=True),
    pytest.mark.skipif(not os.path.isdir("/proc/self"), reason="needs /proc to find the solver's processes"),  # noqa: PTH112
]
ROUNDS = int(os.environ.get("STUDIO_KILL_ROUNDS", "2"))
State = PlanRun.State


@pytest.fixture
def planned() -> Shop:
    """A small studio, now, with a plan in use and more orders than can be planned in a second."""
    shop = Shop(now=timezone.now()).furnish(moulds=6)
    for i in range(8):
        shop.order(qty=20 + i, days=4 + i)
    shop.plan()
    return shop


def start(shop: Shop, seconds: int) -> PlanRun:
    shop.now = timezone.now()
    return PlanRun.objects.get(public_id=shop.do("plan_make", seconds=seconds).data["run"])


def searching(worker: WorkerProcess, run: PlanRun) -> bool:
    return fresh(run).state == State.RUNNING and bool(fresh(run).progress) and bool(worker.children())


def test_a_killed_worker_costs_nobody_a_plan(planned: Shop) -> None:
    before = current_plan(planned.studio)
    assert before is not None
    run = start(planned, seconds=60)
    for _round in range(ROUNDS):
        with WorkerProcess() as worker:
            wait_for(lambda w=worker, r=run: searching(w, r))
            solvers = worker.children()
            worker.kill()
        wait_for(lambda s=solvers: not any(alive(p) for p in s), 10)  # nothing is left behind
        with WorkerProcess():
            wait_for(lambda r=run: fresh(r).state == State.FAILED)
        assert fresh(run).message == runs.gone_words()
        live = current_plan(planned.studio)
        assert live is not None
        assert live.row.pk == before.row.pk
        planned.now = timezone.now()
        run = PlanRun.objects.get(public_id=planned.do("plan_again", run=run.public_id).data["run"])
        assert run.state == State.WAITING
    PlanRun.objects.filter(pk=run.pk).update(seconds=1)
    with WorkerProcess():
        wait_for(lambda: fresh(run).state == State.DONE)
    assert fresh(run).plan is not None


def test_a_killed_solver_leaves_the_best_plan_so_far(planned: Shop) -> None:
    with WorkerProcess() as worker:
        for _round in range(ROUNDS):
            run = start(planned, seconds=6)
            wait_for(lambda r=run: searching(worker, r))
            for pid in worker.children():
                os.kill(pid, signal.SIGKILL)
            wait_for(lambda r=run: fresh(r).state == State.DONE)
            assert fresh(run).plan is not None


def test_a_worker_that_is_asked_to_end_keeps_its_plan_and_is_quick(planned: Shop) -> None:
    run = start(planned, seconds=60)
    with WorkerProcess() as worker:
        wait_for(lambda: searching(worker, run))
        took = worker.end()
    assert took < 2
    assert worker.process.returncode == 0
    assert fresh(run).state == State.STOPPED
    assert fresh(run).plan is not None


def test_a_person_who_stops_a_run_has_its_plan_soon(planned: Shop) -> None:
    run = start(planned, seconds=60)
    with WorkerProcess() as worker:
        wait_for(lambda: searching(worker, run))
        planned.do("plan_stop", run=run.public_id)
        wait_for(lambda: fresh(run).state == State.STOPPED, 5)
    assert fresh(run).plan is not None
