"""Says that the server answers and reaches its database; nothing else, since everybody may ask."""

from __future__ import annotations

from django.db import DatabaseError, connection
from django.http import HttpRequest, HttpResponse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe


@require_safe
@never_cache
def health(request: HttpRequest) -> HttpResponse:
    """200 “ok”, or 503 when the database does not answer."""
    try:
        with connection.cursor() as cursor:
            cursor.execute("SELECT 1")
    except DatabaseError:
        return HttpResponse("database does not answer\n", status=503, content_type="text/plain")
    return HttpResponse("ok\n", content_type="text/plain")
