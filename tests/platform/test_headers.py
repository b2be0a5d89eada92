"""What every answer carries, and what an error looks like."""

from __future__ import annotations

import pytest
from django.contrib.auth.models import User
from django.http import HttpRequest, HttpResponse
from django.test import Client, RequestFactory, override_settings
from django.urls import include, path

from tests.platform.addresses import Address, all_addresses

pytestmark = pytest.mark.django_db

POLICY = {
    "default-src 'none'",
    "script-src 'self'",
    "style-src 'self'",
    "img-src 'self' data:",
    "connect-src 'self'",
    "manifest-src 'self'",
    "worker-src 'self'",
    "font-src 'self'",
    "form-action 'self'",
    "frame-ancestors 'none'",
    "base-uri 'none'",
    "object-src 'none'",
}


def broken(request: HttpRequest) -> HttpResponse:
    """A view with a fault in it."""
    raise RuntimeError("ann@example.org typed this")


handler400 = "studio.views.errors.bad_request"
handler403 = "studio.views.errors.forbidden"
handler404 = "studio.views.errors.not_found"
handler500 = "studio.views.errors.server_error"
urlpatterns = [path("broken/", broken, name="broken"), path("", include("studio.urls"))]


@pytest.fixture
def ann() -> User:
    return User.objects.create_user("ann", password="clay and water")


def assert_guarded(answer: HttpResponse) -> None:
    assert set(answer.headers["Content-Security-Policy"].split("; ")) == POLICY
    assert answer.headers["X-Content-Type-Options"] == "nosniff"
    assert answer.headers["X-Frame-Options"] == "DENY"
    assert answer.headers["Referrer-Policy"] == "same-origin"
    assert answer.headers["Cross-Origin-Opener-Policy"] == "same-origin"
    assert "camera=()" in answer.headers["Permissions-Policy"]
    assert "no-cache" in answer.headers["Cache-Control"]


@pytest.mark.parametrize("address", all_addresses(), ids=lambda address: address.path)
def test_every_answer_to_a_person_without_a_studio_is_guarded(client: Client, ann: User, address: Address) -> None:
    client.force_login(ann)
    assert_guarded(client.get(address.path))


@pytest.mark.parametrize("where", ["/no-such-page/", "/login/", "/health/", "/s/abcdefghjkmn/"])
def test_every_answer_to_a_stranger_is_guarded(client: Client, where: str) -> None:
    assert_guarded(client.get(where))


@override_settings(ROOT_URLCONF=__name__)
def test_a_fault_of_ours_shows_words_and_no_traceback(ann: User, capsys: pytest.CaptureFixture[str]) -> None:
    client = Client(raise_request_exception=False)
    client.force_login(ann)
    answer = client.get("/broken/")
    assert answer.status_code == 500
    assert_guarded(answer)
    text = answer.content.decode()
    assert "It is a fault of the tool, not yours" in text
    assert "RuntimeError" not in text and "ann@example.org" not in text


def test_a_wrong_host_is_told_to_use_the_printed_address(client: Client) -> None:
    answer = client.get("/login/", headers={"Host": "elsewhere.example"})
    assert answer.status_code == 400
    assert "the address that was printed" in answer.content.decode()


def test_a_form_without_its_token_changes_nothing_and_says_so(ann: User) -> None:
    client = Client(enforce_csrf_checks=True)
    answer = client.post("/login/", {"username": "ann", "password": "clay and water"})
    assert answer.status_code == 403
    assert "This page was open for too long" in answer.content.decode()
    assert_guarded(answer)


def test_a_script_gets_an_error_as_data(client: Client, ann: User) -> None:
    client.force_login(ann)
    answer = client.get("/no-such-page/", headers={"Accept": "application/json"})
    assert (answer.status_code, answer.json()["error"]) == (404, "404")


def test_the_words_stay_when_even_the_template_is_broken(monkeypatch: pytest.MonkeyPatch) -> None:
    from studio.views import errors

    def broken_render(*args: object, **kwargs: object) -> HttpResponse:
        raise ValueError("Missing staticfiles manifest entry")

    monkeypatch.setattr(errors, "render", broken_render)
    answer = errors.server_error(RequestFactory().get("/"))
    assert answer.status_code == 500
    assert "Something went wrong here" in answer.content.decode()


def test_health_says_only_that_it_answers(client: Client) -> None:
    answer = client.get("/health/")
    assert (answer.status_code, answer.content) == (200, b"ok\n")
    assert client.post("/health/").status_code == 405
