"""Somebody at the pages of a studio, without JavaScript: opens pages, sends the forms as they stand there."""

from __future__ import annotations

import html
import re
from html.parser import HTMLParser
from typing import Any

from django.contrib.auth.models import User
from django.test import Client

from tests.services.shop import Shop


class _Forms(HTMLParser):
    """Reads the forms of a page with what stands in their fields."""

    def __init__(self) -> None:
        super().__init__()
        self.forms: list[tuple[str, list[tuple[str, str]]]] = []
        self._select: str | None = None
        self._chosen: str | None = None
        self._first: str | None = None
        self._area: str | None = None

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = {k: v or "" for k, v in attrs}
        if tag == "form":
            self.forms.append((given.get("action", ""), []))
        elif not self.forms:
            return
        elif tag == "input" and given.get("name"):
            if given.get("type") not in ("checkbox", "radio") or "checked" in given:
                box = given.get("type") in ("checkbox", "radio")
                self._put(given["name"], given.get("value", "on" if box else ""))
        elif tag == "select":
            self._select, self._chosen, self._first = given["name"], None, None
        elif tag == "option" and self._select is not None:
            self._first = given["value"] if self._first is None else self._first
            if "selected" in given:
                self._chosen = given["value"]
        elif tag == "textarea":
            self._area = given["name"]
            self._put(self._area, "")

    def handle_data(self, data: str) -> None:
        if self._area is not None:
            self.forms[-1][1][-1] = (self._area, data)

    def handle_endtag(self, tag: str) -> None:
        if tag == "select" and self._select is not None:
            self._put(self._select, self._chosen if self._chosen is not None else self._first or "")
            self._select = None
        elif tag == "textarea":
            self._area = None

    def _put(self, name: str, value: str) -> None:
        self.forms[-1][1].append((name, value))


class Visitor:
    """``user`` logged in at ``shop``; ``page`` is the text of the page looked at last."""

    def __init__(self, shop: Shop, user: User | None = None) -> None:
        self.shop = shop
        self.client = Client()
        self.client.force_login(user or shop.owner)
        self.page = ""
        self.size = 0

    def path(self, page: str) -> str:
        return page if page.startswith("/") else f"/s/{self.shop.studio.public_id}/{page}"

    def open(self, page: str = "", status: int = 200) -> str:
        """Go to a page; its text, without marks of HTML."""
        answer = self.client.get(self.path(page), follow=status == 200)
        assert answer.status_code == status, (page, answer.status_code)
        self.page, self.size = answer.content.decode(), len(answer.content)
        return self.text

    @property
    def text(self) -> str:
        body = re.sub(r"<(svg|head)\b.*?</\1>", " ", self.page, flags=re.S)
        return re.sub(r"\s+", " ", html.unescape(re.sub(r"<[^>]+>", " ", body)))

    def form(self, kind: str, **where: str) -> dict[str, Any]:
        """The fields of the form that sends ``kind``, and in which the fields of ``where`` stand so."""
        reader = _Forms()
        reader.feed(self.page)
        for _action, fields in reader.forms:
            found: dict[str, Any] = {}
            for name, value in fields:
                found.setdefault(name, []).append(value)
            flat = {k: v[0] if len(v) == 1 else v for k, v in found.items()}
            if flat.get("kind") == kind and all(flat.get(k) == v for k, v in where.items()):
                return flat
        raise AssertionError(f"no form for {kind} {where} on the page")

    def send(self, kind: str, where: dict[str, str] | None = None, **entries: Any) -> str:
        """Fill in the form that sends ``kind``, send it, and follow to the page that it leads to."""
        fields = self.form(kind, **(where or {})) | entries
        answer = self.client.post(self.path("do/"), {k: v for k, v in fields.items() if v is not None}, follow=True)
        assert answer.status_code == 200, answer.status_code
        self.page = answer.content.decode()
        self.at = answer.redirect_chain[-1][0] if answer.redirect_chain else ""
        return self.text


def check_door(page: str, shop: Shop) -> None:
    """What holds for every page of a studio: a login is needed, other studios are not seen, it is for looking only."""
    visitor = Visitor(shop)
    path = visitor.path(page)
    assert Client().get(path).headers["Location"].startswith("/login/")
    other = Shop(name="Elsewhere")
    assert Visitor(other).client.get(path).status_code == 404
    assert visitor.client.post(path).status_code == 405
