"""The demo, loaded on any day of the week and at any hour: believable, without troubles, and plannable."""

from __future__ import annotations

import datetime as dt

import pytest

from studio.demo import load_demo, plan_demo, tables
from studio.models import Command, Fact, Form, FormTimings, Member, Order, Studio
from studio.queries.plans import current_plan
from studio.queries.record import minute_of
from studio.queries.state import state_of
from studio.record.state import BISQUED, FIRED, IN_MOULD, LEATHER, State, Ware
from studio.services.founding import login_without_password

pytestmark = pytest.mark.django_db
MONDAY = dt.datetime(2027, 3, 15, tzinfo=dt.UTC)
CLOCKS = ["06:30", "10:30", "14:10", "16:30", "23:10"]
MOMENTS = [(day, clock) for day in range(7) for clock in (CLOCKS if day in (0, 2) else CLOCKS[day % 2 :: 3])]


def moment(day: int, clock: str) -> dt.datetime:
    hour, minute = clock.split(":")
    return MONDAY + dt.timedelta(days=day, hours=int(hour), minutes=int(minute))


@pytest.mark.parametrize(("day", "clock"), MOMENTS)
def test_it_is_believable_on_any_day_at_any_hour(day: int, clock: str) -> None:
    now = moment(day, clock)
    studio = load_demo(now=now)
    state = state_of(studio)
    assert state.troubles == []
    assert state.twice == {}
    assert {w.stage for w in state.ware.values()} >= {LEATHER, BISQUED, FIRED}
    for ware in state.ware.values():
        if ware.stage == IN_MOULD:
            assert latest(ware) > minute_of(now), f"{ware} should have been taken out"
    assert all(f.command_id for f in Fact.objects.filter(studio=studio))
    assert Fact.objects.filter(studio=studio, happened_at__gt=now).count() == 0
    row = plan_demo(studio, now, seconds=0)
    assert row.is_current
    assert row.plan["spoiled"] == []


def latest(ware: Ware) -> int:
    """The minute by which a batch must be out of its moulds, by the timings of its form."""
    t = FormTimings.objects.get(form__public_id=ware.form)
    window = t.release_after_covered if ware.covered_in_mould else t.release_after
    return (ware.first or 0) + window[1]


def test_wares_stand_at_every_stage_on_a_wednesday_morning() -> None:
    studio = load_demo(now=moment(2, "10:30"))
    state = state_of(studio)
    names = dict(Form.objects.filter(studio=studio).values_list("public_id", "name"))
    stages = {w.stage for w in state.ware.values()}
    assert stages == {IN_MOULD, LEATHER, BISQUED, FIRED, "kiln"}
    assert lit(state) == 1
    assert {names[w.form] for w in state.ware.values()} >= {"Mug", "Bowl 15", "Dinner plate", "Egg cup"}
    sent = Order.objects.get(studio=studio, due=moment(1, "00:00").date())
    assert sent.closed_at is not None


def lit(state: State) -> int:
    return sum(f.lit is not None and f.drawn is None for f in state.firings.values())


def test_it_belongs_to_the_login_that_is_given() -> None:
    user = login_without_password(name="someone")
    studio = load_demo(now=moment(1, "09:00"), user=user)
    members = {m.user.username: (m.role, m.person and m.person.name) for m in Member.objects.filter(studio=studio)}
    assert members == {"someone": ("owner", tables.OWNER), "jory": ("maker", tables.MAKER)}
    assert studio.is_demo


def test_without_a_login_it_makes_one_that_cannot_be_used_yet() -> None:
    studio = load_demo(now=moment(1, "09:00"))
    owner = Member.objects.get(studio=studio, role="owner").user
    assert owner.username == tables.LOGIN
    assert not owner.has_usable_password()
    assert load_demo(now=moment(1, "09:00")).pk != studio.pk  # twice in one database do not collide


def test_all_or_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    from studio.demo import load

    def breaks(_hands: object) -> None:
        raise ZeroDivisionError

    monkeypatch.setattr(load, "tell", breaks)
    with pytest.raises(ZeroDivisionError):
        load_demo(now=moment(1, "09:00"))
    assert not Studio.objects.exists()
    assert not Command.objects.exists()


def test_it_lives_in_the_time_zone_of_its_computer() -> None:
    studio = load_demo(now=moment(2, "20:00"), time_zone="America/New_York")  # four in the afternoon there
    assert studio.time_zone == "America/New_York"
    assert {w.stage for w in state_of(studio).ware.values()} >= {LEATHER, BISQUED}


def test_mugs_bind_the_hands_and_plates_the_kiln() -> None:
    """By the demo's own figures: hours of hands and loads of the large kiln for a hundred of each."""
    studio = load_demo(now=moment(2, "10:30"))
    hands, loads = {}, {}
    for name in ("Mug", "Dinner plate"):
        t = FormTimings.objects.get(form__name=name, form__studio=studio)
        seconds = t.press_s + t.release_s + t.glaze_s + t.finish_s + sum(s["each_s"] for s in t.steps)
        shelves = min(9, 690 // (t.glost["clearance_mm"] + 20))
        hands[name], loads[name] = seconds / 36, 100 / (shelves * max(t.glost["per_shelf"].values()))
    assert hands["Mug"] / loads["Mug"] > 2 * hands["Dinner plate"] / loads["Dinner plate"]


def test_the_planned_demo_has_a_week_of_work() -> None:
    now = moment(2, "10:30")
    studio = load_demo(now=now)
    plan_demo(studio, now, seconds=2)
    live = current_plan(studio)
    assert live is not None
    assert len(live.plan.tasks) > 100


@pytest.mark.parametrize("weeks", [1, 2, 3, 5, 9])
def test_a_plan_made_weeks_later_still_finishes_every_order(weeks: int) -> None:
    """Nobody has opened it for weeks, so most orders are late: the plan looks ahead far enough for all of them."""
    now = moment(2, "09:00")
    studio = load_demo(now=now)
    row = plan_demo(studio, now + dt.timedelta(weeks=weeks), seconds=0)
    assert len(row.plan["orders"]) == 19
    assert [o for o in row.plan["orders"] if o.get("reckoned")] == []
