"""Kilns, glazes, other work, and what is put away."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest

from studio.models import (
    Form,
    FormTimings,
    Job,
    Kiln,
    KilnStart,
)
from tests.services.shop import Shop


def form_of(shop: Shop) -> Form:
    return Form.objects.get(public_id=shop.ids["form"])


def timings(shop: Shop) -> list[FormTimings]:
    return list(FormTimings.objects.filter(form__public_id=shop.ids["form"]).order_by("valid_from"))


def test_a_new_kiln_gets_usual_counts_for_every_form(shop: Shop) -> None:
    shop.later(days=1)
    small = {**shop.kiln(), "name": "Small", "shelf_kind": "430", "stack_mm": 450, "shelves": 6}
    kiln = shop.do("kiln_save", **small).data["kiln"]
    assert timings(shop)[-1].glost["per_shelf"][kiln] == 4  # the table's bowls on a round 430 shelf
    assert kiln not in timings(shop)[0].glost["per_shelf"]


def test_a_kiln_by_a_plain_form(shop: Shop) -> None:
    fields = {"program": [shop.ids["bisque"], shop.ids["glost"]], "fire_min": ["500", "510"],
              "cool_min": ["600", "610"], "kwh": ["30", "40"],
              "weekday": "4", "starts": "16:00", "ends": "20:00"}  # fmt: skip
    plain = {k: v for k, v in shop.kiln().items() if k != "programs"}
    shop.do("kiln_save", kiln=shop.ids["kiln"], version=1, **plain, **fields)
    kiln = Kiln.objects.get()
    assert sorted(kiln.kiln_programs.values_list("fire_min", flat=True)) == [500, 510]
    assert KilnStart.objects.get().weekday == 4
    shop.do("kiln_save", kiln=shop.ids["kiln"], version=2, **{**plain, "shelves": 8})  # the rest stays
    assert kiln.kiln_programs.count() == 2
    shop.do("kiln_save", kiln=shop.ids["kiln"], version=3, **plain, start_spans=[])
    assert not KilnStart.objects.exists()


@pytest.mark.parametrize("change", [
    {"shelf_kind": "hexagon"}, {"stack_mm": 0}, {"programs": [{"program": "x", "fire_min": 5, "cool_min": 5}]},
])  # fmt: skip
def test_a_kiln_that_cannot_be_is_refused(shop: Shop, change: dict[str, Any]) -> None:
    shop.refused(422, "kiln_save", **{**shop.kiln(), **change})
    assert Kiln.objects.count() == 1


def test_a_glaze_is_fired_in_a_glost_only(shop: Shop) -> None:
    assert "programs" in shop.refused(422, "glaze_save", name="x", programs=[shop.ids["bisque"]]).errors


def test_other_work_has_its_time(shop: Shop) -> None:
    weekly = {"name": "Reclaim", "weekday": 4, "starts": "13:00", "ends": "17:00"}
    shop.refused(422, "job_save", **weekly, minutes=300)
    shop.refused(422, "job_save", name="Once", minutes=30)
    shop.do("job_save", **weekly, minutes=90)
    shop.do("job_save", name="Photos", minutes=30, not_before="2027-04-01T09:00", not_after="2027-04-01T12:00")
    once = Job.objects.get(name="Photos")
    assert once.not_before == dt.datetime(2027, 4, 1, 8, tzinfo=dt.UTC)  # British summer time


@pytest.mark.parametrize("key", ["damp", "jolley", "glaze", "kiln", "person"])
def test_what_is_put_away_stays_in_the_book(shop: Shop, key: str) -> None:
    kind = {"damp": "rack", "jolley": "station"}.get(key, key)
    shop.do(f"{kind}_retire", **{kind: shop.ids[key], "version": 2 if key == "person" else 1})
    shop.refused(404, f"{kind}_retire", **{kind: shop.ids[key], "version": 3})


def test_the_week_is_set_by_anybody_and_the_studio_by_an_owner(shop: Shop) -> None:
    maker = shop.maker()
    assert shop.send("week_set", by=maker, week="damp").ok
    studio = {"name": "South Yard", "time_zone": "Europe/Paris", "units": "metric", "week": "dry"}
    shop.refused(403, "studio_save", by=maker, version=2, **studio)
    shop.refused(422, "studio_save", version=2, **{**studio, "time_zone": "Mars/Base"})
    shop.do("studio_save", version=2, **studio)
    shop.studio.refresh_from_db()
    assert (shop.studio.name, shop.studio.week) == ("South Yard", "dry")


def test_the_air_is_read_by_anybody_until_a_kind_of_week_is_tapped(shop: Shop) -> None:
    said = shop.send("air_set", by=shop.maker(), temperature_c=15, humidity_pct=73)
    assert said.ok
    assert "about 2.0 times as long" in said.message  # half of an ordinary week's deficit: planner.craft.air
    shop.studio.refresh_from_db()
    assert (shop.studio.air_tenths_c, shop.studio.air_humidity_pct) == (150, 73)
    shop.do("week_set", week="ordinary")
    shop.studio.refresh_from_db()
    assert (shop.studio.air_tenths_c, shop.studio.air_humidity_pct) == (None, None)


def test_the_air_in_fahrenheit_and_what_is_no_air(shop: Shop) -> None:
    shop.do("air_set", temperature_f=59, humidity_pct=60)
    shop.studio.refresh_from_db()
    assert shop.studio.air_tenths_c == 150
    shop.refused(422, "air_set", humidity_pct=60)
    shop.refused(422, "air_set", temperature_c=15, temperature_f=59, humidity_pct=60)
    shop.refused(422, "air_set", temperature_c=15, humidity_pct=99)
    shop.refused(422, "air_set", temperature_c=120, humidity_pct=50)


@pytest.mark.parametrize("key", ["damp", "jolley", "glaze", "kiln", "person", "form"])
def test_what_is_put_away_comes_back_with_undo(shop: Shop, key: str) -> None:
    kind = {"damp": "rack", "jolley": "station"}.get(key, key)
    version = 2 if key == "person" else 1
    away = shop.do(f"{kind}_retire", **{kind: shop.ids[key], "version": version})
    assert away.undo
    assert "owner" in shop.refused(403, "undo", by=shop.maker(), command=away.undo).message
    shop.do("undo", command=away.undo)
    assert "already" in shop.refused(422, "undo", command=away.undo).message
    shop.do(f"{kind}_retire", **{kind: shop.ids[key], "version": version + 2})


def test_an_undo_of_another_studio_brings_nothing_back(shop: Shop) -> None:
    away = shop.do("glaze_retire", glaze=shop.ids["glaze"], version=1)
    other = Shop("Elsewhere")
    other.refused(404, "undo", command=away.undo)
    shop.refused(404, "glaze_retire", glaze=shop.ids["glaze"], version=2)
