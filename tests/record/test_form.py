"""Facts are refused for their form only, in words that say what is wanted."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from studio.record.fold import HANDLERS
from studio.record.form import ABOUT_FACTS, FORMS, KINDS, check_form
from tests.record.anything import KINDS as RANDOM
from tests.record.making import T0, pressed, sorted_, taken_out

pytestmark = pytest.mark.one_lane  # no database


def test_every_kind_of_fact_is_known_to_the_fold() -> None:
    assert set(KINDS) == set(HANDLERS) | set(ABOUT_FACTS)


@given(st.sampled_from(sorted(RANDOM)).flatmap(lambda kind: st.tuples(st.just(kind), RANDOM[kind])), st.data())
def test_a_missing_key_is_named(kind_and_data: tuple[str, dict[str, Any]], draw: st.DataObject) -> None:
    kind, data = kind_and_data
    assert check_form(kind, data) == []
    key = draw.draw(st.sampled_from([k for k in FORMS[kind] if not k.endswith("_")]))
    assert f"{key}: is missing" in check_form(kind, {k: v for k, v in data.items() if k != key})
    assert check_form(kind, {**data, "sung": 1}) == ["sung: is not known here"]
    assert check_form(kind, {**data, "note": "by the window"}) == []


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (pressed(0, count=2).data, "moulds: 2 pieces were pressed into 3 moulds"),
        (pressed(0, first=T0 + 9).data, "first: the first piece lies outside started to ended"),
        (pressed(0, started=T0 + 1, first=T0 + 1).data, "ended: comes before started"),
        (pressed(0, moulds=["m1", "m1", "m2"]).data, "moulds: an id stands there twice"),
        (pressed(0, count=True).data, "count: a whole number from 1 to 100000 is wanted, not True"),
        (pressed(0, batch="").data, "batch: an id of 1 to 80 printable characters is wanted, not ''"),
        (pressed(0, covered="yes").data, "covered: yes or no is wanted, not 'yes'"),
    ],
)
def test_what_is_wrong_with_a_pressing(data: dict[str, Any], said: str) -> None:
    assert said in check_form("pressed", data)


def test_what_is_wrong_with_parts_and_sums() -> None:
    assert check_form("taken_out", taken_out(0, left=1, remainder=None).data) == [
        "remainder: names the batch of what is left, if anything is left"
    ]
    assert check_form("sorted", sorted_(0, 2, l=3).data) == [
        "firsts: firsts, seconds and lost are together all the pieces"
    ]
    assert check_form("person_away", {"person": "p", "from": 5, "until": 5}) == ["until: comes before from"]
    glazed = {
        "id": "w",
        "form": "bowl",
        "count": 1,
        "stage": "glazed",
        "at": T0,
        "order": None,
        "glaze": None,
        "dry_at": None,
    }
    assert check_form("opening", glazed) == ["glaze: glazed ware has one"]
    assert check_form("packed", {}) and check_form("lit", [])[0].startswith("the data of a fact is a record")
    assert check_form("sang", {}) == ['"sang" is no kind of fact']
    assert check_form("correction", {"of": "x", "data": {}}) == ["data: at least one named value is wanted"]
