"""The way into a studio's pages: who may enter, in whose time zone, and by which methods."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Any
from zoneinfo import ZoneInfo

from django.contrib.auth.views import redirect_to_login
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseNotAllowed
from django.utils import timezone

from studio import units
from studio.models import Member
from studio.offline import KEPT_VIEWS, PERSON_HEADER, person_key

View = Callable[..., HttpResponse]


def is_owner(request: HttpRequest) -> bool:
    """Whether an owner of the studio asks, on a page made by :func:`studio_page`."""
    return bool(request.member.role == Member.Role.OWNER)  # type: ignore[attr-defined]


def studio_page(view: View | None = None, *, methods: tuple[str, ...] = ("GET", "HEAD")) -> Any:
    """Decorate a page of one studio: the view gets the :class:`Studio` in place of its public id.

    Without a login the visitor is sent to log in; a studio of other people (or none at all) answers 404, a
    method outside ``methods`` 405. ``request.studio`` and ``request.member`` are set, and the studio's time
    zone and its units hold while the view runs. A page that a phone may keep says whose it is.
    """

    def decorate(inner: View) -> View:
        @wraps(inner)
        def page(request: HttpRequest, studio: str, **kwargs: Any) -> HttpResponse:
            if not request.user.is_authenticated:
                return redirect_to_login(request.get_full_path())
            member = membership(request, studio)
            if request.method not in methods:
                return HttpResponseNotAllowed(methods)
            request.member, request.studio = member, member.studio  # type: ignore[attr-defined]
            with timezone.override(ZoneInfo(member.studio.time_zone)), units.override(member.studio.units):
                answer = inner(request, member.studio, **kwargs)
            if request.resolver_match and request.resolver_match.view_name in KEPT_VIEWS:
                answer.headers[PERSON_HEADER] = person_key(request.user)
            return answer

        return page

    return decorate if view is None else decorate(view)


def membership(request: HttpRequest, studio: str) -> Member:
    """The visitor's own membership of the studio with this public id.

    :raises Http404: there is none, whether or not the studio exists.
    """
    mine = list(Member.objects.select_related("studio", "person").filter(user_id=request.user.pk, left_at=None))
    request.has_other_studios = len(mine) > 1  # type: ignore[attr-defined]
    found = next((m for m in mine if m.studio.public_id == studio), None)
    if found is None:
        raise Http404
    return found
