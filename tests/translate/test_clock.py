"""Wall time and minutes, on the days on which clocks change and on ordinary ones.

The dates of the changes are those of the IANA time zone database as zoneinfo reads it.
"""

from __future__ import annotations

import datetime as dt
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from studio.translate.clock import Clock, instant

pytestmark = pytest.mark.one_lane  # no database

LONDON, NEW_YORK, LORD_HOWE = "Europe/London", "America/New_York", "Australia/Lord_Howe"


def utc(text: str) -> dt.datetime:
    return dt.datetime.fromisoformat(text).replace(tzinfo=dt.UTC)


@pytest.mark.parametrize(
    ("zone", "day", "wall", "expected"),
    [
        # Forward: 2027-03-28 in London 01:00 → 02:00, 2027-03-14 in New York 02:00 → 03:00. Skipped: first valid after.
        (LONDON, "2027-03-28", "00:59", "2027-03-28T00:59"),
        (LONDON, "2027-03-28", "01:00", "2027-03-28T01:00"),
        (LONDON, "2027-03-28", "01:30", "2027-03-28T01:00"),
        (LONDON, "2027-03-28", "01:59", "2027-03-28T01:00"),
        (LONDON, "2027-03-28", "02:00", "2027-03-28T01:00"),
        (LONDON, "2027-03-28", "02:01", "2027-03-28T01:01"),
        (NEW_YORK, "2027-03-14", "01:59", "2027-03-14T06:59"),
        (NEW_YORK, "2027-03-14", "02:30", "2027-03-14T07:00"),
        (NEW_YORK, "2027-03-14", "03:00", "2027-03-14T07:00"),
        # Back: 2027-10-31 in London 02:00 → 01:00, 2027-11-07 in New York 02:00 → 01:00. Doubled: the first.
        (LONDON, "2027-10-31", "00:59", "2027-10-30T23:59"),
        (LONDON, "2027-10-31", "01:30", "2027-10-31T00:30"),
        (LONDON, "2027-10-31", "02:00", "2027-10-31T02:00"),
        (NEW_YORK, "2027-11-07", "01:30", "2027-11-07T05:30"),
        # Lord Howe Island changes by half an hour: 2027-10-03 02:00 → 02:30, 2027-04-04 02:00 → 01:30.
        (LORD_HOWE, "2027-10-03", "02:10", "2027-10-02T15:30"),
        (LORD_HOWE, "2027-10-03", "02:30", "2027-10-02T15:30"),
        (LORD_HOWE, "2027-04-04", "01:45", "2027-04-03T14:45"),
        (LORD_HOWE, "2027-04-04", "02:00", "2027-04-03T15:30"),
    ],
)
def test_wall_times_around_the_changes(zone: str, day: str, wall: str, expected: str) -> None:
    found = instant(dt.date.fromisoformat(day), dt.time.fromisoformat(wall), ZoneInfo(zone))
    assert found == utc(expected)


@pytest.mark.parametrize(
    ("zone", "now", "day", "hours"),
    [
        (LONDON, "2027-03-27T12:00", "2027-03-28", 23),
        (LONDON, "2027-10-30T12:00", "2027-10-31", 25),
        (LONDON, "2027-06-01T12:00", "2027-06-02", 24),
        (NEW_YORK, "2027-03-13T12:00", "2027-03-14", 23),
        (LORD_HOWE, "2027-10-02T01:00", "2027-10-03", 23.5),
    ],
)
def test_a_day_is_as_long_as_it_is(zone: str, now: str, day: str, hours: float) -> None:
    clock, date = Clock.at(utc(now), zone), dt.date.fromisoformat(day)
    assert clock.end(date, dt.time(23, 59)) - clock.wall(date, dt.time()) == hours * 60
    assert clock.midnight(2) - clock.midnight(1) == hours * 60


def test_a_working_day_starts_at_the_same_wall_time_after_the_change() -> None:
    clock = Clock.at(utc("2027-03-26T08:00"), LONDON)  # the Friday before
    friday, monday = (clock.wall(dt.date(2027, 3, d), dt.time(8)) for d in (26, 29))
    assert (friday, monday) == (0, 3 * 1440 - 60)
    assert clock.when(monday).isoformat() == "2027-03-29T08:00:00+01:00"


def test_a_stretch_inside_the_gap_is_empty() -> None:
    clock = Clock.at(utc("2027-03-27T12:00"), LONDON)
    a, b = clock.span(dt.date(2027, 3, 28), dt.time(1, 10), dt.time(1, 50))
    assert a == b


def test_the_planner_is_told_the_offset_and_whole_minutes() -> None:
    clock = Clock.at(utc("2027-07-01T07:00") + dt.timedelta(seconds=59, microseconds=5), LONDON)
    assert clock.iso == "2027-07-01T08:00+01:00"
    assert (
        clock.minute(utc("2027-07-01T06:59")) == -1
        and clock.of_record(int(utc("2027-07-01T07:03").timestamp()) // 60) == 3
    )


@given(
    st.datetimes(dt.datetime(2020, 1, 1), dt.datetime(2035, 1, 1)),
    st.sampled_from([LONDON, NEW_YORK, LORD_HOWE, "Asia/Kathmandu", "America/Santiago", "Pacific/Chatham"]),
)
def test_later_on_the_clock_is_never_earlier_and_what_is_read_back_is_the_same(wall: dt.datetime, zone: str) -> None:
    wall = wall.replace(second=0, microsecond=0, fold=0)
    here = ZoneInfo(zone)
    found = instant(wall.date(), wall.time(), here)
    assert found <= instant((wall + dt.timedelta(minutes=1)).date(), (wall + dt.timedelta(minutes=1)).time(), here)
    back = found.astimezone(here).replace(tzinfo=None, fold=0)
    assert back == wall or (back > wall and _is_skipped(wall, here))


def _is_skipped(wall: dt.datetime, zone: ZoneInfo) -> bool:
    """No instant of the days around reads ``wall`` on the clocks of ``zone``."""
    offsets = {(wall + dt.timedelta(days=d)).replace(tzinfo=dt.UTC).astimezone(zone).utcoffset() for d in (-1, 1)}
    readings = ((wall - o).replace(tzinfo=dt.UTC).astimezone(zone).replace(tzinfo=None, fold=0) for o in offsets if o)
    return wall not in readings
