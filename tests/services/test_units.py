"""Pounds, inches and °F: said and entered, and kept in whole millimetres and grams."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from studio import units
from studio.models import Form, FormTimings, Kiln, Program
from studio.units import INCHES, POUNDS
from tests.services.shop import Shop


def test_the_units_are_what_the_agreement_says() -> None:
    # International yard and pound agreement, 1959: a yard is 0.9144 m, a pound is 0.45359237 kg, both exactly.
    assert pytest.approx(914.4, abs=1e-9) == units.MM_PER_INCH * 36
    assert units.G_PER_POUND == 453.59237


@given(st.integers(min_value=1, max_value=20_000))
def test_what_a_field_shows_comes_back_as_it_was_kept(kept: int) -> None:
    for entry in (INCHES, POUNDS):
        assert entry.kept(float(entry.shown(kept))) == kept


@pytest.mark.parametrize(("grams", "text"), [
    (453.59237, "1 lb"), (560, "1 lb 3.8 oz"), (110, "3.9 oz"), (1300, "2 lb 13.9 oz"), (453.5, "1 lb"),
])  # fmt: skip
def test_a_ball_in_pounds_and_ounces(grams: float, text: str) -> None:
    with units.override("us"):
        assert units.weight(grams) == text


def test_a_sentence_with_measures() -> None:
    # Fixed points of both scales: water freezes at 0 °C = 32 °F and boils at 100 °C = 212 °F.
    sentence = "Not before about 100 °C. A board is 1.2 by 0.3 m. Two people above about 16 kg; never 0 °C."
    assert units.said(sentence) == sentence
    with units.override("us"):
        said = units.said(sentence)
    assert said == "Not before about 212 °F. A board is 47 by 12 in. Two people above about 35 lb; never 32 °F."


def test_a_form_entered_in_inches_and_pounds(shop: Shop) -> None:
    made = shop.do("form_new", name="Plate", shape="dinner_plate", fired_mm_in="10.5", foot="mould", ball_g_lb="2,75")
    row = Form.objects.get(public_id=made.data["form"])
    assert (row.fired_mm, row.ball_g) == (267, 1247)  # 10.5 × 25.4 = 266.7; 2.75 × 453.59 = 1247.4
    change = {"form": row.public_id, "version": row.version}
    shop.do("form_change", **change, bisque_clearance_mm_in="2.5", glost_clearance_mm_in="")
    timings = FormTimings.objects.filter(form=row).order_by("valid_from").last()
    assert timings is not None
    assert timings.bisque["clearance_mm"] == 64


@pytest.mark.parametrize(("entry", "told"), [
    ("400", "inches from 0.787 to 31.496"), ("0.1", "inches from"), ("wide", "Enter a number"),
    ("nan", "Enter a number"), ("-3", "Enter a number"), ("1e400", "Enter a number"), ("", "Please fill this in"),
])  # fmt: skip
def test_what_cannot_be_is_told_in_the_same_unit(shop: Shop, entry: str, told: str) -> None:
    answer = shop.refused(422, "form_new", name="Plate", shape="bowl", fired_mm_in=entry)
    assert told in answer.errors["fired_mm"]


def test_props_that_cannot_be_are_marked_at_their_own_field(shop: Shop) -> None:
    form = {"form": shop.ids["form"], "version": 1}
    assert "bisque_clearance_mm" in shop.refused(422, "form_change", **form, bisque_clearance_mm="9000").errors
    told = shop.refused(422, "form_change", **form, glost_clearance_mm_in="900").errors
    assert "inches" in told["glost_clearance_mm"]


def test_a_usual_kiln_of_such_a_studio_is_called_by_fahrenheit(shop: Shop) -> None:
    shop.do("studio_save", name="South Yard", time_zone="America/New_York", units="us", week="ordinary", version=1)
    shop.do("start_kiln", size="small")
    names = set(Program.objects.filter(studio=shop.studio).values_list("name", flat=True))
    assert {"Bisque 1832 °F", "Glost 2264 °F"} <= names
    assert Kiln.objects.filter(studio=shop.studio, stack_mm=450).exists()
