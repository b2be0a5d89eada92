"""A small studio made through its own door, for tests to act in."""

from __future__ import annotations

import datetime as dt
import uuid
from typing import Any

from django.contrib.auth.models import User

from studio.models import Fact, Member, Studio
from studio.queries.state import state_of
from studio.record.state import State
from studio.services.answers import Answer
from studio.services.commands import SECRET, run_command
from studio.services.commands_members import accept_invitation
from studio.services.founding import login_without_password, open_studio

MONDAY = dt.datetime(2027, 3, 15, 8, 0, tzinfo=dt.UTC)


class Shop:
    """``do`` sends a command as the owner (or ``by`` another login) at ``now`` and returns its answer."""

    def __init__(self, name: str = "North Yard", now: dt.datetime = MONDAY) -> None:
        self.now = now
        self.owner = login_without_password(name="owner")
        self.studio: Studio = open_studio(name=name, time_zone="Europe/London", owner=self.owner)
        self.ids: dict[str, str] = {}

    def send(self, kind: str, *, by: User | None = None, client_id: str | None = None, **payload: Any) -> Answer:
        return run_command(
            studio=self.studio, user=by or self.owner, client_id=client_id or uuid.uuid4().hex, kind=kind,
            payload=payload, now=self.now,
        )  # fmt: skip

    def do(self, kind: str, **payload: Any) -> Answer:
        """Send a command that has to be done."""
        answer = self.send(kind, **payload)
        assert answer.status == 200, (kind, answer)
        return answer

    def refused(self, status: int, kind: str, **payload: Any) -> Answer:
        """Send a command that has to be refused, and leave no fact."""
        before = Fact.objects.filter(studio=self.studio).count()
        answer = self.send(kind, **payload)
        assert answer.status == status, (kind, answer)
        assert answer.message
        assert Fact.objects.filter(studio=self.studio).count() == before
        return answer

    def later(self, **delta: float) -> None:
        self.now += dt.timedelta(**delta)

    @property
    def state(self) -> State:
        return state_of(self.studio)

    def maker(self, person: str | None = None) -> User:
        """A second login, invited as a maker."""
        token = self.do("invite", role="maker", person=person).data[SECRET]
        user = login_without_password(name="maker")
        assert accept_invitation(token=token, user=user, now=self.now) == self.studio
        return user

    def member(self, user: User) -> Member:
        return Member.objects.get(studio=self.studio, user=user)

    def furnish(self, *, moulds: int = 8) -> Shop:
        """One person, one machine, racks, a kiln with bisque and glost, a glaze, and bowls."""
        ids = self.ids
        ids["person"] = self.do("person_save", name="Odd").data["person"]
        week = [{"weekday": d, "starts": "08:00", "ends": "17:00"} for d in range(5)]
        self.do("hours_save", person=ids["person"], version=1, hours=week)
        ids["jolley"] = self.do("station_save", name="Jolley", kinds=["press"]).data["station"]
        for use in ("damp", "drying", "glazed"):
            ids[use] = self.do("rack_save", name=use, use=use, boards=30).data["rack"]
        ids["bisque"] = self.do("program_save", name="Bisque", stage="bisque").data["program"]
        ids["glost"] = self.do("program_save", name="Glost", stage="glost").data["program"]
        ids["kiln"] = self.do("kiln_save", **self.kiln()).data["kiln"]
        ids["glaze"] = self.do("glaze_save", name="Chalk", programs=[ids["glost"]]).data["glaze"]
        bowl = {"name": "Bowl", "shape": "bowl", "fired_mm": 150, "foot": "turned", "moulds": moulds}
        ids["form"] = self.do("form_new", **bowl).data["form"]
        return self

    def kiln(self) -> dict[str, Any]:
        programs = [
            {"program": self.ids["bisque"], "fire_min": 600, "cool_min": 900, "kwh": 65},
            {"program": self.ids["glost"], "fire_min": 600, "cool_min": 1080, "kwh": 105},
        ]
        sizes = {"stack_mm": 690, "shelf_mm": 20, "shelves": 9, "load_min": 60, "unload_min": 40}
        return {"name": "Kiln", "shelf_kind": "590", "programs": programs, **sizes}

    def order(self, qty: int = 10, days: int = 14) -> str:
        """An order of bowls; its line's id."""
        due = (self.now + dt.timedelta(days=days)).date().isoformat()
        lines = [{"form": self.ids["form"], "glaze": self.ids["glaze"], "qty": qty}]
        answer = self.do("order_new", customer_name="The Ninth Heron", due=due, lines=lines)
        self.ids["order"] = answer.data["order"]
        return answer.data["lines"][0]

    def plan(self, *, places: bool = False) -> Any:
        """A first plan by the real planner, in use, with the ``places`` in its kilns; what :func:`current_plan` gives.
        """
        from planner.solve import solve
        from studio.queries.plans import current_plan
        from studio.services import plans
        from studio.translate import scenario_at
        from studio.translate.placing import NOWHERE, Placer

        made = scenario_at(self.studio, self.now)
        solved = solve(made.scenario, seconds=0)
        assert solved.status in ("feasible", "optimal"), solved.reasons
        placing = Placer(self.studio).place(solved, made.scenario) if places else NOWHERE
        row = plans.save_plan(studio=self.studio, made=made, plan=solved, now=self.now, placing=placing)
        assert plans.accept_plan(studio=self.studio, plan=row, now=self.now).used
        return current_plan(self.studio)
