"""Who may enter the studio."""

from __future__ import annotations

from studio.models import (
    Invitation,
    Person,
)
from studio.services.commands import SECRET
from studio.services.commands_members import accept_invitation, hashed, open_invitation
from studio.services.founding import login_without_password
from tests.services.shop import Shop


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
