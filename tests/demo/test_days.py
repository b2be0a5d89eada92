"""Several days in the demo, lived by its plans: recorded task by task, planned anew, with things that go wrong."""

from __future__ import annotations

import datetime as dt
import uuid
from typing import Any

import pytest

from planner.solve import solve
from studio.demo import load_demo
from studio.models import Form, Member, Studio
from studio.queries.plans import Live, current_plan
from studio.queries.state import state_of
from studio.services import plans
from studio.services.commands import run_command
from studio.translate import scenario_at

pytestmark = pytest.mark.django_db
WEDNESDAY = dt.datetime(2027, 3, 17, 10, 30, tzinfo=dt.UTC)


class Days:
    """Lives by the current plan; every answer has to be a yes."""

    def __init__(self) -> None:
        self.now = WEDNESDAY
        self.studio: Studio = load_demo(now=self.now)
        self.user = Member.objects.get(studio=self.studio, role="owner").user

    def do(self, kind: str, **payload: Any) -> dict[str, Any]:
        answer = run_command(
            studio=self.studio, user=self.user, client_id=uuid.uuid4().hex, kind=kind, payload=payload, now=self.now
        )
        assert answer.ok, (kind, answer)
        return answer.data

    def plan(self) -> Live:
        """Plan from now on and use it."""
        made = scenario_at(self.studio, self.now)
        solved = solve(made.scenario, seconds=0)
        assert solved.status == "feasible", [r.text for r in solved.reasons]
        row = plans.save_plan(studio=self.studio, made=made, plan=solved, now=self.now)
        assert plans.accept_plan(studio=self.studio, plan=row, now=self.now).used
        live = current_plan(self.studio)
        assert live is not None
        return live

    def live_until(self, live: Live, end: dt.datetime) -> int:
        """Record every task that ends by then at its end, and light every kiln when the plan says; how many."""
        events = [(live.when(t.end), 0, t.id) for t in live.plan.tasks]
        events += [(live.when(f.fire), 1, f.id) for f in live.plan.firings if f.fire is not None]
        done = 0
        for at, is_fire, thing in sorted(events):
            if at > end:
                continue
            self.now = at
            self.do("lit", firing=thing) if is_fire else self.do("task_done", task=thing)
            done += 1
        self.now = end
        return done


def test_a_week_lived_by_its_plans_adds_up() -> None:
    days = Days()
    done = 0
    for _plan in range(4):
        live = days.plan()
        done += days.live_until(live, days.now + dt.timedelta(days=1, hours=21, minutes=7))
    assert done > 60
    state = state_of(days.studio)
    assert state.troubles == []
    assert state.twice == {}
    assert sum(t.firsts for t in state.lines.values()) > 40


def test_a_day_on_which_much_goes_wrong_is_still_planned() -> None:
    days = Days()
    days.live_until(days.plan(), days.now + dt.timedelta(hours=3))
    mug = Form.objects.get(studio=days.studio, name="Mug")
    days.do("mould_cracked", form=mug.public_id, replan=False)
    biggest = max((w for w in state_of(days.studio).ware.values()), key=lambda w: w.count)
    days.do("pots_lost", ware=biggest.id, count=biggest.count // 2, why="board dropped")
    kilns = scenario_at(days.studio, days.now).names
    large = next(i for i, name in kilns.items() if name == "Large kiln")
    days.do("kiln_out", kiln=large, until=(days.now + dt.timedelta(days=2)).isoformat(), replan=False)
    jory = Member.objects.get(studio=days.studio, role="maker").person
    assert jory is not None
    back = days.now + dt.timedelta(days=3)
    days.do("person_away", person=jory.public_id, until=back.isoformat(), replan=False)
    live = days.plan()
    assert min(live.when(t.start) for t in live.plan.tasks if t.person == jory.public_id) >= back
    loads = [f for f in live.plan.firings if f.kiln == large and f.load is not None]
    assert all(live.when(live.plan.task[f.load].start) >= days.now + dt.timedelta(days=2) for f in loads)
    days.live_until(live, days.now + dt.timedelta(days=2))
    assert state_of(days.studio).troubles == []
