"""Reads a page as a person without JavaScript would: its words, its forms and their buttons."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from html.parser import HTMLParser
from typing import Any


@dataclass
class Button:
    text: str
    name: str = ""
    value: str = ""


@dataclass
class Form:
    action: str
    fields: dict[str, list[str]] = field(default_factory=dict)
    buttons: list[Button] = field(default_factory=list)

    def payload(self, button: Button, **changes: Any) -> dict[str, Any]:
        """What is sent when ``button`` is pressed, with other entries where ``changes`` says so."""
        sent: dict[str, Any] = {name: list(values) for name, values in self.fields.items()}
        if button.name:
            sent[button.name] = button.value
        return {**sent, **changes}


class Page(HTMLParser):
    """``text`` is what is seen, in one line; ``forms`` are the forms that post."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.html = html
        self.words: list[str] = []
        self.forms: list[Form] = []
        self.links: dict[str, str] = {}
        self._form: Form | None = None
        self._button: Button | None = None
        self._link: tuple[str, list[str]] | None = None
        self._select = ""
        self.feed(html)

    @property
    def text(self) -> str:
        return re.sub(r"\s+", " ", " ".join(self.words))

    def press(self, label: str, nth: int = 0) -> tuple[Form, Button]:
        """The ``nth`` form with a button whose words contain ``label``."""
        found = [(f, b) for f in self.forms for b in f.buttons if label in b.text]
        assert len(found) > nth, (label, [b.text for f in self.forms for b in f.buttons])
        return found[nth]

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        have = {k: v or "" for k, v in attrs}
        if tag == "form":
            self._form = Form(have.get("action", ""))
            if have.get("method") == "post":
                self.forms.append(self._form)
        elif tag == "a" and "href" in have:
            self._link = (have["href"], [])
        elif tag == "button" and self._form is not None:
            self._button = Button(have.get("aria-label", ""), have.get("name", ""), have.get("value", ""))
            self._form.buttons.append(self._button)
        elif tag == "select":
            self._select = have.get("name", "")
        elif tag == "option" and self._form is not None:
            if "selected" in have or self._select not in self._form.fields:
                self._form.fields[self._select] = [have.get("value", "")]
        elif tag == "input" and self._form is not None:
            self._input(self._form, have)

    @staticmethod
    def _input(form: Form, have: dict[str, str]) -> None:
        if have.get("type") in ("checkbox", "radio") and "checked" not in have:
            return
        if have.get("name"):
            form.fields.setdefault(have["name"], []).append(have.get("value", ""))

    def handle_endtag(self, tag: str) -> None:
        if tag == "form":
            self._form = None
        elif tag == "button":
            self._button = None
        elif tag == "a" and self._link is not None:
            self.links[re.sub(r"\s+", " ", " ".join(self._link[1])).strip()] = self._link[0]
            self._link = None

    def handle_data(self, data: str) -> None:
        if data.strip():
            self.words.append(data.strip())
            if self._button is not None:
                self._button.text = f"{self._button.text} {data.strip()}".strip()
            if self._link is not None:
                self._link[1].append(data.strip())
