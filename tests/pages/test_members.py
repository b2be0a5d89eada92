"""Who may come in: invitations and their links, roles, passwords, leaving; and a studio of one's own."""

from __future__ import annotations

import re

import pytest
from django.contrib.auth.models import User
from django.test import Client

from studio.models import Invitation, Member, Studio
from tests.pages.visitor import Visitor
from tests.services.shop import Shop

pytestmark = pytest.mark.django_db
SECRET = "clay and water 7"


def invite(visitor: Visitor, **entries: str) -> str:
    """The path of a new invitation's link."""
    visitor.open("workshop/members/")
    fields = visitor.form("invite") | entries
    answer = visitor.client.post(visitor.path("workshop/invite/"), fields)
    assert answer.status_code == 200
    found = re.search(r'value="http://testserver(/join/[^"]+/)"', answer.content.decode())
    assert found is not None
    again = visitor.client.post(visitor.path("workshop/invite/"), fields)  # the page loaded again
    assert "/join/" not in again.content.decode()
    assert "is shown only once" in again.content.decode()
    return found[1]


def test_a_stranger_comes_in_by_a_link_once(shop: Shop, visitor: Visitor) -> None:
    link = invite(visitor, person=shop.ids["person"])
    client = Client()
    page = client.get(link)
    assert page.status_code == 200
    assert "You are invited as Odd." in page.content.decode()
    weak = client.post(link, {"username": "odd", "password1": "short", "password2": "short"})
    assert weak.status_code == 400
    assert 'value="odd"' in weak.content.decode()
    entered = client.post(link, {"username": "odd", "password1": SECRET, "password2": SECRET})
    assert entered.headers["Location"] == visitor.path("")
    member = Member.objects.get(user__username="odd")
    assert (member.role, member.person.public_id) == ("maker", shop.ids["person"])
    assert client.get(visitor.path("")).status_code == 200
    assert Client().get(link).status_code == 404
    assert "holds no more" in Client().post(link, {"username": "b"}).content.decode()
    assert User.objects.filter(username="b").count() == 0


def test_somebody_with_a_login_comes_in_with_one_tap(shop: Shop, visitor: Visitor) -> None:
    link = invite(visitor)
    other = Shop(name="Elsewhere")
    client = Visitor(other).client
    assert "You are logged in as" in client.get(link).content.decode()
    assert client.post(link).headers["Location"] == visitor.path("")
    assert Member.objects.filter(studio=shop.studio, user=other.owner).exists()


def test_a_link_that_was_taken_back_or_is_old_or_made_up_holds_no_more(shop: Shop, visitor: Visitor) -> None:
    link = invite(visitor)
    visitor.open("workshop/members/")
    visitor.send("invite_withdraw")
    assert Client().get(link).status_code == 404
    old = invite(visitor)
    shop.later(days=8)
    assert Client().get(old).status_code == 404
    assert Client().get("/join/made-up/").status_code == 404


def test_only_the_hash_of_a_link_is_kept(visitor: Visitor) -> None:
    from studio.models import Command

    token = invite(visitor).split("/")[2]
    assert token not in str(list(Command.objects.values()) + list(Invitation.objects.values()))


def test_an_invitation_is_made_by_owners_and_by_its_button(shop: Shop, visitor: Visitor) -> None:
    maker = Visitor(shop, shop.maker())
    assert "Invite somebody" not in maker.open("workshop/members/")
    answer = maker.client.post(maker.path("workshop/invite/"), {"id": "x1", "role": "owner"})
    assert answer.status_code == 403
    assert "/join/" not in answer.content.decode()
    assert maker.client.get(maker.path("workshop/invite/")).status_code == 405
    assert Client().post(maker.path("workshop/invite/")).status_code == 302
    assert Visitor(Shop(name="Elsewhere")).client.post(maker.path("workshop/invite/")).status_code == 404
    assert visitor.client.post(visitor.path("workshop/invite/"), {"id": "x2", "role": "king"}).status_code == 422


def test_a_role_is_changed_and_the_last_owner_stays(shop: Shop, visitor: Visitor) -> None:
    member = shop.member(shop.maker())
    visitor.open("workshop/members/")
    visitor.send("member_save", {"member": member.public_id}, role="owner", person=shop.ids["person"])
    member.refresh_from_db()
    assert (member.role, member.person.public_id) == ("owner", shop.ids["person"])
    visitor.send("member_save", {"member": member.public_id}, role="maker", person="")
    own = shop.member(shop.owner)
    assert "The studio needs an owner." in visitor.send("member_save", {"member": own.public_id}, role="maker")
    shop.refused(422, "member_leave")
    assert Member.objects.filter(studio=shop.studio, left_at=None, role="owner").count() == 1


def test_a_maker_leaves_and_finds_no_studio_any_more(shop: Shop) -> None:
    maker = Visitor(shop, shop.maker())
    maker.open("workshop/members/")
    text = maker.send("member_leave")
    assert "No studio yet" in text
    assert maker.client.get(maker.path("")).status_code == 404


def test_another_password(client: Client) -> None:
    assert client.get("/password/").headers["Location"].startswith("/login/")
    user = User.objects.create_user("ann", password="old enough clay")
    client.force_login(user)
    fields = {"old_password": "wrong", "new_password1": SECRET, "new_password2": SECRET}
    assert client.post("/password/", fields).status_code == 400
    assert client.post("/password/", fields | {"old_password": "old enough clay"}).status_code == 302
    user.refresh_from_db()
    assert user.check_password(SECRET)
    assert client.get("/password/").status_code == 200  # still logged in


def test_guessing_the_old_password_is_slow(client: Client) -> None:
    client.force_login(User.objects.create_user("ann", password="old enough clay"))
    fields = {"old_password": "wrong", "new_password1": SECRET, "new_password2": SECRET}
    statuses = [client.post("/password/", fields).status_code for _ in range(12)]
    assert statuses[0] == 400 and statuses[-1] == 429
    assert client.post("/password/", fields | {"old_password": "old enough clay"}).status_code == 429


def test_a_studio_of_one_s_own(client: Client) -> None:
    assert client.get("/studios/new/").headers["Location"].startswith("/login/")
    user = User.objects.create_user("ann")
    client.force_login(user)
    assert "Open a studio of your own" in client.get("/").content.decode()
    wrong = client.post("/studios/new/", {"name": "", "time_zone": "Europe/Paris"})
    assert wrong.status_code == 400
    assert client.post("/studios/new/", {"name": "Mine", "time_zone": "Nowhere"}).status_code == 400
    made = client.post("/studios/new/", {"name": "Mine", "time_zone": "Europe/Paris"})
    studio = Studio.objects.get()
    assert made.headers["Location"] == f"/s/{studio.public_id}/workshop/first/"
    assert (studio.time_zone, studio.is_demo) == ("Europe/Paris", False)
    assert Member.objects.get(studio=studio, user=user).role == "owner"
    assert client.put("/studios/new/").status_code == 405
