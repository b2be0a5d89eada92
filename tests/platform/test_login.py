"""Coming in, going out, and what stays shut."""

from __future__ import annotations

import pytest
from django.contrib.auth.models import User
from django.test import Client

pytestmark = pytest.mark.django_db


@pytest.fixture
def ann() -> User:
    return User.objects.create_user("ann", password="clay and water")


def test_a_right_password_leads_to_the_page_that_was_asked_for(client: Client, ann: User) -> None:
    asked = client.get("/s/abc/?day=2")
    assert asked.status_code == 302
    assert asked.headers["Location"] == "/login/?next=/s/abc/%3Fday%3D2"
    form = {"username": "ann", "password": "clay and water", "next": "/s/abc/"}
    answer = client.post(asked.headers["Location"], form)
    assert (answer.status_code, answer.headers["Location"]) == (302, "/s/abc/")


def test_a_wrong_password_is_said_plainly(client: Client, ann: User) -> None:
    answer = client.post("/login/", {"username": "ann", "password": "wrong"})
    assert answer.status_code == 400
    assert "do not belong together" in answer.content.decode()


def test_a_login_never_leads_to_another_site(client: Client, ann: User) -> None:
    answer = client.post(
        "/login/", {"username": "ann", "password": "clay and water", "next": "https://elsewhere.example/"}
    )
    assert answer.headers["Location"] == "/"


def test_going_out_needs_a_post(client: Client, ann: User) -> None:
    client.force_login(ann)
    refused = client.get("/logout/")
    assert refused.status_code == 405
    assert "works only from its button" in refused.content.decode()
    assert client.get("/").status_code == 200
    assert client.post("/logout/").headers["Location"] == "/login/"
    assert client.get("/").status_code == 302


def test_a_fragment_without_a_login_moves_the_whole_page(client: Client) -> None:
    answer = client.get("/s/abc/", headers={"HX-Request": "true"})
    assert answer.headers["HX-Redirect"] == "/login/"


def test_a_script_without_a_login_is_told_so_and_not_redirected(client: Client) -> None:
    answer = client.post("/s/abc/", headers={"Accept": "application/json"})
    assert (answer.status_code, answer.json()["error"]) == (401, "login")
