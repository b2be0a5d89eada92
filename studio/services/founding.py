"""A new studio and its first owner, made from the command line of the machine that serves it."""

from __future__ import annotations

from zoneinfo import ZoneInfo

from django.contrib.auth.models import User
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.db import transaction

from studio.models import Member, Studio


@transaction.atomic
def found_studio(*, name: str, time_zone: str, user_name: str, password: str) -> Studio:
    """Create the studio with one login as its owner. Raises ValidationError with sentences when something is amiss."""
    try:
        ZoneInfo(time_zone)
    except (ValueError, KeyError, OSError) as error:
        raise ValidationError(f"“{time_zone}” is no time zone; an example: Europe/London.") from error
    owner = User(username=user_name)
    validate_password(password, owner)
    owner.set_password(password)
    owner.full_clean()
    owner.save()
    return open_studio(name=name, time_zone=time_zone, owner=owner)


@transaction.atomic
def open_studio(*, name: str, time_zone: str, owner: User, is_demo: bool = False) -> Studio:
    """A studio of that login. Raises ValidationError when the name cannot be."""
    studio = Studio(name=name, time_zone=time_zone, is_demo=is_demo)
    studio.full_clean()
    studio.save()
    Member.objects.create(studio=studio, user=owner, role=Member.Role.OWNER)
    return studio


def login_without_password(*, name: str) -> User:
    """A login of that name, or the next that is free, that nobody can use until it is given a password."""
    taken = set(User.objects.filter(username__startswith=name).values_list("username", flat=True))
    free = next(n for n in (name, *(f"{name}{i}" for i in range(2, len(taken) + 3))) if n not in taken)
    user = User(username=free)
    user.set_unusable_password()
    user.save()
    return user
