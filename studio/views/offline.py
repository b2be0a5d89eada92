"""What makes the pages an app on a phone: its manifest, its service worker, the page without a network, who is here."""

from __future__ import annotations

import json

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.middleware.csrf import get_token
from django.shortcuts import render
from django.templatetags.static import static
from django.utils.translation import get_language
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from studio import offline as kept
from studio import words
from studio.models import Studio
from studio.views.door import studio_page
from studio.views.workshop import part

SLIP = "#f5efe6"  # the page's own colour by day; by night each page says its own in its head
SECURE_ANYWAY = ("localhost", "127.0.0.1", "[::1]")


@require_safe
def manifest(request: HttpRequest) -> HttpResponse:
    """The app's name, colours and icons, for the home screen."""
    icons = [
        {"src": static(f"studio/icon-{size}.png"), "sizes": f"{size}x{size}", "type": "image/png", "purpose": "any"}
        for size in (192, 512)
    ] + [
        {"src": static("studio/icon-maskable-512.png"), "sizes": "512x512", "type": "image/png", "purpose": "maskable"},
        {"src": static("studio/icon.svg"), "sizes": "any", "type": "image/svg+xml", "purpose": "any"},
    ]
    said = {
        "id": "/", "start_url": "/", "scope": "/", "display": "standalone", "lang": get_language(),
        "name": words.APP_NAME, "short_name": _("Pots"), "theme_color": SLIP, "background_color": SLIP,
        "description": _("What to do next in the pottery, and what was done."), "icons": icons,
    }  # fmt: skip
    return JsonResponse(said, content_type="application/manifest+json", json_dumps_params={"ensure_ascii": False})


@require_safe
@never_cache
def worker(request: HttpRequest) -> HttpResponse:
    """The service worker, at the root so that it may answer for every page; other bytes with every new version."""
    context = {"build": kept.build(), "shell": json.dumps([*kept.shell(), "/offline/"])}
    return render(request, "studio/sw.js", context, content_type="text/javascript; charset=utf-8")


@require_safe
def offline(request: HttpRequest) -> HttpResponse:
    """The page for an address that was never opened on this phone; it holds nothing of anybody."""
    return render(request, "studio/offline.html")


@require_safe
@never_cache
def here(request: HttpRequest) -> HttpResponse:
    """Who is logged in, and a fresh token for what the phone sends next. JSON alone; 401 without a login."""
    return JsonResponse({"person": kept.person_key(request.user), "token": get_token(request)})


@studio_page
def workshop_phone(request: HttpRequest, studio: Studio) -> HttpResponse:
    """How to put the pages on a phone's home screen, and whether they can be kept there."""
    name = request.get_host().rsplit(":", 1)[0] if not request.get_host().endswith("]") else request.get_host()
    can_keep = request.is_secure() or name in SECURE_ANYWAY
    return part(request, studio, "studio/workshop_phone.html", "", {"can_keep": can_keep})
