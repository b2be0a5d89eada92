"""What each page costs: the server's time, its queries, and the bytes of a first load."""

from __future__ import annotations

import re
import statistics
import time
from collections.abc import Callable
from dataclasses import dataclass

from django.contrib.auth.models import User
from django.db import connection
from django.http import HttpResponseBase, StreamingHttpResponse
from django.test import Client
from django.test.utils import CaptureQueriesContext

from studio.bootstrap.errors import StartError
from studio.models import Form, Glaze, KilnProgram, Order, PlanLoad, Studio

TIMES = 10
ASSET = re.compile(r'<(?:link|script|img)\b[^>]*?\b(?:href|src)="(/static/[^"]+)"')


@dataclass(frozen=True)
class PageCost:
    """Times in milliseconds over :data:`TIMES` loads, the first of them with cold caches; ``sent`` in bytes."""

    name: str
    median: float
    most: float
    queries: int
    sent: int


def visitor(user: User | None) -> Client:
    """A browser that takes compressed answers, logged in as ``user``."""
    client = Client(SERVER_NAME="localhost", HTTP_ACCEPT_ENCODING="gzip, deflate, br")
    if user is not None:
        client.force_login(user)
    return client


def addresses(studio: Studio) -> list[tuple[str, str]]:
    """The pages by name, each with an address that has something to show."""
    order = Order.objects.filter(studio=studio, closed_at=None).latest("pk")
    form = Form.objects.filter(studio=studio).earliest("pk")
    glaze = Glaze.objects.filter(studio=studio).earliest("pk")
    fired = KilnProgram.objects.filter(studio=studio).select_related("kiln", "program").earliest("pk")
    own = [
        ("Today", ""), ("Today, everyone", "?who=all"), ("Week by person", "week/"),
        ("Week by kind of work", "week/?by=kind"), ("Shopping list", "shopping/"),
        ("Orders", "orders/"), ("An order", f"orders/{order.public_id}/"),
        ("New order", "orders/new/"), ("On the shelf", "shelf/"),
        ("Moulds", "moulds/"), ("Moulds of a form", f"moulds/{form.public_id}/"),
        ("Mix plaster", "moulds/plaster/?way=volume&mould_l=4"), ("Kiln", "kiln/"),
        ("What a firing takes", f"kiln/{fired.kiln.public_id}/fires/{fired.program.public_id}/"), ("New plan", "plan/"),
        ("Something’s wrong", "wrong/"), ("A mould cracked", "wrong/mould/"),
        ("Pots are lost", "wrong/lost/"), ("What happened", "record/"), ("Work without a plan", "unplanned/"),
        ("The studio", "workshop/"), ("First hour", "workshop/first/"), ("People", "workshop/people/"),
        ("Kilns", "workshop/kilns/"), ("Forms", "workshop/forms/"), ("A form", f"workshop/forms/{form.public_id}/"),
        ("A glaze", f"workshop/glazes/{glaze.public_id}/"),
        ("Trial pressings", f"workshop/forms/{form.public_id}/trials/"),
        ("Profile", f"workshop/forms/{form.public_id}/profile/"),
        ("Size and shrinkage", "workshop/size/?size_mm=250"),
        ("What stands there", "workshop/ware/"), ("Members", "workshop/members/"), ("The phone", "workshop/phone/"),
        ("How we reckon", "workshop/reckoning/"),
        ("Faults", "faults/"),
        *(("A firing shelf by shelf", f"kiln/load/{firing}/") for firing in _firings(studio)[:1]),
    ]  # fmt: skip
    return [(name, f"/s/{studio.public_id}/{path}") for name, path in own]


def _firings(studio: Studio) -> list[str]:
    """Firings whose places are kept with the plan in use, the one with the most to draw first."""
    rows = PlanLoad.objects.filter(studio=studio, plan__is_current=True)
    return [row.firing for row in sorted(rows, key=lambda row: -len(str(row.laid)))]


def page_costs(studio: Studio, user: User, say: Callable[[str], object]) -> list[PageCost]:
    """The cost of every page. Raises StartError when one does not work."""
    login = _cost(visitor(None), "Log in", "/login/")
    costs = []
    for name, path in addresses(studio):
        say(name)
        costs.append(_cost(visitor(user), name, path))
    return [login, *costs]


def _cost(client: Client, name: str, path: str) -> PageCost:
    times, html, sent, queries = [], "", 0, 0
    for _i in range(TIMES):
        with CaptureQueriesContext(connection) as captured:
            begun = time.perf_counter()
            answer = client.get(path)
            times.append((time.perf_counter() - begun) * 1000)
        if answer.status_code != 200:
            raise StartError(f"{path} answered {answer.status_code}.")
        queries, sent = len(captured), size(answer)
    html = visitor_text(client, path)
    sent += sum(size(client.get(asset)) for asset in sorted(set(ASSET.findall(html))))
    return PageCost(name, statistics.median(times), max(times), queries, sent)


def visitor_text(client: Client, path: str) -> str:
    """A page's HTML, not compressed."""
    return client.get(path, HTTP_ACCEPT_ENCODING="identity").content.decode()


def size(answer: HttpResponseBase) -> int:
    """Bytes of an answer as sent: its body, compressed as it is, and its headers."""
    body = b"".join(answer) if isinstance(answer, StreamingHttpResponse) else bytes(getattr(answer, "content", b""))
    return len(body) + sum(len(f"{name}: {value}\r\n") for name, value in answer.items()) + len(answer.cookies.output())
