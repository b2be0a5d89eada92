"""Guessing passwords is slow, and a person who mistyped is told how long to wait."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from django.contrib.auth import authenticate
from django.contrib.auth.models import User
from django.test import Client, RequestFactory, override_settings

from studio.models import LoginAttempt
from studio.security import throttle
from studio.views import login

pytestmark = pytest.mark.django_db
NOON = datetime(2026, 3, 2, 12, 0, tzinfo=UTC)


def minutes(count: float) -> timedelta:
    return timedelta(minutes=count)


def test_the_tries_of_one_account_are_counted_over_all_addresses() -> None:
    for number in range(throttle.PER_ACCOUNT):
        assert throttle.take_turn("ann", f"10.0.0.{number}", NOON + minutes(number / 10)) is None
    # The first try was at noon, so it leaves the window at 12:15; asked at 12:05, that is 10 minutes.
    assert throttle.take_turn("ann", "10.0.1.1", NOON + minutes(5)) == minutes(10)
    assert throttle.take_turn("ANN", "10.0.1.1", NOON + minutes(5)) == minutes(10)
    assert throttle.take_turn("bob", "10.0.1.1", NOON + minutes(5)) is None


def test_a_refused_try_is_not_counted_so_waiting_always_helps() -> None:
    for _ in range(throttle.PER_ACCOUNT):
        throttle.take_turn("ann", "10.0.0.1", NOON)
    for _ in range(5):
        assert throttle.take_turn("ann", "10.0.0.1", NOON + minutes(14)) == minutes(1)
    assert throttle.take_turn("ann", "10.0.0.1", NOON + throttle.WINDOW) is None


def test_one_address_cannot_try_many_accounts() -> None:
    for number in range(throttle.PER_ADDRESS):
        assert throttle.take_turn(f"person {number}", "10.0.0.1", NOON) is None
    assert throttle.take_turn("one more", "10.0.0.1", NOON) == throttle.WINDOW
    assert throttle.take_turn("one more", "10.0.0.2", NOON) is None


def test_a_household_of_ipv6_addresses_counts_as_one() -> None:
    for number in range(throttle.PER_ADDRESS):
        throttle.take_turn(f"person {number}", f"2001:db8:0:1::{number + 1:x}", NOON)
    assert throttle.take_turn("one more", "2001:db8:0:1::ffff", NOON) is not None
    assert throttle.take_turn("one more", "2001:db8:0:2::1", NOON) is None


def test_a_right_password_clears_the_account_but_not_the_address() -> None:
    for _ in range(throttle.PER_ACCOUNT):
        throttle.take_turn("ann", "10.0.0.1", NOON)
    throttle.forget("Ann")
    assert throttle.take_turn("ann", "10.0.0.1", NOON) is None
    assert LoginAttempt.objects.count() == throttle.PER_ACCOUNT + 2


def test_old_tries_and_personal_data_are_not_kept() -> None:
    throttle.take_turn("ann", "10.0.0.1", NOON)
    throttle.take_turn("bob", "10.0.0.2", NOON + minutes(16))
    assert LoginAttempt.objects.count() == 2
    assert not LoginAttempt.objects.filter(key__contains="bob").exists()


def test_the_page_refuses_before_any_password_is_hashed(client: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    User.objects.create_user("ann", password="clay and water")
    looked_at = []

    def counted(*args: object, **kwargs: object) -> object:
        looked_at.append(1)
        return authenticate(*args, **kwargs)

    monkeypatch.setattr("django.contrib.auth.forms.authenticate", counted)
    form = {"username": "ann", "password": "wrong"}
    answers = [client.post("/login/", form) for _ in range(throttle.PER_ACCOUNT + 2)]
    assert [answer.status_code for answer in answers] == [400] * throttle.PER_ACCOUNT + [429] * 2
    assert "Too many tries. Wait 15 minutes, then try again." in answers[-1].content.decode()
    assert len(looked_at) == throttle.PER_ACCOUNT
    right = client.post("/login/", {"username": "ann", "password": "clay and water"})
    assert right.status_code == 429


def test_an_endless_password_is_refused_unread(client: Client) -> None:
    answer = client.post("/login/", {"username": "ann", "password": "x" * (login.LONGEST_PASSWORD + 1)})
    assert answer.status_code == 400
    assert LoginAttempt.objects.count() == 0


@pytest.mark.parametrize(
    ("behind_proxy", "forwarded", "address"),
    [
        (False, "203.0.113.9", "127.0.0.1"),  # anybody may write the header, so without a proxy it means nothing
        (True, "198.51.100.7, 203.0.113.9", "203.0.113.9"),  # the last one is the proxy's own word
        (True, "", "127.0.0.1"),
    ],
)
def test_the_address_is_the_one_that_can_be_believed(behind_proxy: bool, forwarded: str, address: str) -> None:
    request = RequestFactory().get("/", headers={"X-Forwarded-For": forwarded})
    with override_settings(BEHIND_PROXY=behind_proxy):
        assert throttle.address_of(request) == address
