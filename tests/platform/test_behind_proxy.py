"""The tool behind a proxy that speaks HTTPS, as the README says to set it up, asked as that proxy would ask it."""

from __future__ import annotations

import http.client
import re
import urllib.parse
from pathlib import Path

import pytest

from studio.serve.welcome import public_address
from tests.platform.test_demo import EMPTY, PASSWORD, Running

pytestmark = pytest.mark.one_lane
HOST = "pots.example"
BEHIND = {"STUDIO_HTTPS": "1", "STUDIO_BEHIND_PROXY": "1", "STUDIO_HOSTS": HOST}
FORWARDED = {"Host": HOST, "X-Forwarded-Proto": "https", "X-Forwarded-For": "203.0.113.9"}


@pytest.fixture
def port() -> int:
    import socket

    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


class Answered:
    """One answer of the server: its status, its headers and its text."""

    def __init__(self, port: int, method: str, path: str, body: str = "", **headers: str) -> None:
        connection = http.client.HTTPConnection("127.0.0.1", port, timeout=10)
        connection.request(method, path, body or None, {**FORWARDED, **headers})
        answer = connection.getresponse()
        self.status, self.headers, self.text = answer.status, answer.headers, answer.read().decode()
        connection.close()

    @property
    def cookies(self) -> list[str]:
        return self.headers.get_all("Set-Cookie") or []


def log_in(port: int, origin: str) -> Answered:
    form = Answered(port, "GET", "/login/")
    token = re.search(r'name="csrfmiddlewaretoken" value="(\w+)"', form.text)
    assert token is not None
    entries = {"csrfmiddlewaretoken": token[1], "username": "ann", "password": PASSWORD}
    cookie = form.cookies[0].split(";")[0].strip()
    kind = "application/x-www-form-urlencoded"
    headers = {"Cookie": cookie, "Origin": origin, "Content-Type": kind}
    return Answered(port, "POST", "/login/", urllib.parse.urlencode(entries), **headers)


def test_a_login_through_the_proxy_and_none_from_elsewhere(tmp_path: Path, port: int) -> None:
    line = ("demo", "--data", str(tmp_path / "data"), "--host", "127.0.0.1", "--port", str(port), *EMPTY)
    with Running(*line, STUDIO_PASSWORD=PASSWORD, **BEHIND) as demo:
        demo.wait_until_said("Stop it with Ctrl-C")
        assert f"Through the proxy in front:  https://{HOST}/" in demo.said
        assert "http://" not in demo.said
        done = log_in(port, f"https://{HOST}")
        assert done.status == 302
        session = next(c for c in done.cookies if "studio_session" in c)
        assert {"Secure", "HttpOnly"} <= {part.strip() for part in session.split(";")}
        # A page elsewhere cannot send the form: its origin is another one (Fetch standard, the Origin header).
        assert log_in(port, "https://elsewhere.example").status == 403
        assert Answered(port, "GET", "/login/", Host="elsewhere.example").status == 400
        assert "Traceback" not in demo.said and "elsewhere" not in demo.said


@pytest.mark.parametrize(
    ("hosts", "https", "expected"),
    [("pots.example,other", True, "https://pots.example/"), ("pots.example", False, None), ("", True, None)],
)
def test_the_address_is_told_where_it_can_be_used(hosts: str, https: bool, expected: str | None) -> None:
    assert public_address(hosts, https=https) == expected
