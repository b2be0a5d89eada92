"""What every request passes: login, headers, and words instead of bare error codes."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.contrib.auth.middleware import LoginRequiredMiddleware
from django.contrib.auth.views import redirect_to_login
from django.http import HttpRequest, HttpResponse, HttpResponseBase, JsonResponse
from django.shortcuts import resolve_url
from django.urls import reverse
from django.utils.translation import gettext as _
from django_htmx.http import HttpResponseClientRedirect

from studio.security.public import PUBLIC_VIEWS
from studio.views import errors

Answer = Callable[[HttpRequest], HttpResponseBase]
NO_POWERS = "camera=(), geolocation=(), microphone=(), payment=(), usb=()"


class LoginRequired(LoginRequiredMiddleware):
    """Every view needs a login unless its name is in PUBLIC_VIEWS; marks on the view itself change nothing."""

    def process_view(
        self, request: HttpRequest, view_func: Callable[..., Any], view_args: Any, view_kwargs: Any
    ) -> HttpResponseBase | None:
        """Return None to let the request through, else the answer that sends the person to the login page."""
        match = request.resolver_match
        if request.user.is_authenticated or (match is not None and match.view_name in PUBLIC_VIEWS):
            return None
        return ask_to_log_in(request)


def ask_to_log_in(request: HttpRequest) -> HttpResponse:
    """A redirect for a page, a whole-page move for a fragment, a 401 for a script that would follow blindly."""
    if wants_json(request):
        return JsonResponse({"error": "login", "message": _("Please log in again.")}, status=401)
    if request.headers.get("HX-Request"):
        return HttpResponseClientRedirect(reverse("login"))
    # After a login only a page can be shown again, not a form that was posted.
    back = request.get_full_path() if request.method in ("GET", "HEAD") else resolve_url("home")
    return redirect_to_login(back, reverse("login"))


def wants_json(request: HttpRequest) -> bool:
    """True when the caller is a script that asked for JSON first."""
    return request.headers.get("Accept", "").startswith("application/json")


class Headers:
    """Headers that the framework has no setting for; pages of a person are never kept by a shared cache."""

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        response = self.get_response(request)
        response.headers.setdefault("Permissions-Policy", NO_POWERS)
        response.headers.setdefault("Cross-Origin-Resource-Policy", "same-origin")
        response.headers.setdefault("Cache-Control", "private, no-cache")
        return response


class PlainErrors:
    """Give an empty 405 answer a page that says what happened."""

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        response = self.get_response(request)
        if response.status_code == 405 and not getattr(response, "content", b"kept"):
            page = errors.wrong_method(request)
            page.headers["Allow"] = response.headers.get("Allow", "")
            return page
        return response
