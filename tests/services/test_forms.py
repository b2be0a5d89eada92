"""Forms, their timings and their moulds."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest

from studio.models import (
    Form,
    FormTimings,
    Mould,
    Tool,
)
from tests.services.shop import Shop


def form_of(shop: Shop) -> Form:
    return Form.objects.get(public_id=shop.ids["form"])


def timings(shop: Shop) -> list[FormTimings]:
    return list(FormTimings.objects.filter(form__public_id=shop.ids["form"]).order_by("valid_from"))


def test_six_questions_make_a_form_with_moulds_tool_and_timings(shop: Shop) -> None:
    shop.do("form_new", name="Mug", shape="mug", fired_mm="85", foot="mould", handle="on", ball_g="460", moulds="12")
    form = Form.objects.get(name="Mug")
    assert Mould.objects.filter(form=form).count() == 12
    assert (form.tool.name, form.tool.setup_min, form.handle) == ("Mug", 25, True)
    first = form.timings.get()
    assert [s["kind"] for s in first.steps] == ["fettle", "join"]
    assert first.glost["per_shelf"] == {shop.ids["kiln"]: 22}  # the table's 590 shelf


def test_what_was_not_answered_takes_the_usual(shop: Shop) -> None:
    shop.do("form_new", name="Side plate", shape="side_plate", fired_mm=175)
    form = Form.objects.get(name="Side plate")
    assert (form.ball_g, form.foot, Mould.objects.filter(form=form).count()) == (560, "mould", 16)


def test_two_forms_share_a_tool(shop: Shop) -> None:
    tool = form_of(shop).tool
    shop.do("form_new", name="Small bowl", shape="bowl", fired_mm=120, tool=tool.public_id)
    assert Tool.objects.count() == 1


def test_new_timings_hold_from_now_and_leave_the_past(shop: Shop) -> None:
    shop.later(days=20)
    window = {"release_after_lo": "400", "release_after_hi": "700"}
    shop.do("form_change", form=shop.ids["form"], version=1, press_s=300, **window)
    old, new = timings(shop)
    assert (old.press_s, old.release_after) == (210, [360, 720])
    assert (new.press_s, new.release_after, new.valid_from) == (300, [400, 700], shop.now)
    assert new.dry_min == old.dry_min


def test_nothing_new_adds_no_timings(shop: Shop) -> None:
    shop.later(days=20)
    shop.do("form_change", form=shop.ids["form"], version=1, press_s=210, name="Bowl 15")
    assert len(timings(shop)) == 1
    assert form_of(shop).name == "Bowl 15"


def test_shelves_are_changed_kiln_by_kiln(shop: Shop) -> None:
    shop.later(days=1)
    kiln = shop.ids["kiln"]
    shop.do("form_change", form=shop.ids["form"], version=1, **{f"glost_shelf_{kiln}": "11", "glost_clearance_mm": 85})
    assert timings(shop)[-1].glost == {"clearance_mm": 85, "per_shelf": {kiln: 11}}
    shop.do("form_change", form=shop.ids["form"], version=2, **{f"glost_shelf_{kiln}": ""})
    assert timings(shop)[-1].glost["per_shelf"] == {}  # this kiln cannot take it


@pytest.mark.parametrize(
    ("field", "value"),
    [("release_after", [700, 400]), ("press_s", 0), ("loss_glost_pct", 91), ("green_per_board", 0),
     ("steps", [{"kind": "turn", "fixed": 0, "each_s": 5, "after": [0, 60]}] * 2)],
)  # fmt: skip
def test_timings_that_cannot_be_are_refused_by_field(shop: Shop, field: str, value: Any) -> None:
    assert field in shop.refused(422, "form_change", form=shop.ids["form"], version=1, **{field: value}).errors
    assert len(timings(shop)) == 1


def test_the_tool_of_a_form_is_changed_with_it(shop: Shop) -> None:
    shop.do("form_change", form=shop.ids["form"], version=1, setup_min=40)
    assert form_of(shop).tool.setup_min == 40


def test_moulds_are_numbered_on(shop: Shop) -> None:
    answer = shop.do("mould_add", form=shop.ids["form"], count=2, ready="2027-03-20T09:00")
    assert answer.message == "2 more moulds of Bowl: 9 to 10."
    assert Mould.objects.get(number=10).ready_from == dt.datetime(2027, 3, 20, 9, tzinfo=dt.UTC)


def test_a_retired_form_is_kept_but_not_offered(shop: Shop) -> None:
    shop.do("form_retire", form=shop.ids["form"], version=1)
    assert form_of(shop).retired_at == shop.now
    shop.refused(404, "pressed", form=shop.ids["form"], count=1)
