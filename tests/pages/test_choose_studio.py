"""Which studio: one is opened at once, several are asked for, none is explained."""

from __future__ import annotations

from django.test import Client

from studio.models import Member
from studio.services.founding import login_without_password
from tests.services.shop import Shop


def test_one_studio_is_opened_at_once(db: None) -> None:
    shop, client = Shop(), Client()
    client.force_login(shop.owner)
    assert client.get("/").headers["Location"] == f"/s/{shop.studio.public_id}/"
    assert "Other studio" not in client.get(f"/s/{shop.studio.public_id}/").content.decode()


def test_several_are_asked_for_by_name(db: None) -> None:
    shop, other, third, client = Shop("North Yard"), Shop("Next Door"), Shop("Elsewhere"), Client()
    Member.objects.create(studio=other.studio, user=shop.owner)
    client.force_login(shop.owner)
    assert client.get("/").headers["Location"] == "/studios/"
    page = client.get("/studios/").content.decode()
    assert page.index("Next Door") < page.index("North Yard")
    assert third.studio.public_id not in page
    assert "Other studio" in client.get(f"/s/{shop.studio.public_id}/").content.decode()


def test_no_studio_is_explained(db: None) -> None:
    client = Client()
    client.force_login(login_without_password(name="nobody"))
    assert "belongs to no studio" in client.get("/").content.decode()
    assert "belongs to no studio" in client.get("/studios/").content.decode()


def test_it_needs_a_login_and_takes_no_post(db: None) -> None:
    client = Client()
    assert client.get("/studios/").status_code == 302
    client.force_login(Shop().owner)
    assert client.post("/studios/").status_code == 405
