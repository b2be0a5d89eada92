"""A damp week in the demo: moulds rest longer, the plan's dates move back, and a sentence says so."""

from __future__ import annotations

import datetime as dt

import pytest

from studio.demo import load_demo, plan_demo
from studio.models import Member, Plan, Studio
from studio.services.answers import Answer
from studio.services.commands import run_command
from studio.translate import scenario_at

pytestmark = pytest.mark.django_db
NOW = dt.datetime(2027, 3, 17, 10, 30, tzinfo=dt.UTC)  # a Wednesday


def week(studio: Studio, kind: str) -> Answer:
    owner = Member.objects.select_related("user").get(studio=studio, role="owner")
    return run_command(
        studio=studio, user=owner.user, client_id=f"week-{kind}", kind="week_set", payload={"week": kind}, now=NOW
    )


def dates(row: Plan) -> dict[str, int]:
    """By order that the plan finishes, the minute at which it is done."""
    return {o["id"]: o["done"] for o in row.plan["orders"] if o["done"] is not None}


def presses(row: Plan) -> list[int]:
    return sorted(t["start"] for t in row.plan["tasks"] if t["kind"] == "press")


def test_moulds_rest_longer_and_dates_move_back() -> None:
    studio = load_demo(now=NOW)
    usual = scenario_at(studio, NOW).scenario
    before = plan_demo(studio, NOW, seconds=0)
    said = week(studio, "damp").message
    studio.refresh_from_db()
    damp = scenario_at(studio, NOW).scenario

    # A damp week doubles the rest and about doubles the drying: common practice, no source.
    assert all(damp.form[f.id].mould_rest > 1.5 * f.mould_rest for f in usual.forms)
    later = [m for m in usual.moulds if m.ready is not None and max(0, damp.mould[m.id].ready or 0) > max(0, m.ready)]
    assert later
    assert f"{len(later)} moulds are ready later, the last " in said

    after = plan_demo(studio, NOW, seconds=0)
    old, new = dates(before), dates(after)
    both = old.keys() & new.keys()
    assert sum(new[o] for o in both) > sum(old[o] for o in both)
    assert sum(new[o] > old[o] for o in both) > sum(new[o] < old[o] for o in both)
    assert presses(after)[-1] > presses(before)[-1]
