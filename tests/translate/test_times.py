"""People's hours, evenings, what is taken from them, other work, and casts."""

from __future__ import annotations

import datetime as dt

from studio.models import Cast, Person, Station
from studio.translate import Made, scenario_at
from tests.services.shop import Shop

DAY = 1440


def made(shop: Shop) -> Made:
    shop.studio.refresh_from_db()
    return scenario_at(shop.studio, shop.now)


def hours(shop: Shop) -> tuple:
    return made(shop).scenario.people[0].hours


def test_a_week_of_hours_from_now_on(shop: Shop) -> None:
    assert hours(shop)[:2] == ((0, 540), (DAY, DAY + 540))  # Monday 08:00 to 17:00
    shop.later(hours=3)
    assert hours(shop)[0] == (0, 360)
    assert len(hours(shop)) == 10


def test_hours_keep_their_wall_time_when_the_clocks_change(shop: Shop) -> None:
    shop.now = dt.datetime(2027, 3, 26, 8, 0, tzinfo=dt.UTC)  # the Friday before London's clocks go forward
    assert hours(shop)[:2] == ((0, 540), (3 * DAY - 60, 3 * DAY - 60 + 540))
    shop.now = dt.datetime(2027, 10, 29, 7, 0, tzinfo=dt.UTC)  # and before they go back
    assert hours(shop)[:2] == ((0, 540), (3 * DAY + 60, 3 * DAY + 60 + 540))


def test_days_off_blocked_time_and_absence_are_taken_out(shop: Shop) -> None:
    person = shop.ids["person"]
    shop.do("day_off", person=person, first="2027-03-16", last="2027-03-17")
    shop.do("blocked_save", name="Class", weekday=3, starts="10:00", ends="12:00", people=[person])
    a = shop.now + dt.timedelta(days=4, hours=4)
    shop.do("person_away", person=person, until=(a + dt.timedelta(hours=2)).isoformat(), **{"from": a.isoformat()})
    thursday, friday = 3 * DAY, 4 * DAY
    assert hours(shop)[:5] == (
        (0, 540),
        (thursday, thursday + 120), (thursday + 240, thursday + 540),
        (friday, friday + 240), (friday + 360, friday + 540),
    )  # fmt: skip


def test_evenings_are_extra_and_never_overlap_the_hours(shop: Shop) -> None:
    row = Person.objects.get(studio=shop.studio)
    lines = [
        {"weekday": 0, "starts": "08:00", "ends": "17:00"},
        {"weekday": 0, "starts": "19:00", "ends": "21:00", "evening": True},
    ]
    shop.do("hours_save", person=row.public_id, version=row.version, hours=lines)
    person = made(shop).scenario.people[0]
    assert person.hours[0] == (0, 540) and person.extra[0] == (660, 780)


def test_a_station_is_closed_while_it_is_blocked_and_knows_its_tool(shop: Shop) -> None:
    shop.do("blocked_save", name="Class", weekday=0, starts="10:00", ends="12:00", stations=[shop.ids["jolley"]])
    shop.do("pressed", form=shop.ids["form"], count=2)
    station = made(shop).scenario.stations[0]
    assert station.closed[0] == (120, 240)
    assert station.mounted == made(shop).scenario.forms[0].tool
    assert hours(shop)[0] == (0, 540)  # the person is not taken


def test_a_studio_without_a_machine_still_has_one_to_press_on(shop: Shop) -> None:
    row = Station.objects.get(studio=shop.studio)
    shop.do("station_retire", station=row.public_id, version=row.version)
    assert [s.kinds for s in made(shop).scenario.stations] == [{"press"}]


def test_weekly_work_comes_every_week_until_it_is_done(shop: Shop) -> None:
    job = shop.do("job_save", name="Plaster", minutes=60, weekday=4, starts="13:00", ends="17:00").data["job"]
    jobs = made(shop).scenario.jobs
    assert [j.id for j in jobs] == [f"{job}-2027-03-19", f"{job}-2027-03-26"]
    assert jobs[0].window == (4 * DAY + 300, 4 * DAY + 540) and jobs[0].name == "Plaster"
    shop.now = dt.datetime(2027, 3, 19, 15, 0, tzinfo=dt.UTC)
    assert made(shop).scenario.jobs[0].window == (0, 120)
    shop.now = dt.datetime(2027, 3, 19, 16, 30, tzinfo=dt.UTC)  # too late for an hour of it
    told = made(shop)
    assert told.scenario.jobs[0].id == f"{job}-2027-03-26"
    assert told.left_out == {f"{job}-2027-03-19": "no_chance"}


def test_work_in_a_week_off_does_not_make_the_plan_impossible(shop: Shop) -> None:
    shop.do("job_save", name="Plaster", minutes=60, weekday=4, starts="13:00", ends="17:00")
    shop.do("day_off", person=shop.ids["person"], first="2027-03-15", last="2027-03-21")
    assert len(made(shop).scenario.jobs) == 1


def test_work_once_that_was_missed_is_still_to_do(shop: Shop) -> None:
    a, b = shop.now + dt.timedelta(days=1), shop.now + dt.timedelta(days=2)
    job = shop.do("job_save", name="Fair", minutes=30, not_before=a.isoformat(), not_after=b.isoformat()).data["job"]
    found = made(shop).scenario.jobs[0]
    assert found.id == f"{job}-2027-03-16" and found.window == (DAY, 2 * DAY)
    shop.later(days=3)
    told = made(shop).scenario
    assert told.jobs[0].window == (0, told.horizon)


def test_a_cast_is_offered_then_poured_then_a_mould(shop: Shop) -> None:
    cast = shop.do("cast_save", form=shop.ids["form"]).data["casts"][0]
    found = made(shop).scenario.cast[cast]
    assert (found.poured, found.lift_after, found.uses) == (None, (45, 240), 90)
    shop.do("poured", cast=cast)
    assert made(shop).scenario.cast[cast].poured == 0
    shop.later(hours=1)
    shop.do("lifted", cast=cast)
    told = made(shop).scenario
    assert told.casts == () and told.mould[cast].ready == 8 * DAY


def test_plaster_forgotten_in_its_frame_can_still_be_lifted(shop: Shop) -> None:
    cast = shop.do("cast_save", form=shop.ids["form"]).data["casts"][0]
    shop.do("poured", cast=cast)
    shop.later(days=1)
    found = made(shop).scenario.cast[cast]
    assert found.poured == -DAY and found.poured + found.lift_after.hi == 540  # by the end of today


def test_a_failed_cast_can_be_poured_again(shop: Shop) -> None:
    cast = shop.do("cast_save", form=shop.ids["form"]).data["casts"][0]
    shop.do("poured", cast=cast)
    shop.do("cast_lost", cast=cast)
    assert made(shop).scenario.cast[cast].poured is None
    assert Cast.objects.get(studio=shop.studio).retired_at is None


def test_a_cast_that_is_pressed_without_a_word_of_its_lifting_is_a_mould(shop: Shop) -> None:
    cast = shop.do("cast_save", form=shop.ids["form"]).data["casts"][0]
    shop.do("poured", cast=cast)
    shop.do("lifted", cast=cast)
    lifting = shop.state.seen[f"lifted/{cast}"]
    shop.do("pressed", form=shop.ids["form"], count=1, moulds=[cast])
    shop.do("undo", fact=lifting)
    told = made(shop).scenario
    assert told.casts == () and told.mould[cast].ready is None
