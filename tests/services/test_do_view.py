"""The command address: by form, by htmx, as JSON; POST only, bounded, CSRF on, another studio's 404."""

from __future__ import annotations

import json
from typing import Any

import pytest
from django.contrib.messages import get_messages
from django.http import HttpResponse
from django.test import Client

from studio.models import Command, Customer
from studio.offline import person_key
from studio.services.founding import login_without_password
from tests.services.shop import Shop


@pytest.fixture
def client(shop: Shop) -> Client:
    client = Client()
    client.force_login(shop.owner)
    return client


def post(client: Client, shop: Shop, fields: dict[str, Any], **headers: str) -> HttpResponse:
    address = f"/s/{shop.studio.public_id}/do/"
    return client.post(address, {"id": "form-1", **fields}, headers=headers or None)


def test_a_plain_form_is_sent_back_where_it_came_from_with_a_message_and_undo(client: Client, shop: Shop) -> None:
    back = f"/s/{shop.studio.public_id}/moulds/"
    answer = post(client, shop, {"kind": "pressed", "form": shop.ids["form"], "count": "3", "next": back})
    assert (answer.status_code, answer.headers["Location"]) == (302, back)
    message = next(iter(get_messages(answer.wsgi_request)))
    assert str(message) == "3 × Bowl pressed."
    assert message.extra_tags == "undo:form-1"


@pytest.mark.parametrize("after", ["https://elsewhere.example/", "//elsewhere.example/", "elsewhere", "/\\elsewhere"])
def test_it_sends_nobody_elsewhere(client: Client, shop: Shop, after: str) -> None:
    answer = post(client, shop, {"kind": "week_set", "week": "damp", "next": after})
    assert answer.headers["Location"] == f"/s/{shop.studio.public_id}/"


def test_a_refused_form_keeps_its_entries_for_the_page(client: Client, shop: Shop) -> None:
    answer = post(client, shop, {"kind": "customer_save", "name": "", "note": "door at the back"})
    assert answer.status_code == 302
    kept = client.session["refused"]
    assert kept["entries"] == {"name": "", "note": "door at the back"}
    assert kept["errors"] == {"name": "Please fill this in."}
    level = next(iter(get_messages(answer.wsgi_request))).level_tag
    assert level == "warning"


def test_json_gets_the_answer_and_its_status(client: Client, shop: Shop) -> None:
    fields = {"kind": "customer_save", "payload": json.dumps({"name": "Ossel House"})}
    answer = post(client, shop, fields, accept="application/json")
    assert answer.status_code == 200
    assert answer.json()["data"]["customer"] == Customer.objects.get().public_id
    refused = post(client, shop, {**fields, "id": "form-2", "payload": '{"name": ""}'}, accept="application/json")
    assert (refused.status_code, refused.json()["errors"]) == (422, {"name": "Please fill this in."})


def test_a_json_body_does_as_well(client: Client, shop: Shop) -> None:
    body = {"id": "form-1", "kind": "customer_save", "payload": {"name": "Ossel House"},
            "recorded_at": "2027-03-15T07:00:00Z", "sent_at": "2027-03-15T08:00:00+00:00"}  # fmt: skip
    address = f"/s/{shop.studio.public_id}/do/"
    answer = client.post(address, body, content_type="application/json", headers={"accept": "application/json"})
    assert answer.status_code == 200
    row = Command.objects.get(client_id="form-1")
    assert (row.arrived_at - row.happened_at).total_seconds() == 3600


def test_htmx_gets_a_note(client: Client, shop: Shop) -> None:
    answer = post(client, shop, {"kind": "pressed", "form": shop.ids["form"], "count": "3"}, hx_request="true")
    assert answer.status_code == 200
    text = answer.content.decode()
    assert "3 × Bowl pressed." in text
    assert 'value="form-1"' in text  # the undo names the command
    refused = post(client, shop, {"id": "form-2", "kind": "pressed", "form": "x", "count": "3"}, hx_request="true")
    assert 'role="alert"' in refused.content.decode()


@pytest.mark.parametrize("payload", ["{", "[]", '"x"', "1", "NaN", "[" * 100_000, '{"a":' * 5000])
def test_a_payload_that_cannot_be_read_is_refused_in_words(client: Client, shop: Shop, payload: str) -> None:
    answer = post(client, shop, {"kind": "customer_save", "payload": payload}, accept="application/json")
    assert answer.status_code == 422
    assert answer.json()["message"]
    address = f"/s/{shop.studio.public_id}/do/"
    answer = client.post(address, payload, content_type="application/json", headers={"accept": "application/json"})
    assert answer.status_code == 422


@pytest.mark.parametrize("moment", ["yesterday", "2027-03-15T08:00:00", "0001-01-01T00:00:00+14:00", "9" * 400])
def test_a_clock_that_cannot_be_read_counts_as_none(client: Client, shop: Shop, moment: str) -> None:
    fields = {"kind": "week_set", "week": "damp", "recorded_at": moment, "sent_at": moment}
    assert post(client, shop, fields, accept="application/json").status_code == 200
    row = Command.objects.get(client_id="form-1")
    assert row.happened_at == row.arrived_at


def test_post_only(client: Client, shop: Shop) -> None:
    for method in ("get", "put", "delete", "head"):
        assert getattr(client, method)(f"/s/{shop.studio.public_id}/do/").status_code == 405


def test_another_studio_is_not_there(client: Client, shop: Shop) -> None:
    other = Shop("South Yard")
    assert post(client, other, {"kind": "week_set", "week": "damp"}).status_code == 404


def test_without_a_login_nothing_is_done(shop: Shop) -> None:
    answer = post(Client(), shop, {"kind": "week_set", "week": "damp"})
    assert answer.status_code in (302, 401, 403)
    assert not Command.objects.filter(client_id="form-1").exists()


def test_a_form_from_elsewhere_is_refused(shop: Shop) -> None:
    strict = Client(enforce_csrf_checks=True)
    strict.force_login(shop.owner)
    assert post(strict, shop, {"kind": "week_set", "week": "damp"}).status_code == 403
    assert not Command.objects.filter(client_id="form-1").exists()


def test_a_member_of_another_studio_learns_nothing(shop: Shop) -> None:
    stranger = Client()
    stranger.force_login(login_without_password(name="stranger"))
    there = post(stranger, shop, {"kind": "week_set", "week": "damp"})
    nowhere = stranger.post("/s/nothing/do/", {"id": "form-1", "kind": "week_set", "week": "damp"})
    assert (there.status_code, nowhere.status_code) == (404, 404)


def test_what_is_too_large_is_refused_by_its_length(client: Client, shop: Shop) -> None:
    fields = {"kind": "customer_save", "payload": "x" * 300_000}
    answer = post(client, shop, fields, accept="application/json")
    assert (answer.status_code, answer.json()["status"]) == (413, 413)
    assert "too large" in answer.json()["message"]
    assert post(client, shop, fields).headers["Location"] == f"/s/{shop.studio.public_id}/"
    assert not Command.objects.filter(client_id="form-1").exists()


def test_the_answer_names_the_id_that_it_is_about(client: Client, shop: Shop) -> None:
    fields = {"kind": "week_set", "week": "damp"}
    answer = post(client, shop, fields, accept="application/json")
    assert answer.json()["id"] == "form-1"
    assert "next" not in answer.json()  # nobody is looking, so no page has to say it
    assert not list(get_messages(answer.wsgi_request))


def test_a_page_that_waits_for_the_answer_has_the_next_one_say_it(client: Client, shop: Shop) -> None:
    back = f"/s/{shop.studio.public_id}/moulds/"
    fields = {"kind": "pressed", "form": shop.ids["form"], "count": "3", "next": back}
    answer = post(client, shop, fields, accept="application/json", x_tell="page")
    assert answer.json()["next"] == back
    assert [str(m) for m in get_messages(answer.wsgi_request)] == ["3 × Bowl pressed."]
    fields = {"id": "form-2", "kind": "customer_save", "name": "", "next": back}
    refused = post(client, shop, fields, accept="application/json", x_tell="page")
    assert (refused.status_code, refused.json()["id"], refused.json()["next"]) == (422, "form-2", back)
    assert client.session["refused"]["kind"] == "customer_save"


def test_an_entry_of_somebody_else_is_not_taken_under_this_name(client: Client, shop: Shop) -> None:
    fields = {"kind": "week_set", "week": "damp"}
    other = person_key(shop.maker())
    answer = post(client, shop, fields, accept="application/json", x_studio_person=other)
    assert (answer.status_code, answer.json()["error"]) == (401, "login")
    assert not Command.objects.filter(client_id="form-1").exists()
    own = person_key(shop.owner)
    assert post(client, shop, fields, accept="application/json", x_studio_person=own).status_code == 200


def test_without_a_login_the_phone_is_told_so_and_sent_nowhere(shop: Shop) -> None:
    stranger = Client()
    answer = post(stranger, shop, {"kind": "week_set", "week": "damp"}, accept="application/json")
    assert (answer.status_code, answer.json()["error"]) == (401, "login")
    assert "Location" not in answer.headers
    asked = stranger.get("/here/", headers={"accept": "application/json"})
    assert (asked.status_code, asked.json()["error"]) == (401, "login")


def test_an_old_token_is_told_apart_from_a_refusal(shop: Shop) -> None:
    strict = Client(enforce_csrf_checks=True)
    strict.force_login(shop.owner)
    fields = {"kind": "week_set", "week": "damp"}
    answer = post(strict, shop, fields, accept="application/json", x_csrftoken="x" * 64)
    assert (answer.status_code, answer.json()["error"]) == (403, "csrf")
    here = strict.get("/here/", headers={"accept": "application/json"})
    assert "no-store" in here.headers["Cache-Control"]
    assert here.json()["person"] == person_key(shop.owner)
    token = here.json()["token"]
    assert post(strict, shop, fields, accept="application/json", x_csrftoken=token).status_code == 200
