"""Editing: forms, orders, people, the workshop, and who may enter."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest

from studio.models import (
    BlockedTime,
    DayOff,
    Form,
    FormTimings,
    Invitation,
    Job,
    Kiln,
    KilnStart,
    Mould,
    Order,
    OrderLine,
    Person,
    Rack,
    Tool,
    WeeklyHours,
)
from studio.services.commands import SECRET
from studio.services.commands_members import accept_invitation, hashed, open_invitation
from studio.services.founding import login_without_password
from tests.services.shop import Shop


def form_of(shop: Shop) -> Form:
    return Form.objects.get(public_id=shop.ids["form"])


def timings(shop: Shop) -> list[FormTimings]:
    return list(FormTimings.objects.filter(form__public_id=shop.ids["form"]).order_by("valid_from"))


# Forms and moulds


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


# A stale edit


def test_a_stale_edit_says_what_stands_there_now_and_saves_nothing(shop: Shop) -> None:
    shop.do("rack_save", rack=shop.ids["damp"], version=1, name="Cupboard", use="damp", boards=20)
    answer = shop.refused(409, "rack_save", rack=shop.ids["damp"], version=1, name="Cupboard", use="damp", boards=12)
    assert answer.errors == {"boards": "Now: 20"}
    assert "boards: 20" in answer.message
    assert answer.data == {"version": 2}
    assert Rack.objects.get(public_id=shop.ids["damp"]).boards == 20
    shop.do("rack_save", rack=shop.ids["damp"], version=2, name="Cupboard", use="damp", boards=12)


def test_an_edit_without_a_version_is_stale(shop: Shop) -> None:
    shop.refused(409, "rack_save", rack=shop.ids["damp"], name="Cupboard", use="damp", boards=12)


# Orders


def test_an_order_by_a_plain_form_with_empty_lines(shop: Shop) -> None:
    form, glaze = shop.ids["form"], shop.ids["glaze"]
    lines = {"form": [form, "", form], "glaze": [glaze, "", glaze], "qty": ["10", "", "4"]}
    shop.do("order_new", customer_name=" Ossel House ", due="2027-04-02", **lines)
    order = Order.objects.get()
    assert order.customer.name == "Ossel House"
    assert sorted(order.lines.values_list("qty", flat=True)) == [4, 10]
    shop.do("order_new", customer_name="ossel house", due="2027-04-03", form=form, glaze=glaze, qty="1")
    assert len({o.customer_id for o in Order.objects.all()}) == 1


@pytest.mark.parametrize(
    ("change", "field"),
    [({"due": "soon"}, "due"), ({"customer_name": ""}, "customer_name"), ({"qty": "0"}, "lines.0.qty"),
     ({"form": "", "qty": ""}, "qty"), ({"weight": "9"}, "weight"), ({"note": "x" * 2001}, "note")],
)  # fmt: skip
def test_what_is_wrong_in_an_order_is_told_by_field(shop: Shop, change: dict[str, str], field: str) -> None:
    good = {"customer_name": "Ossel House", "due": "2027-04-02", "form": shop.ids["form"], "glaze": shop.ids["glaze"],
            "qty": "3"}  # fmt: skip
    answer = shop.refused(422, "order_new", **{**good, **change})
    assert list(answer.errors) == [field]
    assert not Order.objects.exists()


def test_changing_an_order_keeps_cancels_and_adds_lines(shop: Shop) -> None:
    kept = shop.order(qty=10)
    form, glaze = shop.ids["form"], shop.ids["glaze"]
    order = shop.ids["order"]
    shop.do("line_add", order=order, version=1, form=form, glaze=glaze, qty=3)
    lines = [{"line": kept, "form": form, "glaze": glaze, "qty": 12}, {"form": form, "glaze": glaze, "qty": 5}]
    shop.do("order_change", order=order, version=2, due="2027-05-01", lines=lines)
    open_lines = OrderLine.objects.filter(cancelled_at=None)
    assert sorted(open_lines.values_list("qty", flat=True)) == [5, 12]
    assert OrderLine.objects.get(public_id=kept).qty == 12
    assert Order.objects.get().due == dt.date(2027, 5, 1)


def test_another_glaze_is_another_line(shop: Shop) -> None:
    line = shop.order(qty=10)
    tide = shop.do("glaze_save", name="Tide", programs=[shop.ids["glost"]]).data["glaze"]
    shop.do("line_change", line=line, version=1, qty=10, glaze=tide)
    assert OrderLine.objects.get(public_id=line).cancelled_at is not None
    assert OrderLine.objects.get(cancelled_at=None).glaze.public_id == tide


def test_a_cancelled_order_is_changed_no_more_but_can_be_restored(shop: Shop) -> None:
    shop.order()
    order = shop.ids["order"]
    shop.do("order_cancel", order=order, version=1)
    shop.refused(422, "order_change", order=order, version=2, due="2027-05-01")
    shop.do("order_restore", order=order, version=2)
    shop.do("order_change", order=order, version=3, due="2027-05-01")


def test_ware_of_a_cancelled_order_is_planned_as_stock(shop: Shop) -> None:
    from studio.translate import scenario_at

    line = shop.order(qty=8)
    shop.do("opening_ware", form=shop.ids["form"], count=4, stage="glazed", order=line)
    shop.do("order_cancel", order=shop.ids["order"], version=1)
    scenario = scenario_at(shop.studio, shop.now).scenario
    assert scenario.orders == ()
    assert [w.order for w in scenario.wip] == [None]


def test_cancelling_the_last_line_cancels_the_order(shop: Shop) -> None:
    line = shop.order()
    shop.refused(409, "line_cancel", line=line, version=7)
    shop.do("line_cancel", line=line, version=1)
    assert Order.objects.get().cancelled_at is not None


# People


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


# The workshop


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


# Who may enter


def test_an_invitation_lets_one_login_in_once(shop: Shop) -> None:
    answer = shop.do("invite", role="maker", person=shop.ids["person"])
    token = answer.data[SECRET]
    assert Invitation.objects.get().token_hash == hashed(token) != token
    guest, late = login_without_password(name="guest"), login_without_password(name="late")
    assert accept_invitation(token=token, user=guest, now=shop.now) == shop.studio
    assert accept_invitation(token=token, user=late, now=shop.now) is None
    assert shop.member(guest).person == Person.objects.get(public_id=shop.ids["person"])


def test_an_invitation_ends_after_a_week_or_by_an_owner(shop: Shop) -> None:
    old = shop.do("invite").data[SECRET]
    shop.later(days=8)
    assert open_invitation(old, shop.now) is None
    new = shop.do("invite")
    shop.do("invite_withdraw", invitation=new.data["invitation"])
    assert open_invitation(new.data[SECRET], shop.now) is None


def test_the_last_owner_stays(shop: Shop) -> None:
    maker = shop.maker()
    shop.refused(422, "member_leave")
    shop.refused(403, "member_leave", by=maker, member=shop.member(shop.owner).public_id)
    me = shop.member(shop.owner)
    shop.refused(422, "member_save", member=me.public_id, version=me.version, role="maker")
    shop.do("member_save", member=shop.member(maker).public_id, version=1, role="owner")
    shop.do("member_leave")
    shop.refused(404, "week_set", week="dry")


def test_who_left_may_be_invited_again(shop: Shop) -> None:
    maker = shop.maker()
    shop.do("member_leave", member=shop.member(maker).public_id)
    token = shop.do("invite", role="owner").data[SECRET]
    assert accept_invitation(token=token, user=maker, now=shop.now) == shop.studio
    assert (shop.member(maker).left_at, shop.member(maker).role) == (None, "owner")
