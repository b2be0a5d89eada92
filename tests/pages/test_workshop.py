"""The studio's own pages: each part can be seen, changed, got wrong and mended, and put away."""

from __future__ import annotations

import datetime as dt

import pytest

from studio.models import (
    BlockedTime,
    DayOff,
    Form,
    Glaze,
    Job,
    Kiln,
    KilnProgram,
    Member,
    Person,
    Rack,
    Station,
    Tool,
    WeeklyHours,
)
from studio.queries.workshop import STEPS, first_hour
from tests.pages.visitor import Visitor, check_door
from tests.services.shop import Shop

pytestmark = pytest.mark.django_db
PARTS = ("studio", "people", "stations", "racks", "kilns", "glazes", "forms", "other", "ware", "members")
PAGES = ("workshop/", "workshop/first/", *(f"workshop/{p}/" for p in PARTS))


@pytest.mark.parametrize("page", PAGES)
def test_the_door_of_each_page(page: str, shop: Shop) -> None:
    check_door(page, shop)


@pytest.mark.parametrize("page", PAGES)
def test_each_page_works_in_an_empty_studio_as_a_step_and_by_itself(page: str, empty: Shop) -> None:
    visitor = Visitor(empty)
    visitor.open(page)
    visitor.open(f"{page}?first=1")


@pytest.mark.parametrize("page", ["workshop/forms/{form}/", "workshop/people/{person}/"])
def test_the_door_of_one_thing(page: str, shop: Shop) -> None:
    check_door(page.format(**shop.ids), shop)
    Visitor(shop).open(page.format(form="nosuch", person="nosuch"), status=404)


def test_a_maker_sees_and_is_told_that_only_an_owner_changes(shop: Shop) -> None:
    maker = Visitor(shop, shop.maker())
    assert "Only an owner of the studio can change this." in maker.open("workshop/racks/")
    assert "<fieldset disabled>" in maker.page
    text = maker.send("rack_save", {"rack": shop.ids["damp"]}, boards="99")
    assert "Only an owner of the studio can change this." in text
    assert Rack.objects.get(public_id=shop.ids["damp"]).boards == 30


def test_damp_week_in_one_tap(shop: Shop, visitor: Visitor) -> None:
    visitor.open("workshop/")
    visitor.send("week_set", week="damp")
    shop.studio.refresh_from_db()
    assert shop.studio.week == "damp"


def test_the_air_by_instruments_is_shown_and_what_it_does(shop: Shop, visitor: Visitor) -> None:
    visitor.open("workshop/")
    visitor.send("air_set", temperature_c="25", humidity_pct="30")
    assert "Moulds rest and ware dries in about 0.5 of the time of an ordinary week." in visitor.text
    visitor.send("air_set", temperature_c="250", humidity_pct="30")
    assert "Enter a number from 0 to 50." in visitor.text
    assert visitor.form("air_set")["temperature_c"] == "250"
    shop.do("studio_save", name="South Yard", time_zone="Europe/London", units="us", week="ordinary", version=2)
    visitor.open("workshop/")
    assert visitor.form("air_set")["temperature_f"] == "77"


def test_name_and_time_zone_and_a_stale_edit(shop: Shop, visitor: Visitor) -> None:
    visitor.open("workshop/studio/")
    visitor.send("studio_save", time_zone="Nowhere/Here", name="South Yard")
    assert "Choose one, such as Europe/London." in visitor.text
    assert visitor.form("studio_save")["name"] == "South Yard"
    shop.do("week_set", week="dry")  # raises the version
    text = visitor.send("studio_save", time_zone="Europe/Paris")
    assert "Somebody else changed this in the meantime." in text
    visitor.send("studio_save")
    shop.studio.refresh_from_db()
    assert (shop.studio.name, shop.studio.time_zone) == ("South Yard", "Europe/Paris")


def test_a_person_with_usual_hours_who_is_me(empty: Shop) -> None:
    visitor = Visitor(empty)
    visitor.open("workshop/people/")
    visitor.send("start_person", name="Odd", week="mornings")
    person = Person.objects.get()
    assert [(h.weekday, h.starts, h.ends) for h in WeeklyHours.objects.order_by("weekday")] == [
        (d, dt.time(8), dt.time(12, 30)) for d in range(5)
    ]
    assert Member.objects.get(studio=empty.studio).person == person
    assert "22.5 h a week" in visitor.text  # 5 × 4.5


def test_hours_of_the_week_with_an_evening_and_an_overlap_told(shop: Shop, visitor: Visitor) -> None:
    page = f"workshop/people/{shop.ids['person']}/"
    visitor.open(page)
    form = visitor.form("hours_save")
    starts, ends = list(form["starts"]), list(form["ends"])
    assert (starts[0], ends[0]) == ("08:00", "17:00")
    starts[1], ends[1] = "16:00", "18:00"  # overlaps the first stretch of Monday
    text = visitor.send("hours_save", starts=starts, ends=ends)
    assert "Two stretches of one day overlap." in text
    assert visitor.form("hours_save")["starts"][1] == "16:00"
    starts[1] = ends[1] = ""
    starts[2], ends[2] = "19:00", "20:30"  # Monday's evening
    visitor.send("hours_save", starts=starts, ends=ends)
    monday = WeeklyHours.objects.filter(weekday=0).order_by("starts")
    assert [(h.starts, h.evening) for h in monday] == [(dt.time(8), False), (dt.time(19), True)]
    assert "1 evening allowed" in visitor.open("workshop/people/")


def test_a_stretch_that_is_half_entered_is_told_at_its_place(shop: Shop, visitor: Visitor) -> None:
    visitor.open(f"workshop/people/{shop.ids['person']}/")
    starts = list(visitor.form("hours_save")["starts"])
    starts[2] = "19:00"
    assert "Please fill this in." in visitor.send("hours_save", starts=starts)
    assert visitor.form("hours_save")["starts"][2] == "19:00"


def test_days_off_and_skills(shop: Shop, visitor: Visitor) -> None:
    page = f"workshop/people/{shop.ids['person']}/"
    visitor.open(page)
    visitor.send("day_off", first="2027-03-20", last="2027-03-18")
    assert "The last day comes before the first." in visitor.text
    visitor.send("day_off", first="2027-03-20", last="2027-03-22")
    assert DayOff.objects.get().last == dt.date(2027, 3, 22)
    visitor.send("day_off_remove")
    assert not DayOff.objects.exists()
    visitor.send("person_save", skills=["glaze", "finish"])
    assert Person.objects.get().skills == ["glaze", "finish"]
    visitor.send("person_save", skills=None)
    assert Person.objects.get().skills is None


def test_machine_wheel_and_a_bench_of_one_s_own(empty: Shop) -> None:
    visitor = Visitor(empty)
    visitor.open("workshop/stations/")
    visitor.send("start_station", {"what": "machine"})
    visitor.send("start_station", {"what": "wheel"})
    visitor.send("station_save", {"name": ""}, name="Glazing table", kinds=["glaze"])
    assert [s.kinds for s in Station.objects.order_by("pk")] == [["press"], ["turn"], ["glaze"]]
    visitor.send("station_save", {"name": "Wheel"}, name="Kick wheel")
    assert Station.objects.filter(name="Kick wheel").exists()
    visitor.send("station_retire", {"station": Station.objects.get(name="Glazing table").public_id})
    assert "Glazing table" not in visitor.open("workshop/stations/")


def test_a_profile_tool(shop: Shop, visitor: Visitor) -> None:
    visitor.open("workshop/stations/")
    visitor.send("tool_save", setup_min="12")
    assert Tool.objects.get().setup_min == 12


def test_usual_racks_in_one_tap_and_boards_of_one_s_own(empty: Shop) -> None:
    visitor = Visitor(empty)
    visitor.open("workshop/racks/")
    visitor.send("start_racks")
    # 24, 60 and 36 boards: usual figures, common practice, no source
    assert {r.use: r.boards for r in Rack.objects.all()} == {"damp": 24, "drying": 60, "glazed": 36}
    drying = Rack.objects.get(use="drying")
    assert "Enter a number from 0 to 10000." in visitor.send("rack_save", {"rack": drying.public_id}, boards="-1")
    visitor.send("rack_save", {"rack": drying.public_id}, boards="40")
    drying.refresh_from_db()
    assert drying.boards == 40


def test_a_usual_kiln_in_one_tap_then_its_own_figures_in_hours(empty: Shop) -> None:
    visitor = Visitor(empty)
    visitor.open("workshop/kilns/")
    visitor.send("start_kiln", {"size": "small"})
    kiln = Kiln.objects.get()
    # small kiln, common practice: bisque 9 h and 10 h, glost 9 h and 13 h
    assert sorted(KilnProgram.objects.values_list("fire_min", "cool_min")) == [(540, 600), (540, 780)]
    form = visitor.form("kiln_save", kiln=kiln.public_id)
    fire = ["8.5", *form["fire_min_h"][1:]]
    visitor.send("kiln_save", {"kiln": kiln.public_id}, fire_min_h=fire, weekday=["0"], starts=["21:00"],
                 ends=["23:00"])  # fmt: skip
    assert sorted(KilnProgram.objects.values_list("fire_min", flat=True)) == [510, 540]
    assert [(s.weekday, s.starts) for s in kiln.starts.all()] == [(0, dt.time(21))]
    text = visitor.send("kiln_save", {"kiln": kiln.public_id}, fire_min_h=["ten", *fire[1:]])
    assert "Enter hours, such as 6 or 7.5." in text
    assert visitor.form("kiln_save", kiln=kiln.public_id)["fire_min_h"][0] == "ten"


def test_two_kilns_share_the_firings_that_they_both_have(empty: Shop) -> None:
    empty.do("start_kiln", size="large")
    empty.do("start_kiln", size="small")
    assert KilnProgram.objects.count() == 4
    assert len({p.program_id for p in KilnProgram.objects.all()}) == 2


def test_a_glaze_is_not_tested_for_food_by_a_tick(shop: Shop, visitor: Visitor) -> None:
    visitor.open("workshop/glazes/")
    visitor.send("glaze_save", {"name": ""}, name="Moss")
    moss = Glaze.objects.get(name="Moss")
    assert [p.public_id for p in moss.programs.all()] == [shop.ids["glost"]]
    assert "not tested for food" in visitor.text
    before = visitor.text.count("not tested for food")
    visitor.send("glaze_save", {"glaze": moss.public_id}, food_tested="on")  # as a page from before may still send it
    assert visitor.text.count("not tested for food") == before


def test_a_form_by_its_six_questions(shop: Shop, visitor: Visitor) -> None:
    visitor.open("workshop/forms/?kind=dinner_plate")
    form = visitor.form("form_new", tool="")
    assert (form["fired_mm"], form["ball_g"], form["moulds"]) == ("265", "1300", "12")  # usual figures
    visitor.send("form_new", {"tool": ""}, name="Big plate", fired_mm="9000")
    assert "Enter a number from 20 to 800." in visitor.text
    assert visitor.form("form_new", tool="")["name"] == "Big plate"
    visitor.send("form_new", {"tool": ""}, fired_mm="280")
    plate = Form.objects.get(name="Big plate")
    assert (plate.kind, plate.moulds.count()) == ("dinner_plate", 12)


def test_a_usual_form_in_one_tap(shop: Shop, visitor: Visitor) -> None:
    visitor.open("workshop/forms/")
    visitor.send("form_new", {"shape": "mug"})
    mug = Form.objects.get(kind="mug")
    assert (mug.name, mug.handle, mug.moulds.count()) == ("Mug", True, 24)


def test_a_form_s_figures_are_marked_changed_and_dated(shop: Shop, visitor: Visitor) -> None:
    page = f"workshop/forms/{shop.ids['form']}/"
    text = visitor.open(page)
    assert "common practice" in text and "your figure" not in text
    form = visitor.form("form_change")
    # a bowl comes out of an open mould after 6 to 12 h and rests 14 h: usual figures
    assert (form["release_after_lo_h"], form["release_after_hi_h"], form["mould_rest_min_h"]) == ("6", "12", "14")
    shop.later(hours=1)
    visitor.send("form_change", release_after_lo_h="5.5", loss_glost_pct="7")
    row = Form.objects.get()
    new = row.timings.order_by("valid_from").last()
    assert new is not None and (new.release_after, new.loss_glost_pct) == ([330, 720], 7)
    assert row.timings.count() == 2
    assert "your figure" in visitor.open(page)


def test_a_form_s_leather_hard_work(shop: Shop, visitor: Visitor) -> None:
    page = f"workshop/forms/{shop.ids['form']}/"
    visitor.open(page)
    form = visitor.form("form_change")
    assert form["step_kind"] == ["turn", ""]
    more = {"step_kind": ["turn", "stamp"], "step_fixed": [form["step_fixed"][0], "2"],
            "step_each_s": [form["step_each_s"][0], "15"], "step_after_lo_h": [form["step_after_lo_h"][0], "0"],
            "step_after_hi_h": [form["step_after_hi_h"][0], ""]}  # fmt: skip
    assert "Enter the earliest and the latest time." in visitor.send("form_change", **more)
    assert visitor.form("form_change")["step_kind"][:2] == ["turn", "stamp"]
    shop.later(minutes=5)
    visitor.send("form_change", step_after_hi_h=[form["step_after_hi_h"][0], "8", ""])
    steps = Form.objects.get().timings.order_by("valid_from").last().steps
    assert [(s["kind"], s["after"]) for s in steps] == [("turn", [0, 480]), ("stamp", [0, 480])]


def test_a_form_without_a_handle_any_more(shop: Shop, visitor: Visitor) -> None:
    mug = shop.do("form_new", name="Mug", shape="mug", fired_mm=85, handle=True, moulds=4).data["form"]
    visitor.open(f"workshop/forms/{mug}/")
    assert visitor.form("form_change")["handle"] == ["false", "on"]
    visitor.send("form_change", handle="false")
    assert Form.objects.get(public_id=mug).handle is False


def test_weekly_work_work_for_once_and_an_evening_class(shop: Shop, visitor: Visitor) -> None:
    visitor.open("workshop/other/")
    text = visitor.send("job_save", name="Reclaim", minutes="90", weekday="4", starts="13:00", ends="14:00")
    assert "The work takes longer than the time it has." in text
    visitor.send("job_save", ends="17:00")
    visitor.send("job_save", {"name": ""}, name="Fair", minutes="60", weekday="",
                 not_before="2027-03-20T08:00", not_after="2027-03-20T12:00")  # fmt: skip
    assert sorted(Job.objects.values_list("name", "weekday")) == [("Fair", None), ("Reclaim", 4)]
    visitor.send("blocked_save", {"name": ""}, name="Class", weekday="2", starts="18:00", ends="21:00",
                 people=[shop.ids["person"]])  # fmt: skip
    blocked = BlockedTime.objects.get()
    assert [p.public_id for p in blocked.people.all()] == [shop.ids["person"]]
    assert "Wednesday 18:00–21:00" in visitor.text
    visitor.send("blocked_retire")
    assert "Class" not in visitor.open("workshop/other/")


def test_ware_that_stands_there(shop: Shop, visitor: Visitor) -> None:
    visitor.open("workshop/ware/")
    assert "In which glaze?" in visitor.send("opening_ware", count="12", stage="glazed")
    assert visitor.form("opening_ware")["count"] == "12"
    visitor.send("opening_ware", glaze=shop.ids["glaze"])
    assert "12 × Bowl" in visitor.text
    assert [w.stage for w in shop.state.ware.values()] == ["glazed"]


def test_the_steps_are_done_one_after_the_other(empty: Shop) -> None:
    hour = first_hour(empty.studio)
    assert (hour.n_done, hour.of) == (0, len(STEPS))
    assert hour.next is not None and hour.next.step.key == "studio"
    visitor = Visitor(empty)
    assert "0 of 10 steps are done" in visitor.open("workshop/")
    empty.furnish()
    done = [p.step.key for p in first_hour(empty.studio).places if p.done]
    assert done == ["people", "machine", "racks", "kiln", "glazes", "forms"]
    empty.order()
    empty.plan()
    assert first_hour(empty.studio).over
    assert "The first hour" not in visitor.open("workshop/")
