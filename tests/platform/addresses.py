"""Every address of the tool, each with an example path."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from django.urls import URLPattern, URLResolver, get_resolver
from django.urls.resolvers import RoutePattern

EXAMPLES = {
    "str": "abcdefghjkmn",
    "slug": "abcdefghjkmn",
    "path": "abcdefghjkmn",
    "int": "1",
    "uuid": "0e1b2c3d-4e5f-4a6b-8c7d-9e0f1a2b3c4d",
}


@dataclass(frozen=True)
class Address:
    """A view's full name and a path that leads to it."""

    name: str
    path: str


def all_addresses() -> list[Address]:
    """All of them, in the order of the URL files."""
    return list(_walk(get_resolver().url_patterns, "/", ()))


def _walk(patterns: Iterable[URLPattern | URLResolver], before: str, spaces: tuple[str, ...]) -> Iterator[Address]:
    for entry in patterns:
        assert isinstance(entry.pattern, RoutePattern), f"{entry.pattern} has no example: use path()"
        path = before + re.sub(r"<(?:(\w+):)?\w+>", _example, str(entry.pattern))
        if isinstance(entry, URLResolver):
            inner = (*spaces, entry.namespace) if entry.namespace else spaces
            yield from _walk(entry.url_patterns, path, inner)
        else:
            yield Address(":".join([*spaces, entry.name or ""]), path)


def _example(part: re.Match[str]) -> str:
    return EXAMPLES[part[1] or "str"]
