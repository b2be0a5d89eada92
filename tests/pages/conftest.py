"""What the tests of the pages share: a small studio, its owner at a browser, and a clock that stands still."""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client
from django.utils import timezone

from studio.queries.plans import Live
from tests.pages.reading import Page
from tests.pages.visitor import Visitor
from tests.services.shop import Shop


class Browser:
    """The owner's browser without JavaScript. ``last`` is the page that is open."""

    def __init__(self, shop: Shop, user: Any = None) -> None:
        self.shop, self.client = shop, Client()
        self.client.force_login(user or shop.owner)
        self.last, self.path = Page(""), ""

    def open(self, page: str = "", **headers: str) -> Page:
        """Open a page of the studio; it has to work."""
        path = page if page.startswith("/") else f"/s/{self.shop.studio.public_id}/{page}"
        self.path = path.split("?")[0]
        answer = self.client.get(path, headers=headers or None)
        assert answer.status_code == 200, (path, answer.status_code)
        self.last = Page(answer.content.decode())
        return self.last

    def press(self, label: str, nth: int = 0, **changes: Any) -> Page:
        """Press a button of the open page and go where it leads."""
        form, button = self.last.press(label, nth)
        answer = self.client.post(form.action, form.payload(button, **changes))
        assert answer.status_code == 302, (form.action, answer.status_code)
        return self.open(answer.headers["Location"])

    def follow(self, label: str) -> Page:
        """Follow the first link whose words contain ``label``."""
        href = next(href for text, href in self.last.links.items() if label in text)
        return self.open(self.path + href if href.startswith("?") else href)


@pytest.fixture
def shop(db: None, monkeypatch: pytest.MonkeyPatch) -> Shop:
    """A studio with one form, its moulds, a machine and a kiln; every clock shows its ``now``."""
    shop = Shop()
    monkeypatch.setattr(timezone, "now", lambda: shop.now)
    return shop.furnish()


@pytest.fixture
def browser(shop: Shop) -> Browser:
    return Browser(shop)


@pytest.fixture
def visitor(shop: Shop) -> Visitor:
    """The owner, filling in forms by the kind of command that they send."""
    return Visitor(shop)


@pytest.fixture
def empty(db: None, monkeypatch: pytest.MonkeyPatch) -> Shop:
    """A studio that has nothing yet; every clock shows its ``now``."""
    shop = Shop()
    monkeypatch.setattr(timezone, "now", lambda: shop.now)
    return shop


@pytest.fixture
def live(shop: Shop) -> Live:
    """An order of ten bowls and the plan to make them in eight moulds."""
    shop.ids["line"] = shop.order(qty=10)
    return shop.plan()


def first(live: Live, kind: str) -> Any:
    """The first task of a kind in the plan."""
    return min((t for t in live.plan.tasks if t.kind == kind), key=lambda t: t.start)


def batch_of(live: Live, task: Any) -> Any:
    """The batch that a task serves."""
    return next(b for b in live.plan.batches if task.id in (b.press, b.release, *b.steps))
