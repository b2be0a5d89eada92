"""The one door: each command once, happened by our clock, refused in words, nothing half written."""

from __future__ import annotations

import datetime as dt
import threading
from collections.abc import Callable
from typing import Any

import pytest
from django.db import connection

from studio.models import Command, Customer, Fact, Member
from studio.services import commands
from studio.services.commands import happened_at, kinds, run_command
from studio.services.founding import login_without_password
from tests.services.shop import MONDAY, Shop

HOUR = dt.timedelta(hours=1)


def test_the_same_id_gets_the_same_answer_and_acts_once(shop: Shop) -> None:
    first = shop.send("pressed", client_id="tap-1", form=shop.ids["form"], count=3)
    again = shop.send("pressed", client_id="tap-1", form=shop.ids["form"], count=3)
    assert first.status == 200
    assert again == first
    assert Fact.objects.filter(studio=shop.studio).count() == 1


def test_an_id_that_was_done_is_not_used_for_other_content(shop: Shop) -> None:
    shop.do("customer_save", client_id="form-1", name="Ossel House")
    answer = shop.send("customer_save", client_id="form-1", name="Marrow Lane")
    assert answer.status == 409
    assert list(Customer.objects.values_list("name", flat=True)) == ["Ossel House"]


def test_a_refused_form_may_be_sent_again_with_other_content(shop: Shop) -> None:
    shop.refused(422, "customer_save", client_id="form-1", name="")
    assert shop.send("customer_save", client_id="form-1", name="Ossel House").status == 200
    assert Command.objects.get(studio=shop.studio, client_id="form-1").status == 200


def test_the_same_id_is_free_in_another_studio(shop: Shop) -> None:
    other = Shop("South Yard")
    shop.do("customer_save", client_id="form-1", name="Ossel House")
    other.do("customer_save", client_id="form-1", name="Marrow Lane")
    assert Customer.objects.count() == 2


@pytest.mark.django_db(transaction=True)
def test_two_at_once_with_one_id_act_once() -> None:
    shop = Shop().furnish()
    gate = threading.Barrier(4)
    answers = []

    def send() -> None:
        gate.wait()
        answers.append(shop.send("pressed", client_id="tap-1", form=shop.ids["form"], count=3))
        connection.close()

    threads = [threading.Thread(target=send) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(answers) == 4
    assert all(a == answers[0] and a.status == 200 for a in answers)
    assert Fact.objects.filter(studio=shop.studio).count() == 1


@pytest.mark.parametrize(
    ("recorded", "sent", "expected"),
    [
        (None, None, MONDAY),
        (MONDAY, None, MONDAY),
        (MONDAY - 3 * HOUR, MONDAY - HOUR, MONDAY - 2 * HOUR),  # waited two hours on a phone without a net
        (MONDAY + 5 * HOUR, MONDAY + 6 * HOUR, MONDAY - HOUR),  # a clock that is fast: only the wait counts
        (MONDAY + HOUR, MONDAY, MONDAY),  # put back in between: never in the future
        (MONDAY - dt.timedelta(days=40), MONDAY, MONDAY - dt.timedelta(days=14)),
    ],
)
def test_when_it_happened(recorded: dt.datetime | None, sent: dt.datetime | None, expected: dt.datetime) -> None:
    assert happened_at(MONDAY, recorded, sent) == expected


def test_what_waited_on_a_phone_is_recorded_when_it_happened(shop: Shop) -> None:
    run_command(
        studio=shop.studio, user=shop.owner, client_id="tap-1", kind="pressed",
        payload={"form": shop.ids["form"], "count": 3}, recorded_at=MONDAY - 3 * HOUR, sent_at=MONDAY - HOUR,
        now=MONDAY,
    )  # fmt: skip
    fact = Fact.objects.get(studio=shop.studio)
    assert (fact.happened_at, fact.arrived_at) == (MONDAY - 2 * HOUR, MONDAY)


def test_who_is_no_member_learns_nothing(shop: Shop) -> None:
    stranger = login_without_password(name="stranger")
    assert shop.refused(404, "customer_save", by=stranger, name="x").message == "There is no such studio."


def test_who_has_left_is_no_member_any_more(shop: Shop) -> None:
    maker = shop.maker()
    shop.do("member_leave", member=shop.member(maker).public_id)
    shop.refused(404, "customer_save", by=maker, name="x")


def test_a_maker_may_record_but_not_change_the_workshop(shop: Shop) -> None:
    maker = shop.maker()
    assert shop.send("pressed", by=maker, form=shop.ids["form"], count=2).status == 200
    assert "owner" in shop.refused(403, "rack_save", by=maker, name="r", use="damp", boards=3).message


@pytest.mark.parametrize("client_id", ["", "x" * 81, "a\nb"])
def test_an_id_that_is_none_is_refused(shop: Shop, client_id: str) -> None:
    answer = run_command(
        studio=shop.studio, user=shop.owner, client_id=client_id, kind="week_set", payload={"week": "damp"}, now=MONDAY
    )
    assert answer.status == 422
    assert not Command.objects.filter(client_id=client_id).exists()


def test_an_unknown_kind_is_refused(shop: Shop) -> None:
    assert shop.send("make_tea").status == 422


def test_something_unforeseen_is_answered_with_a_number_and_leaves_nothing(
    shop: Shop, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    kind = kinds()["customer_save"]

    def breaks(ctx: Any, data: Any) -> Any:
        Customer.objects.create(studio=ctx.studio, name="half written")
        raise ZeroDivisionError

    monkeypatch.setitem(commands.REGISTRY, "customer_save", commands.Kind(kind.name, kind.roles, kind.spec, breaks))
    answer = shop.send("customer_save", client_id="form-1", name="Ossel House")
    assert answer.status == 500
    assert answer.data["code"] in answer.message
    assert answer.data["code"] in caplog.text
    assert not Customer.objects.exists()
    monkeypatch.undo()
    assert shop.send("customer_save", client_id="form-1", name="Ossel House").status == 200  # tried again: it counts


def test_the_secret_of_an_invitation_is_shown_once_and_not_kept(shop: Shop) -> None:
    first = shop.send("invite", client_id="form-1", role="maker")
    again = shop.send("invite", client_id="form-1", role="maker")
    assert "secret" in first.data
    assert "secret" not in again.data
    assert first.data["secret"] not in str(Command.objects.get(studio=shop.studio, client_id="form-1").answer)


JUNK: list[Callable[[int], Any]] = [
    lambda i: None, lambda i: "", lambda i: "x" * 5000, lambda i: -1, lambda i: 10**30, lambda i: 1.5, lambda i: True,
    lambda i: [], lambda i: ["a", None, {"b": []}], lambda i: {"a": {"b": [1]}}, lambda i: "2027-02-30",
    lambda i: "\u0000\u202e", lambda i: [[["deep"]]], lambda i: "99:99", lambda i: "9" * 30,
]  # fmt: skip


@pytest.mark.parametrize("name", sorted(kinds()))
def test_junk_in_any_field_is_refused_in_words_and_never_breaks(shop: Shop, name: str) -> None:
    fields = [*kinds()[name].spec, "lines", "hours", "programs", "start_spans", "steps", "bisque", "lost:x"]
    for i, junk in enumerate(JUNK):
        answer = shop.send(name, **{f: JUNK[(i + k) % len(JUNK)](k) for k, f in enumerate(fields)})
        assert answer.status < 500, (name, i, answer)
        answer = shop.send(name, **dict.fromkeys(fields, junk(0)))
        assert answer.status < 500, (name, i, answer)
        assert answer.message


IDS = {
    "person", "station", "rack", "glaze", "program", "tool", "kiln", "cast", "job", "form", "mould", "order", "line",
    "batch", "ware", "firing", "run", "plan", "member", "invitation", "day_off", "customer", "blocked", "fact",
    "command", "task",
}  # fmt: skip
GIVEN: dict[str, Any] = {
    "version": 1, "name": "n", "count": 1, "minutes": 5, "qty": 1, "grams": 500, "firsts": 1,
    "until": "2027-03-20T10:00",
    "due": "2027-04-01", "week": "damp", "stage": "bisque", "use": "damp", "boards": 3, "role": "maker", "weekday": 1,
    "starts": "08:00", "ends": "09:00", "stack_mm": 600, "shelf_mm": 20, "shelves": 5, "load_min": 30,
    "unload_min": 30, "shelf_kind": "590", "setup_min": 5, "recheck_min": 5, "data": {"count": 1},
    "first": "2027-03-16", "shape": "bowl", "fired_mm": 150,
}  # fmt: skip
INSTEAD = {"form": {"mould", "order"}, "kiln": {"firing"}, "command": {"fact"}, "glaze": {"order"}}  # either will do


@pytest.mark.parametrize("name", sorted(k for k in kinds() if IDS & set(kinds()[k].spec)))
def test_ids_of_another_studio_are_not_found(shop: Shop, name: str) -> None:
    """Every id that a payload may name, taken from a studio that has just such a thing."""
    other = Shop("South Yard").furnish()
    there = _things(other)
    for field in IDS & set(kinds()[name].spec):
        payload = {k: v for k, v in GIVEN.items() if k in kinds()[name].spec}
        if name == "opening_ware":
            payload["stage"] = "bisqued"
        other_fields = set(kinds()[name].spec) - {field} - INSTEAD.get(field, set())
        own = {k: v for k, v in _things(shop).items() if k in other_fields}
        answer = shop.send(name, **{**payload, **own, field: there[field]})
        assert answer.status in (404, 422), (name, field, answer)


def _things(shop: Shop) -> dict[str, str]:
    if "made" not in shop.ids:
        shop.ids["made"] = "yes"
        line = shop.order()
        pressed = shop.do("pressed", form=shop.ids["form"], count=1)
        ids = {
            "line": line, "batch": pressed.data["batch"], "ware": pressed.data["batch"], "firing": "firing-1",
            "fact": pressed.data["facts"][0], "command": pressed.undo, "task": "task-1", "plan": "plan-1",
            "mould": str(shop.state.ware[pressed.data["batch"]].moulds[0]), "station": shop.ids["jolley"],
            "rack": shop.ids["damp"], "program": shop.ids["glost"],
            "cast": shop.do("cast_save", form=shop.ids["form"]).data["casts"][0],
            "tool": shop.do("tool_save", name="t", setup_min=5, recheck_min=5).data["tool"],
            "job": shop.do("job_save", name="j", minutes=5, weekday=0, starts="08:00", ends="09:00").data["job"],
            "blocked": shop.do("blocked_save", name="b", weekday=0, starts="08:00", ends="09:00",
                               people=[shop.ids["person"]]).data["blocked"],
            "day_off": shop.do("day_off", person=shop.ids["person"], first="2027-05-01").data["day_off"],
            "customer": shop.do("customer_save", name="c").data["customer"],
            "invitation": shop.do("invite", role="maker").data["invitation"],
            "member": Member.objects.get(studio=shop.studio, user=shop.owner).public_id,
            "run": shop.do("plan_make").data["run"],
        }  # fmt: skip
        shop.ids.update(ids)
    return shop.ids
