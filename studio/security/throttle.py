"""Tries to log in are counted before any password is hashed, per account and per address."""

from __future__ import annotations

import ipaddress
import math
from datetime import datetime, timedelta

from django.conf import settings
from django.http import HttpRequest
from django.utils.crypto import salted_hmac

from studio.models import LoginAttempt

WINDOW = timedelta(minutes=15)
PER_ACCOUNT = 10
PER_ADDRESS = 40  # a whole studio shares one address behind its router


def take_turn(account: str, address: str, now: datetime) -> timedelta | None:
    """Count one try; None lets it through, else the time to wait.

    The try is written before the password is looked at, so that many at once cannot all pass on the same count.
    A refused try is not counted: waiting always helps.
    """
    limits = ((_key("account", account.casefold()), PER_ACCOUNT), (_key("address", _network(address)), PER_ADDRESS))
    LoginAttempt.objects.filter(at__lte=now - WINDOW).delete()
    # Committed before counting, so no transaction around both: two tries at once see each other, and both may wait.
    mine = LoginAttempt.objects.bulk_create([LoginAttempt(key=key, at=now) for key, _limit in limits])
    waits = [wait for key, limit in limits if (wait := _wait(key, limit, now))]
    if not waits:
        return None
    LoginAttempt.objects.filter(pk__in=[row.pk for row in mine]).delete()
    return max(waits)


def forget(account: str) -> None:
    """A right password clears the account's count; the address keeps its own, or guessing would buy new tries."""
    LoginAttempt.objects.filter(key=_key("account", account.casefold())).delete()


def minutes(wait: timedelta) -> int:
    """Whole minutes to tell a person, never too few."""
    return max(1, math.ceil(wait.total_seconds() / 60))


def address_of(request: HttpRequest) -> str:
    """The caller's address; behind the one trusted proxy the last address that it added."""
    if settings.BEHIND_PROXY:
        forwarded = request.headers.get("X-Forwarded-For", "").split(",")[-1].strip()
        if forwarded:
            return forwarded
    return str(request.META.get("REMOTE_ADDR", ""))


def _wait(key: str, limit: int, now: datetime) -> timedelta | None:
    times = list(LoginAttempt.objects.filter(key=key).order_by("-at").values_list("at", flat=True)[: limit + 1])
    if len(times) <= limit:
        return None
    # Room for one more comes when the oldest of the last `limit` earlier tries leaves the window.
    return max(times[limit] + WINDOW - now, timedelta(seconds=1))


def _key(scope: str, value: str) -> str:
    return salted_hmac(f"studio.throttle.{scope}", value, algorithm="sha256").hexdigest()


def _network(address: str) -> str:
    # One household has a whole /64 of IPv6 addresses, so they count as one.
    try:
        parsed = ipaddress.ip_address(address)
    except ValueError:
        return address[:64]
    if parsed.version == 6 and parsed.ipv4_mapped is None:
        return str(ipaddress.ip_network(f"{parsed}/64", strict=False).network_address)
    return str(parsed)
