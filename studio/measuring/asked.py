"""From “When could it be ready?” to the first day on the page and to the last word, with a worker beside it."""

from __future__ import annotations

import time
from collections.abc import Iterator
from itertools import count

from django.contrib.auth.models import User

from studio.bootstrap.errors import StartError
from studio.measuring.crack import LIMIT_S, LOOK_S, worker_beside
from studio.measuring.pages import visitor
from studio.measuring.units import UnitCost
from studio.models import Form, Glaze, Studio

PIECES = 24


def asked_costs(studio: Studio, user: User) -> Iterator[UnitCost]:
    """Ask for bowls and look at the page as it does itself, once a second. Raises StartError if no day comes."""
    client, what = visitor(user), f"“When could it be ready?” of {PIECES} bowls to"
    form = Form.objects.filter(studio=studio, name__startswith="Bowl").earliest("pk")
    glaze = Glaze.objects.filter(studio=studio).earliest("pk")
    sent = {"id": "measured-when", "kind": "when_ask", "form": form.public_id, "glaze": glaze.public_id, "qty": PIECES}
    first = None
    with worker_beside():
        begun = time.monotonic()
        answer = client.post(f"/s/{studio.public_id}/do/", sent)
        for look in count(1):
            time.sleep(max(0.0, begun + look * LOOK_S - time.monotonic()))
            page = client.get(answer.headers["Location"], HTTP_HX_REQUEST="true", HTTP_ACCEPT_ENCODING="identity")
            text = page.content.decode()
            if first is None and "asked-day" in text:
                first = time.monotonic() - begun
                yield UnitCost(f"{what} the first day on the page", 1000 * first)
            if "hx-trigger" not in text:
                break
            if look * LOOK_S > LIMIT_S:
                raise StartError("No last word on a day came within a minute.")
        if first is None:
            raise StartError("No day was told.")
        yield UnitCost(f"{what} the last word on it", 1000 * (time.monotonic() - begun))
