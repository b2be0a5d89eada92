"""A new login that comes in by an invitation: both are made together, or neither."""

from __future__ import annotations

import datetime as dt

from django.contrib.auth.models import User
from django.db import transaction

from studio.models import Studio
from studio.services.commands_members import accept_invitation


class NoInvitation(Exception):
    """The invitation holds no more."""


def join_as_new(*, token: str, user: User, now: dt.datetime) -> Studio:
    """Save ``user`` (its password set) and let it join the studio that the token invites to.

    :raises NoInvitation: it holds no more; no login is made then.
    """
    with transaction.atomic():
        user.save()
        studio = accept_invitation(token=token, user=user, now=now)
        if studio is None:
            raise NoInvitation
    return studio
