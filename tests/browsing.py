"""The browser of the tests: the machine's own Chromium, a phone's screen, and no error goes by unseen."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

import pytest

from studio.measuring.chromium import chromium

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page, Response

PHONE = {"width": 390, "height": 844}


@dataclass
class Watch:
    """What went wrong in a page. A test that means to cause an error says so by `expected`."""

    problems: list[str] = field(default_factory=list)
    expected: list[str] = field(default_factory=list)

    def answer(self, response: Response) -> None:
        """Note an answer that is an error."""
        if response.status >= 400:
            self.problems.append(f"{response.status} {response.request.method} {response.url}")

    def note_line(self, kind: str, text: str) -> None:
        """Note a line of the console that is an error."""
        if kind == "error":
            self.problems.append(f"console: {text}")

    def unexpected(self) -> list[str]:
        """The problems that contain none of the expected words."""
        return [problem for problem in self.problems if not any(word in problem for word in self.expected)]


@pytest.fixture(scope="session")
def chromium_browser() -> Iterator[Browser]:
    """One Chromium for all browser tests of this process; skips where none is installed."""
    path = chromium()
    if path is None:
        pytest.skip("no Chromium found (apt-get install chromium, or STUDIO_CHROMIUM=/path)")
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=path, args=["--no-sandbox", "--disable-dev-shm-usage"])
        yield browser
        browser.close()


@pytest.fixture
def watch() -> Watch:
    """Collects console errors, page errors and error answers of the pages of one test."""
    return Watch()


@pytest.fixture
def new_page(chromium_browser: Browser, live_server: Any, watch: Watch) -> Iterator[Callable[..., Page]]:
    """Open pages of the live server: `new_page(user=…, **context options)`; a phone's screen unless told otherwise.

    After the test any console error, script error or answer of 400 and above fails it, unless `watch.expected`
    names it.
    """
    contexts = []

    def open_page(user: Any = None, **options: Any) -> Page:
        settings = {"base_url": live_server.url, "viewport": PHONE, "has_touch": True, "locale": "en-GB", **options}
        context = chromium_browser.new_context(**settings)
        contexts.append(context)
        context.set_default_timeout(10_000)
        if user is not None:
            context.add_cookies([_session_cookie(user, live_server.url)])
        page = context.new_page()
        page.on("response", watch.answer)
        page.on("pageerror", lambda error: watch.problems.append(f"script: {error}"))
        page.on("console", lambda line: watch.note_line(line.type, line.text))
        return page

    yield open_page
    for context in contexts:
        context.close()
    assert watch.unexpected() == []


@pytest.fixture
def page(new_page: Callable[..., Page]) -> Page:
    """A page that is not logged in."""
    return new_page()


def _session_cookie(user: Any, url: str) -> dict[str, str]:
    from django.conf import settings
    from django.test import Client

    client = Client()
    client.force_login(user)
    name = settings.SESSION_COOKIE_NAME
    return {"name": name, "value": client.cookies[name].value, "url": url}
