"""From “this mould cracked” on the page to the new plan on the page, with a worker beside it."""

from __future__ import annotations

import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from itertools import count

from django.contrib.auth.models import User
from django.db import connections

from planner.checks import check
from planner.jsonio import plan_from_json, scenario_from_json
from studio.bootstrap.errors import StartError
from studio.measuring.pages import visitor
from studio.models import Form, PlanRun, Studio

LOOK_S = 1.0  # as often as the page looks
LIMIT_S = 60
ENDED = {PlanRun.State.DONE, PlanRun.State.STOPPED}


@dataclass(frozen=True)
class CrackCost:
    """Seconds from the tap to the new plan on the page; what changes, in sentences; whether the checker agrees."""

    seconds: float
    searched: int
    changes: list[str]
    valid: bool


def crack_cost(studio: Studio, user: User) -> CrackCost:
    """Record a cracked mug mould and wait as the page does. Raises StartError when no plan comes of it."""
    client = visitor(user)
    form = Form.objects.get(studio=studio, name="Mug")
    with worker_beside():
        begun = time.monotonic()
        sent = {"id": "measured-crack", "kind": "mould_cracked", "form": form.public_id}
        answer = client.post(f"/s/{studio.public_id}/do/", sent)
        for look in count(1):
            time.sleep(max(0.0, begun + look * LOOK_S - time.monotonic()))
            page = client.get(answer.headers["Location"], HTTP_HX_REQUEST="true", HTTP_ACCEPT_ENCODING="identity")
            if "What would change" in page.content.decode():
                break
            if look * LOOK_S > LIMIT_S:
                raise StartError("No new plan came within a minute.")
        seconds = time.monotonic() - begun
    run = PlanRun.objects.filter(studio=studio).latest("pk")
    if run.state not in ENDED or run.plan is None:
        raise StartError(f"The run ended as “{run.state}”: {run.message}")
    faults = check(scenario_from_json(run.plan.scenario), plan_from_json(run.plan.plan))
    return CrackCost(seconds, run.seconds, [str(c.get("text")) for c in run.plan.changes], not faults)


@contextmanager
def worker_beside() -> Iterator[None]:
    """A worker in a thread, for it has to share this process's clock; its solvers are processes as ever."""
    from studio.worker import Worker

    stop = threading.Event()

    def work() -> None:
        Worker(stop).loop()
        connections.close_all()

    thread = threading.Thread(target=work, name="worker")
    thread.start()
    try:
        yield
    finally:
        stop.set()
        thread.join()
