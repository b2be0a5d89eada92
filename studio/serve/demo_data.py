"""The demo studio in a data folder: loaded once, its login, its age, and how it is set aside."""

from __future__ import annotations

import secrets
from collections.abc import Callable
from datetime import datetime, timedelta
from pathlib import Path

from django.conf import settings
from django.contrib.auth.hashers import check_password
from django.db import DatabaseError, connection

from studio import backups, datafolder
from studio.bootstrap.errors import StartError
from studio.models import Member, Studio

LOADING = "demo-loading"  # there only while the demo is being loaded
LOGIN = "demo-login.txt"
OLD = timedelta(days=7)
WORDS = (  # noqa: SIM905
    "ball bat biscuit board bowl clay cone cup damp dry fettle foot frame glaze handle hump jigger jolley kiln lid "
    "mould mug plaster plate press profile prop rim saucer shelf slip spare sponge stop tool turn ware wheel"
).split()


def ensure(now: datetime, say: Callable[[str], object]) -> None:
    """Load the demo studio into a folder without a studio, with its dates around today."""
    if Studio.objects.exists():
        return
    from studio.demo import load_demo, plan_demo
    from studio.serve.first_user import computer_zone

    say("Loading the demo studio and planning its week; this takes a little while, once.")
    marker = settings.DATA / LOADING
    marker.touch()
    studio = load_demo(now=now, time_zone=computer_zone())
    try:
        plan_demo(studio, now)
    except ValueError as error:
        # The pages work without a plan and say how to ask for one.
        say(f"The demo's week could not be planned ({error}).")
    password = "-".join(secrets.choice(WORDS) for _ in range(5))  # 26 bits: enough behind the limit on tries
    owner = _owner()
    if owner is None:
        raise StartError("The demo studio was loaded without an owner, so nobody could log in.")
    owner.user.set_password(password)
    owner.user.save(update_fields=["password"])
    path = settings.DATA / LOGIN
    path.unlink(missing_ok=True)
    datafolder.write_private(path, password)
    marker.unlink()


def login() -> tuple[str, str] | None:
    """Name and password of the demo's owner, while that password still is the one that was made for this folder."""
    owner = _owner()
    try:
        password = (settings.DATA / LOGIN).read_text("utf-8").strip()
    except OSError:
        return None
    if owner is None or not check_password(password, owner.user.password):
        return None
    return owner.user.get_username(), password


def age_note(now: datetime) -> str:
    """A sentence that offers a fresh demo when this one's dates lie behind; else empty."""
    studio = Studio.objects.filter(is_demo=True).order_by("pk").first()
    if studio is None or now - studio.created_at < OLD:
        return ""
    days = (now - studio.created_at).days
    return f"This demo was loaded {days} days ago, so its week lies behind. For a new one start it with --fresh."


def broke_off() -> bool:
    """True when loading the demo was interrupted, so that what is there is not whole.

    A studio of somebody's own that was put there since (by a restore) is whole, whatever was interrupted before.
    """
    marker = settings.DATA / LOADING
    if not marker.exists():
        return False
    if _holds_own_studio():
        marker.unlink()
        return False
    return True


def set_aside(say: Callable[[str], object]) -> None:
    """Move the demo's database into the backups. Refuses a folder that holds a studio of somebody's own."""
    if connection.vendor != "sqlite":
        raise StartError("--fresh works with the database in the data folder only, not with DATABASE_URL.")
    database = Path(settings.DATABASES["default"]["NAME"])
    if not database.exists():
        return
    if _holds_own_studio():
        raise StartError(
            "This data folder holds a studio that is not the demo, and --fresh would put it aside. "
            "Use another folder for the demo: --data ~/pottery-demo"
        )
    connection.close()
    kept = backups.set_aside(database, "old-demo")
    (settings.DATA / LOADING).unlink(missing_ok=True)
    say(f"The demo as it was is kept in {kept}")


def _holds_own_studio() -> bool:
    try:
        # A first start that was interrupted may have left a file without tables.
        tables = connection.introspection.table_names()
        return Studio._meta.db_table in tables and Studio.objects.filter(is_demo=False).exists()
    except DatabaseError as error:
        raise StartError(f"The database cannot be read ({error}), so it is left as it is.") from error


def _owner() -> Member | None:
    owners = Member.objects.filter(studio__is_demo=True, role=Member.Role.OWNER, left_at=None)
    return owners.select_related("user").order_by("pk").first()
