"""Commands about who may enter the studio."""

from __future__ import annotations

import datetime as dt
import hashlib
import secrets
from typing import Any

from django.contrib.auth.models import User
from django.db import transaction
from django.utils.translation import gettext as _

from studio.models import Invitation, Member, Person, Studio
from studio.services.answers import NOT_FOUND, Answer, Refused
from studio.services.commands import OWNER, OWNERS, SECRET, command
from studio.services.context import Context
from studio.services.fields import choice, ident, optional
from studio.services.saving import VERSION

VALID_FOR = dt.timedelta(days=7)
ROLE = choice(Member.Role.values)


def hashed(token: str) -> str:
    """What is kept of an invitation's token."""
    return hashlib.sha256(token.encode()).hexdigest()


@command("invite", {"role": optional(ROLE, "maker"), "person": optional(ident)}, roles=OWNERS)
def invite(ctx: Context, data: dict[str, Any]) -> Answer:
    """A link by which one more login may join, for a week and once. It is shown this one time only: ``data`` holds
    its token under "secret"."""
    person = ctx.find(Person, data["person"], name="person") if data["person"] else None
    token = secrets.token_urlsafe(24)
    row = Invitation.objects.create(
        studio=ctx.studio, token_hash=hashed(token), role=data["role"], person=person, expires_at=ctx.now + VALID_FOR
    )
    message = _("The invitation is made. Copy its link now: it is shown only once, and works once within a week.")
    return ctx.done(message, invitation=row.public_id, **{SECRET: token})


@command("invite_withdraw", {"invitation": ident}, roles=OWNERS)
def invite_withdraw(ctx: Context, data: dict[str, Any]) -> Answer:
    """An invitation that was not used yet holds no more."""
    row = ctx.find(Invitation, data["invitation"], name="invitation")
    if row.accepted_at is not None:
        raise Refused(_("This invitation was used already."))
    row.withdrawn_at = row.withdrawn_at or ctx.now
    ctx.touch(row)
    return ctx.done(_("The invitation holds no more."))


@command("member_save", {"member": ident, "version": VERSION, "role": ROLE, "person": optional(ident)}, roles=OWNERS)
def member_save(ctx: Context, data: dict[str, Any]) -> Answer:
    """The role of a login, and the person on the plan it stands for."""
    member = _member(ctx, data["member"])
    if member.role == OWNER and data["role"] != OWNER:
        _another_owner(ctx, member)
    person = ctx.find(Person, data["person"], name="person") if data["person"] else None
    ctx.edit(member, data["version"], {"role": data["role"], "person": person})
    return ctx.done(_("Saved."))


@command("member_leave", {"member": optional(ident)})
def member_leave(ctx: Context, data: dict[str, Any]) -> Answer:
    """A login leaves the studio: oneself, or by an owner anybody. The last owner stays."""
    member = _member(ctx, data["member"]) if data["member"] else ctx.member
    if member.pk != ctx.member.pk and ctx.member.role != OWNER:
        raise Refused(_("Only an owner can do this for somebody else."), status=403)
    if member.role == OWNER:
        _another_owner(ctx, member)
    member.left_at = ctx.now
    ctx.touch(member)
    return ctx.done(_("%(name)s has left the studio.") % {"name": member.user.get_username()})


def _member(ctx: Context, public_id: str) -> Member:
    member = ctx.find(Member, public_id, name="member")
    if member.left_at is not None:
        raise Refused(_("This login has left already."), status=NOT_FOUND)
    return member


def _another_owner(ctx: Context, member: Member) -> None:
    others = Member.objects.filter(studio=ctx.studio, role=OWNER, left_at=None).exclude(pk=member.pk)
    if not others.exists():
        raise Refused(_("The studio needs an owner. Make somebody else one first."))


def open_invitation(token: str, now: dt.datetime) -> Invitation | None:
    """The invitation of that token, if it still holds."""
    found = Invitation.objects.filter(token_hash=hashed(token), accepted_at=None, withdrawn_at=None)
    return found.filter(expires_at__gt=now).select_related("studio", "person").first()


@transaction.atomic
def accept_invitation(*, token: str, user: User, now: dt.datetime) -> Studio | None:
    """Join the studio that the token invites to; None if it holds no more. A login that left may come back."""
    row = open_invitation(token, now)
    if row is None or not Invitation.objects.filter(pk=row.pk, accepted_at=None).update(accepted_at=now):
        return None
    member, made = Member.objects.get_or_create(
        studio=row.studio, user=user, defaults={"role": row.role, "person": row.person}
    )
    if not made and member.left_at is not None:
        member.left_at, member.role, member.person = None, row.role, row.person
        member.version += 1
        member.save()
    return row.studio
