"""People and their time."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest

from studio.models import (
    BlockedTime,
    DayOff,
    WeeklyHours,
)
from tests.services.shop import Shop


def test_hours_by_a_plain_form(shop: Shop) -> None:
    shop.do("hours_save", person=shop.ids["person"], version=2, weekday=["0", "0", "1"], starts=["08:00", "13:00", ""],
            ends=["12:00", "17:30", ""], evening=["no", "no", "no"])  # fmt: skip
    hours = WeeklyHours.objects.filter(person__public_id=shop.ids["person"]).order_by("starts")
    assert [(h.weekday, str(h.starts), str(h.ends)) for h in hours] == [(0, "08:00:00", "12:00:00"),
                                                                          (0, "13:00:00", "17:30:00")]  # fmt: skip


@pytest.mark.parametrize("hours", [
    [{"weekday": 0, "starts": "12:00", "ends": "08:00"}],
    [{"weekday": 0, "starts": "08:00", "ends": "12:00"}, {"weekday": 0, "starts": "11:00", "ends": "13:00"}],
])  # fmt: skip
def test_hours_that_cannot_be_are_refused(shop: Shop, hours: list[dict[str, Any]]) -> None:
    assert "hours" in shop.refused(422, "hours_save", person=shop.ids["person"], version=2, hours=hours).errors
    assert WeeklyHours.objects.count() == 5


def test_a_maker_changes_their_own_hours_only(shop: Shop) -> None:
    other = shop.do("person_save", name="Piran").data["person"]
    maker = shop.maker(person=other)
    hours = [{"weekday": 2, "starts": "09:00", "ends": "12:00"}]
    shop.refused(403, "hours_save", by=maker, person=shop.ids["person"], version=2, hours=hours)
    assert shop.send("hours_save", by=maker, person=other, version=1, hours=hours).ok


def test_days_off(shop: Shop) -> None:
    shop.refused(422, "day_off", person=shop.ids["person"], first="2027-04-03", last="2027-04-01")
    day = shop.do("day_off", person=shop.ids["person"], first="2027-04-01").data["day_off"]
    assert (DayOff.objects.get().first, DayOff.objects.get().last) == (dt.date(2027, 4, 1), dt.date(2027, 4, 1))
    shop.do("day_off_remove", day_off=day)
    assert not DayOff.objects.exists()


def test_blocked_time_is_weekly_or_on_a_date_and_takes_something(shop: Shop) -> None:
    class_ = {"name": "Class", "starts": "18:00", "ends": "21:00"}
    shop.refused(422, "blocked_save", **class_, people=[shop.ids["person"]])
    shop.refused(422, "blocked_save", **class_, weekday=2, date="2027-04-01", people=[shop.ids["person"]])
    shop.refused(422, "blocked_save", **class_, weekday=2)
    row = shop.do("blocked_save", **class_, weekday="2", people=shop.ids["person"], kilns=[shop.ids["kiln"]])
    assert BlockedTime.objects.get().kilns.count() == 1
    shop.do("blocked_save", blocked=row.data["blocked"], version=1, **class_, date="2027-04-01",
            stations=[shop.ids["jolley"]])  # fmt: skip
    assert (BlockedTime.objects.get().people.count(), BlockedTime.objects.get().stations.count()) == (0, 1)
