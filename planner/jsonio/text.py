"""From bytes to plain JSON values, refusing what would be read in two ways or not at all."""

from __future__ import annotations

import json
import re
from typing import Any

from planner.faults import MOST_SHOWN, Fault, Unreadable, escape, one_line, quoted

MOST_BYTES = 64 * 1024 * 1024
MOST_DEPTH = 100
MOST_DIGITS = 40


class Fraction(float):
    """A number written with a fraction or an exponent; ``text`` is how it was written."""

    __slots__ = ("text",)
    text: str

    def __new__(cls, text: str) -> Fraction:
        self = super().__new__(cls, text)
        self.text = text
        return self


class NoNumber:
    """NaN, Infinity, or a number out of all bounds."""

    __slots__ = ("text",)

    def __init__(self, text: str) -> None:
        self.text = text


class DoubleKeys(dict):  # type: ignore[type-arg]
    """An object in which a key stands twice; ``twice`` names those keys."""

    twice: list[str]


def _object(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    made = dict(pairs)
    if len(made) == len(pairs):
        return made
    double = DoubleKeys(made)
    seen: set[str] = set()
    double.twice = sorted({k for k, _ in pairs if k in seen or seen.add(k)})  # type: ignore[func-returns-value]
    return double


def _whole(text: str) -> int | NoNumber:
    return int(text) if len(text) <= MOST_DIGITS else NoNumber(text)


def _fraction(text: str) -> Fraction | NoNumber:
    made = Fraction(text)
    return NoNumber(text) if made in (float("inf"), float("-inf")) else made


def _decoded(data: bytes) -> str:
    if len(data) > MOST_BYTES:
        raise Unreadable([Fault("", f"{len(data)} bytes, more than 64 MiB", "a document of at most 64 MiB")])
    if data.startswith(b"\xef\xbb\xbf"):
        raise Unreadable([Fault("", "begins with a byte order mark", "save it as UTF-8 without one")])
    if data.startswith((b"\xff\xfe", b"\xfe\xff")) or b"\0" in data[:4]:
        raise Unreadable([Fault("", "looks like UTF-16 or UTF-32", "save it as UTF-8")])
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError as e:
        wrong = f"byte 0x{data[e.start]:02x} at position {e.start} is not UTF-8"
        raise Unreadable([Fault("", wrong, "save it as UTF-8")]) from None


def parse(data: bytes) -> Any:
    """The JSON value in ``data``; raises :class:`Unreadable`. Fractions come back as :class:`Fraction`."""
    text = _decoded(data)
    if not text.strip(" \t\r\n"):
        raise Unreadable([Fault("", "the document is empty", "a scenario or a plan in JSON")])
    too_deep = Unreadable([Fault("", "lists and objects nested too deeply", f"at most {MOST_DEPTH} levels")])
    try:
        value = json.loads(
            text, object_pairs_hook=_object, parse_int=_whole, parse_float=_fraction, parse_constant=NoNumber
        )
    except json.JSONDecodeError as e:
        wrong = f"not JSON at line {e.lineno}, column {e.colno} ({one_line(e.msg)})"
        raise Unreadable([Fault("", wrong, "correct it there; the JSON of RFC 8259 is read")]) from None
    except (RecursionError, MemoryError):
        raise too_deep from None
    try:
        found = _unsound(value)
    except _TooDeep:
        raise too_deep from None
    if found:
        raise Unreadable(found)
    return value


_SURROGATE = re.compile("[\ud800-\udfff]")


class _TooDeep(Exception):
    pass


def _unsound(value: Any) -> list[Fault]:
    """Double keys, NaN and half characters anywhere in ``value``; raises :class:`_TooDeep`."""
    found: list[Fault] = []
    _walk(value, [], found)
    return found[:MOST_SHOWN]


def _walk(x: Any, way: list[Any], found: list[Fault]) -> None:
    """Add what is unsound in ``x``, which stands at ``way``, to ``found``. A pointer is made for a fault alone."""
    if isinstance(x, (list, dict)):
        if len(way) >= MOST_DEPTH:
            raise _TooDeep
        if isinstance(x, dict):
            found += [Fault(_pointer(way), wrong, right) for wrong, right in _unsound_keys(x)]
        for key, inner in x.items() if isinstance(x, dict) else enumerate(x):
            if len(found) >= MOST_SHOWN:
                return
            if isinstance(inner, (list, dict, str, NoNumber)):
                way.append(key)
                _walk(inner, way, found)
                way.pop()
    elif isinstance(x, NoNumber):
        found.append(Fault(_pointer(way), f"{one_line(x.text, 40)} is no number that is read", "a whole number"))
    elif isinstance(x, str) and _SURROGATE.search(x):
        found.append(Fault(_pointer(way), "half of a surrogate pair", "whole characters"))


def _pointer(way: list[Any]) -> str:
    return "".join(f"/{escape(key)}" for key in way)


def _unsound_keys(x: dict[str, Any]) -> list[tuple[str, str]]:
    twice = x.twice if isinstance(x, DoubleKeys) else ()
    return [(f"the key {quoted(k)} stands twice", "leave one of them out") for k in twice] + [
        ("half of a surrogate pair in a key", "whole characters") for k in x if _SURROGATE.search(k)
    ]
