"""A new login that comes in by an invitation: both are made together, or neither."""

from __future__ import annotations

import datetime as dt

from django.contrib.auth.models import User
from django.db import transaction

from studio.models import Studio
from studio.services.commands_members import accept_invitation


class NoInvitation(Exception):
    """The invitation holds no more."""


def join_as_new(*, token: str, user_name: str, password: str, now: dt.datetime) -> tuple[User, Studio]:
    """Make a login of that name and password, both looked at before, and let it join the studio of the token.

    :raises NoInvitation: it holds no more; no login is made then.
    """
    user = User(username=user_name)
    user.set_password(password)
    with transaction.atomic():
        user.save()
        studio = accept_invitation(token=token, user=user, now=now)
        if studio is None:
            raise NoInvitation
    return user, studio
