"""What a firing takes in a kiln: each figure with its source, the curve as figures too, and the forms that set it."""

from __future__ import annotations

import re
from itertools import product

import pytest

from planner.craft.cones import bends_at
from studio.models import Kiln, KilnProgram, Program, Studio
from tests.pages.visitor import Visitor, check_door
from tests.services.shop import Shop

pytestmark = pytest.mark.django_db


def page(shop: Shop, stage: str = "bisque") -> str:
    return f"kiln/{shop.ids['kiln']}/fires/{shop.ids[stage]}/"


def fire(shop: Shop, hours: float = 11, kwh: float = 72, opened: int = 90) -> str:
    """A bisque packed, lit, gone off after so many hours and drawn 20 h later."""
    ware = shop.do("opening_ware", form=shop.ids["form"], count=4, stage="leather").data["ware"]
    pieces = [{"batch": ware, "count": 4}]
    firing = shop.do("packed", kiln=shop.ids["kiln"], program=shop.ids["bisque"], pieces=pieces).data["firing"]
    shop.do("lit", firing=firing)
    shop.later(hours=hours)
    shop.do("fired", firing=firing, off_now=True, kwh=kwh, cone="06", top_c=1004)
    shop.later(hours=20)
    shop.do("drawn", firing=firing, open_c=opened)
    return firing


def test_the_door(shop: Shop) -> None:
    check_door(page(shop), shop)
    for other in (f"kiln/{shop.ids['kiln']}/fires/nosuch/", f"kiln/nosuch/fires/{shop.ids['bisque']}/"):
        Visitor(shop).open(other, status=404)


def test_figures_put_in_are_called_so(shop: Shop, visitor: Visitor) -> None:
    text = visitor.open("kiln/")
    assert "What its firings take: Bisque , Glost" in text
    text = visitor.open(page(shop))
    assert "Start to going off 10 h Planned with: your figure." in text
    assert "Going off to 100 °C 15 h Planned with: your figure." in text
    # 15 h = 6 h × ln(980 / 80), from 1000 °C in a room of 20 °C
    assert "falls to 37 % in 6 h: that makes 15 h." in text
    assert "Energy 65 kWh Planned with: your figure." in text
    assert "from 3 firings on it is planned with what they say" in text
    assert "fumes of a firing are harmful" in text and "read the kiln itself" in text
    assert "falls by 92 °C an hour at 573 °C" in text and "50 °C an hour or less" in text  # (573 − 20) / 6


def test_where_figures_are_put_in_it_says_that_the_record_goes_before_them(shop: Shop, visitor: Visitor) -> None:
    text = visitor.open("workshop/kilns/")
    assert "From three firings on record it is planned with what they say, unless you keep these figures" in text
    assert f"/{page(shop)}" in visitor.page


def test_its_steps_give_hours_cone_and_curve(shop: Shop, visitor: Visitor) -> None:
    """Cone 6 by the cones' maker: 1222 °C at 60 °C an hour over the last 100 °C."""
    assert bends_at("6", 60) == 1222
    visitor.open(page(shop, "glost"))
    assert "Put in its steps below" in visitor.text and "as if it rose evenly" in visitor.text
    said = visitor.send("program_ramps", rate_c=["100", "150", "60"], target_c=["600", "1122", "1222"],
                        hold_min=["", "", "15"])  # fmt: skip
    assert "Glost is saved." in said
    text = visitor.open(page(shop, "glost"))
    # 580 / 100 + 522 / 150 + 100 / 60 h and 15 min: 5.8 + 3.48 + 1.67 + 0.25 = 11.2 h
    assert "Its steps take 11.2 h where the kiln keeps up." in text
    assert "near cone 6: 1222 °C, at 60 °C an hour over the last stretch, by the cone maker’s chart" in text
    assert "stretched to the hours that it takes here" in text
    rows = re.findall(r'<th scope="row">([\d.]+)</th><td>(\d+) °C</td>', visitor.page)
    assert rows[0] == ("0.0", "20") and ("10.0", "1222") in rows  # 10 h are put in
    heats = [int(c) for _h, c in rows]
    top = heats.index(1222)
    assert heats[:top] == sorted(heats[:top]) and heats[top:] == sorted(heats[top:], reverse=True)
    # 28 h: 10 up and 18 down, as put in; those give the cooling time, so it is then at 100 °C
    assert rows[-1] == ("28.0", "100") and visitor.page.count("<path") >= 3
    assert visitor.form("program_ramps")["rate_c"] == ["100", "150", "60", ""]


def test_fast_steps_are_read_at_the_end_of_the_table(shop: Shop, visitor: Visitor) -> None:
    program = Program.objects.get(stage="glost")
    shop.do("program_ramps", program=program.public_id, version=1, rate_c=["300"], target_c=["1243"])
    text = visitor.open(page(shop, "glost"))
    assert "near cone 6: 1243 °C, at 300 °C an hour" in text and "The chart ends at 150 °C an hour" in text
    shop.do("program_ramps", program=program.public_id, version=2, rate_c=["100"], target_c=["1390"])
    assert "outside the chart of cones" in visitor.open(page(shop, "glost"))


def test_recorded_firings_are_planned_with_from_three_on_unless_the_studio_keeps_its_own(
    shop: Shop, visitor: Visitor
) -> None:
    for _i in range(2):
        fire(shop)
    text = visitor.open(page(shop))
    assert "2 firings on record say between" in text and "It is planned with once 3 say it." in text
    assert "Planned with: your figure." in text
    fire(shop)
    text = visitor.open(page(shop))
    assert "Start to going off 11 h Planned with: from 3 firings on record. You put in 10 h." in text
    assert "Energy 72 kWh Planned with: from 3 firings on record. You put in 65 kWh." in text
    assert "hottest 1004 °C, cone 06 down, its tip touches, last read at 90 °C" in text
    assert "Seen last: cone 06 down, its tip touches" in text
    assert "planned with the figures that you put in" in visitor.send("firing_keeps", {"keeps": "on"})
    text = visitor.open(page(shop))
    assert "Start to going off 10 h Planned with: your figure." in text and "It is planned with your own" in text
    assert "3 firings on record say between" in text
    assert "what the record says" in visitor.send("firing_keeps", {"keeps": "off"})
    assert not KilnProgram.objects.filter(keeps=True).exists()


def test_plate_and_price_make_energy_and_cost(shop: Shop, visitor: Visitor) -> None:
    visitor.open(page(shop))
    visitor.send("kiln_plate", power_kw="11.5", open_c="95")
    visitor.open(page(shop))
    visitor.send("kwh_price", price="0.284", money="£")
    text = visitor.open(page(shop))
    # 65 kWh × 0.284 = 18.46; 11.5 kW × 10 h × the 50 in 100 usual in a bisque = 57.5 kWh
    assert "Energy 65 kWh · £18.46" in text and "usual share of full power it would be 58 kWh" in text
    assert "Going off to 95 °C" in text
    assert "Enter a number from 40 to 120" in visitor.send("kiln_plate", open_c="300")
    assert visitor.form("kiln_plate")["open_c"] == "300" and Kiln.objects.get().open_tenths_c == 950


def test_in_degrees_fahrenheit(shop: Shop, visitor: Visitor) -> None:
    Studio.objects.update(units="us")
    visitor.open(page(shop, "glost"))
    assert visitor.form("kiln_plate")["open_f"] == "212"
    visitor.send("program_ramps", rate_f=["270", "108", ""], target_f=["2052", "2232", ""], hold_min=["", "", ""])
    text = visitor.open(page(shop, "glost"))
    assert "near cone 6: 2232 °F, at 108 °F an hour" in text
    assert "°C" not in text
    form = visitor.form("program_ramps")
    assert form["rate_f"] == ["270", "108", ""] and form["target_f"] == ["2052", "2232", ""]


def test_what_was_refused_stands_in_the_steps(shop: Shop, visitor: Visitor) -> None:
    visitor.open(page(shop))
    text = visitor.send("program_ramps", rate_c=["100", "60", ""], target_c=["600", "", ""], hold_min=["", "", ""])
    assert "Each step needs how fast it heats, and to what." in text and "Please fill this in." in text
    assert visitor.form("program_ramps")["rate_c"][:2] == ["100", "60"]
    assert Program.objects.get(stage="bisque").ramps == []


def test_makers_read_and_do_not_set(shop: Shop) -> None:
    text = Visitor(shop, shop.maker()).open(page(shop))
    assert "What it takes" in text and "How it is set" not in text


def test_reading_it_off_on_the_kiln_page(shop: Shop, visitor: Visitor) -> None:
    ware = shop.do("opening_ware", form=shop.ids["form"], count=4, stage="leather").data["ware"]
    pieces = [{"batch": ware, "count": 4}]
    shop.do("packed", kiln=shop.ids["kiln"], program=shop.ids["bisque"], pieces=pieces)
    visitor.open("kiln/")
    visitor.send("lit", {"meter_before": ""}, at="2027-03-15T08:00", meter_before="1040")
    shop.later(hours=11)
    visitor.open("kiln/")
    assert "Meter before: 1040 kWh." in visitor.text and "It went off just now" in visitor.text
    visitor.send("fired", {"cone": ""}, off="2027-03-15T18:30", read_c="950", cone="06", bend="before", when="")
    text = visitor.open("kiln/")
    assert "Went off about 18:30." in text and "Cone 06 not quite down." in text and "Read 950 °C" in text
    assert "It went off just now" not in text
    said = visitor.send("fired", {"cone": ""}, meter_after="1039")
    assert "are the readings swapped?" in said and visitor.form("fired", meter_after="1039")
    shop.later(hours=15)
    visitor.open("kiln/")
    firing = next(iter(shop.state.firings))
    visitor.send("drawn", {"open_c": ""}, open_c="96", meter_after="1106")
    text = visitor.open(f"kiln/load/{firing}/")
    assert "Used 66 kWh." in text and "How it fired" in text
    visitor.send("fired", {"cone": ""}, cone="05", bend="at")
    assert shop.state.firings[firing].cone == ("05", "at")
    assert "Kiln: cone 05 down, its tip touches" in visitor.open("record/")


def test_how_we_reckon_tells_the_studios_own_constants(shop: Shop, visitor: Visitor) -> None:
    shop.do("kwh_price", version=Studio.objects.get(pk=shop.studio.pk).version, price="0.284", money="€")
    text = visitor.open("workshop/reckoning/")
    assert ("Kiln, Bisque: 10 h to going off (your figure); its difference to the room falls to 37 % in 6 h, and it is "
            "planned to be opened at 100 °C after 15 h (your figure); 65 kWh (your figure).") in text  # fmt: skip
    assert "A kWh costs 0.284 €." in text and "planned with from 3 on" in text
    for _i in range(3):
        fire(shop)
    text = visitor.open("workshop/reckoning/")
    assert "Kiln, Bisque: 11 h to going off (from 3 firings on record)" in text
    assert "72 kWh (from 3 firings on record)" in text
    for said in ("cone maker's chart", "Newton's law of cooling", "Share of full power", "Huber 1964"):
        assert said in text


RISE = [("100", "600", ""), ("150", "1240", "10")]
STEPS: tuple[tuple[list[tuple[str, str, str]], int], ...] = (  # and how hot it is as it goes off
    ([], 1240), (RISE, 1240), ([*RISE, ("60", "900", "60")], 900), ([*RISE, ("60", "50", "")], 150),
)  # fmt: skip
FIGURES = ((1, 0, 0), (20_160, 20_160, 10_000), (600, 1080, 105))


def put_in(shop: Shop, figures: tuple[int, int, int], steps: list[tuple[str, str, str]], opens: str) -> None:
    glost, kiln = shop.ids["glost"], shop.ids["kiln"]
    program = {"program": glost, **dict(zip(("fire_min", "cool_min", "kwh"), figures, strict=True))}
    version = Kiln.objects.get().version
    shop.do("kiln_save", **shop.kiln() | {"programs": [program]}, kiln=kiln, version=version)
    shop.do("kiln_plate", kiln=kiln, version=version + 1, open_c=opens)
    ramps = [dict(zip(("rate_c", "target_c", "hold_min"), step, strict=True)) for step in steps]
    shop.do("program_ramps", program=glost, version=Program.objects.get(stage="glost").version, ramps=ramps)


@pytest.mark.parametrize(("steps", "off"), STEPS)
def test_any_figures_that_can_be_put_in_make_a_page(
    shop: Shop, visitor: Visitor, steps: list[tuple[str, str, str]], off: int
) -> None:
    """Where the last steps cool the kiln slowly, it goes off at the end of them and cools freely from there."""
    for figures, opens in product(FIGURES, ("40", "120")):
        put_in(shop, figures, steps, opens)
        text = visitor.open(page(shop, "glost"))
        at = [float(h) for h in re.findall(r'<th scope="row">([\d.]+)</th>', visitor.page)]
        assert at == sorted(at) and at[0] == 0 and "may be opened" in text
        drawn = re.findall(r'<path class="line[^"]*" d="([^"]+)"', visitor.page)
        assert len(drawn) == 2 and all(re.fullmatch(r"M[-\d. ]+", d) for d in drawn)
        assert re.search(rf"<td>{off} °C</td><td>goes off", visitor.page)
