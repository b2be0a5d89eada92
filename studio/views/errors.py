"""The pages for what went wrong, in plain words."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render
from django.utils.translation import gettext as _

BARE = "<!doctype html><html lang=en><meta charset=utf-8><title>{title}</title><h1>{title}</h1><p>{text}</p>"


def bad_request(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    """400, which is nearly always an address this machine does not answer to."""
    return _page(
        request,
        400,
        _("This request was not understood"),
        _("Open the tool by the address that was printed when it was started, and try again."),
    )


def forbidden(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    """403."""
    return _page(request, 403, _("This is not open to you"), _("Ask the owner of the studio to do it."))


def not_found(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    """404, also for what belongs to another studio."""
    return _page(
        request, 404, _("There is nothing here"), _("The address may be old or mistyped. Start again from Today.")
    )


def wrong_method(request: HttpRequest) -> HttpResponse:
    """405: a link was opened that only a button may send, or the other way round."""
    return _page(
        request, 405, _("This works only from its button"), _("Go back to the page with the button and use it there.")
    )


def server_error(request: HttpRequest) -> HttpResponse:
    """500: our mistake, said so, with the record safe."""
    return _page(
        request,
        500,
        _("Something went wrong here"),
        _("It is a fault of the tool, not yours. What was recorded before is safe. Go back and try once more."),
    )


def csrf_failure(request: HttpRequest, reason: str = "") -> HttpResponse:
    """403 for a form whose token is old; nothing was changed."""
    return _page(
        request,
        403,
        _("This page was open for too long"),
        _("Nothing was changed. Go back, load the page again and send it once more. Cookies must be allowed."),
        code="csrf",
    )


def _page(request: HttpRequest, status: int, title: str, text: str, code: str = "") -> HttpResponse:
    if request.headers.get("Accept", "").startswith("application/json"):
        return JsonResponse({"error": code or str(status), "message": f"{title}. {text}"}, status=status)
    try:
        return render(request, "studio/error.html", {"title": title, "text": text, "status": status}, status=status)
    except Exception:
        # Whatever broke the page that failed may break this one too (a template, the static files); the words matter.
        return HttpResponse(BARE.format(title=title, text=text), status=status)
