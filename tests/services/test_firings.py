"""What is read off a firing is on record: bounded, in any unit, corrected by a later word, taken back by undo."""

from __future__ import annotations

import datetime as dt

import pytest

from planner.craft.cones import CONES as IN_THE_TABLE
from studio.models import Fact, Kiln, KilnProgram, Program, Studio
from studio.record.form import CONES
from tests.services.shop import Shop


def lit(shop: Shop, **more: object) -> str:
    """A load of bowls packed and lit just now."""
    ware = shop.do("opening_ware", form=shop.ids["form"], count=6, stage="leather").data["ware"]
    pieces = [{"batch": ware, "count": 6}]
    firing = shop.do("packed", kiln=shop.ids["kiln"], program=shop.ids["bisque"], pieces=pieces).data["firing"]
    shop.do("lit", firing=firing, **more)
    return firing


def minute(shop: Shop) -> int:
    return int(shop.now.timestamp()) // 60


def test_all_of_it_in_one_go_and_by_kiln(shop: Shop) -> None:
    firing = lit(shop, meter_before="1040,5")
    start = minute(shop)
    shop.later(hours=12)
    off = shop.now - dt.timedelta(hours=2)
    shop.do("fired", kiln=shop.ids["kiln"], off=off.isoformat(), top_c="1003.5", read_c="610", cone="06", bend="before",
            meter_after="1109.5")  # fmt: skip
    stands = shop.state.firings[firing]
    assert (stands.lit, stands.off) == (start, start + 600)
    assert (stands.top, stands.reads, stands.cone) == (10035, [(minute(shop), 6100)], ("06", "before"))
    assert (stands.meter_before, stands.meter_after) == (10405, 11095)


def test_a_later_word_counts_and_undo_brings_the_first_back(shop: Shop) -> None:
    firing = lit(shop)
    shop.later(hours=10)
    shop.do("fired", firing=firing, kwh="66.5")
    again = shop.do("fired", firing=firing, kwh="64", cone="06")
    assert shop.state.firings[firing].used == 640 and shop.state.firings[firing].cone == ("06", "at")
    shop.do("undo", command=again.undo)
    assert shop.state.firings[firing].used == 665 and shop.state.firings[firing].cone is None
    shop.do("correct", fact=Fact.objects.filter(kind="fired").first().public_id, data={"tenths_kwh": 655})
    assert shop.state.firings[firing].used == 655


def test_off_now_in_one_tap_and_degrees_fahrenheit(shop: Shop) -> None:
    firing = lit(shop)
    shop.later(hours=10)
    said = shop.do("fired", firing=firing, off_now="1", top_f="1832").message  # 1832 °F are 1000 °C exactly
    stands = shop.state.firings[firing]
    assert stands.off == minute(shop) and stands.top == 10_000
    # 15 h of cooling were put in: Monday 18:00 and 15 h
    assert "Do not open before Tuesday 16 March about 09:00" in said and "read the kiln itself" in said


def test_what_cannot_be_is_refused(shop: Shop) -> None:
    firing = lit(shop, meter_before=500)
    shop.later(hours=10)
    assert "at least one thing" in shop.refused(422, "fired", firing=firing).message
    ahead, before = (shop.now + dt.timedelta(hours=n) for n in (1, -11))
    assert "still to come" in shop.refused(422, "fired", firing=firing, off=ahead.isoformat()).message
    assert "went off after that" in shop.refused(422, "fired", firing=firing, off=before.isoformat()).message
    backwards = shop.refused(422, "fired", firing=firing, meter_after=499)
    assert "swapped" in backwards.message and "meter_after" in backwards.errors
    assert "from 400 to 1400" in shop.refused(422, "fired", firing=firing, top_c=90).errors["top_c"]
    assert "from 752 to 2552" in shop.refused(422, "fired", firing=firing, top_f=90).errors["top_f"]
    assert "cone" in shop.refused(422, "fired", firing=firing, cone="4½").errors
    assert "read_c" in shop.refused(422, "fired", firing=firing, read_c="warm").errors
    shop.refused(404, "fired", firing="nosuch", kwh=60)
    other = Shop(name="Elsewhere")
    other.refused(404, "fired", firing=firing, kwh=60)


def test_drawing_takes_one_tap_and_more_for_who_likes(shop: Shop) -> None:
    firing = lit(shop, meter_before=500)
    shop.later(hours=26)
    shop.do("drawn", firing=firing)
    assert Fact.objects.filter(kind="fired").count() == 1  # the meter at the lighting
    firing = lit(shop, meter_before=570)
    shop.later(hours=26)
    shop.do("drawn", firing=firing, open_c="95", meter_after="636")
    stands = shop.state.firings[firing]
    opened = minute(shop) - 40  # it takes 40 minutes to draw
    assert stands.drawn == minute(shop) and stands.reads == [(opened, 950)] and stands.meter_after == 6360
    firing = lit(shop, meter_before=700)
    assert "swapped" in shop.refused(422, "drawn", firing=firing, meter_after=70).message
    assert shop.state.firings[firing].drawn is None


def test_a_kiln_hotter_than_planned_has_another_plan_worked_on(shop: Shop) -> None:
    """15 h of cooling are planned; where 14 h after its end it still shows 400 °C, it is drawn too early by hours."""
    lit(shop)
    shop.plan()
    shop.later(hours=10)
    assert "run" not in shop.do("fired", kiln=shop.ids["kiln"], off_now=True).data
    shop.later(hours=14)
    told = shop.do("fired", kiln=shop.ids["kiln"], read_c=400)
    assert "The plan draws it before that" in told.message
    assert told.go == f"/s/{shop.studio.public_id}/plan/?run={told.data['run']}"


def test_a_planned_drawing_tells_what_was_read_along_with_it(shop: Shop) -> None:
    firing = lit(shop)
    live = shop.plan()
    shop.later(hours=26)
    [task] = [f.unload for f in live.plan.firings if f.id == f"now:{shop.ids['kiln']}"]
    told = shop.do("task_done", task=task, open_f="194", kwh="66", cone="06")  # 194 °F are 90 °C
    stands = shop.state.firings[firing]
    assert stands.drawn is not None and [t for _m, t in stands.reads] == [900] and stands.used == 660
    assert stands.cone == ("06", "at")
    shop.do("undo", command=told.undo)
    assert shop.state.firings[firing].drawn is None and shop.state.firings[firing].used is None


def test_makers_record_and_owners_set(shop: Shop) -> None:
    maker, firing = shop.maker(), lit(shop)
    shop.do("fired", by=maker, firing=firing, cone="06")
    kiln, program = Kiln.objects.get(), Program.objects.get(stage="bisque")
    shop.refused(403, "kiln_plate", by=maker, kiln=kiln.public_id, version=kiln.version, power_kw=12, open_c=100)
    shop.refused(403, "program_ramps", by=maker, program=program.public_id, version=program.version)
    shop.refused(403, "kwh_price", by=maker, version=1, price="0.3")
    shop.refused(403, "firing_keeps", by=maker, kiln=kiln.public_id, program=program.public_id, keeps=True)


def test_a_program_is_set_in_rows_and_in_both_units(shop: Shop) -> None:
    program = Program.objects.get(stage="glost")
    rows = {"rate_c": ["60", "150", ""], "target_c": ["600", "1222", ""], "hold_min": ["30", "", ""]}
    shop.do("program_ramps", program=program.public_id, version=1, **rows)
    kept = [{"rate": 600, "target": 6000, "hold": 30}, {"rate": 1500, "target": 12220, "hold": 0}]
    assert Program.objects.get(pk=program.pk).ramps == kept
    # 108 °F an hour and 2232 °F are the cone maker's 60 °C an hour and 1222 °C (2231.6 °F) for cone 6
    shop.do("program_ramps", program=program.public_id, version=2, rate_f=["108"], target_f=["2232"], hold_min=[""])
    assert Program.objects.get(pk=program.pk).ramps == [{"rate": 600, "target": 12222, "hold": 0}]
    shop.do("program_ramps", program=program.public_id, version=3, rate_c=[""], target_c=[""], hold_min=[""])
    assert Program.objects.get(pk=program.pk).ramps == []


def test_steps_that_are_no_firing_are_refused(shop: Shop) -> None:
    program = {"program": Program.objects.get(stage="glost").public_id, "version": 1}
    missing = shop.refused(422, "program_ramps", **program, rate_c=["60", "100"], target_c=["600", ""])
    assert list(missing.errors) == ["ramps.1.target_c"]
    assert "No ware" in shop.refused(422, "program_ramps", **program, rate_c=["60"], target_c=["200"]).message
    assert "200 hours" in shop.refused(422, "program_ramps", **program, rate_c=["1"], target_c=["1200"]).message
    much = shop.refused(422, "program_ramps", **program, rate_c=["60"] * 13, target_c=["900"] * 13)
    assert "12 lines" in much.errors["ramps"]
    assert "ramps.0.rate_c" in shop.refused(422, "program_ramps", **program, rate_c=["0"], target_c=["900"]).errors
    shop.do("program_ramps", **program, rate_c=["60"], target_c=["1200"])
    assert shop.refused(409, "program_ramps", **program, rate_c=["70"], target_c=["1200"]).data["version"] == 2


def test_plate_price_and_keeping(shop: Shop) -> None:
    kiln, bisque = shop.ids["kiln"], shop.ids["bisque"]
    shop.do("kiln_plate", kiln=kiln, version=1, power_kw="11,5", open_f="200")
    row = Kiln.objects.get()
    assert (row.power_tenths_kw, row.open_tenths_c) == (115, 933)  # 200 °F are 93.3 °C
    assert "40 to 120" in shop.refused(422, "kiln_plate", kiln=kiln, version=2, open_c=150).errors["open_c"]
    assert "may it be opened" in shop.refused(422, "kiln_plate", kiln=kiln, version=2, power_kw=11).message
    shop.do("kwh_price", version=Studio.objects.get(pk=shop.studio.pk).version, price="0.284", money="£")
    studio = Studio.objects.get(pk=shop.studio.pk)
    assert (studio.kwh_price_thousandths, studio.money) == (284, "£")
    shop.do("firing_keeps", kiln=kiln, program=bisque, keeps=True)
    shop.do("kiln_save", **shop.kiln(), kiln=kiln, version=2)  # its firings are written anew
    assert {p.program.stage: p.keeps for p in KilnProgram.objects.all()} == {"bisque": True, "glost": False}
    shop.refused(404, "firing_keeps", kiln=kiln, program="nosuch", keeps=True)


@pytest.mark.one_lane
def test_every_cone_of_the_table_can_be_told() -> None:
    assert CONES[: len(IN_THE_TABLE)] == IN_THE_TABLE
