"""Faults in what a person hands to the planner, each with the words that say what to change."""

from __future__ import annotations

from collections.abc import Iterable
from difflib import get_close_matches
from typing import NamedTuple

MOST_SHOWN = 20


def escape(part: object) -> str:
    """One reference token of an RFC 6901 pointer."""
    return str(part).replace("~", "~0").replace("/", "~1")


def one_line(text: str, most: int = 400) -> str:
    """``text`` with everything that does not print written as an escape, so that a fault stays on one line."""
    if len(text) > most:
        text = text[:most] + "…"
    if text.isprintable():
        return text
    return "".join(c if c.isprintable() else c.encode("unicode_escape").decode() for c in text)


def quoted(text: str) -> str:
    return f'"{one_line(text, 80)}"'


class Fault(NamedTuple):
    """What is wrong at ``pointer`` (RFC 6901) and what would be right."""

    pointer: str
    wrong: str
    right: str

    def under(self, pointer: str) -> Fault:
        """The same fault seen from the thing that holds this one at ``pointer``."""
        return self._replace(pointer=pointer + self.pointer)

    def __str__(self) -> str:
        return f"{one_line(self.pointer)}: {one_line(self.wrong)}; {one_line(self.right)}"


class Refused(ValueError):
    """Something that cannot be so. ``faults`` says what and what to change."""

    def __init__(self, faults: Iterable[Fault], what: str = "") -> None:
        self.faults: list[Fault] = list(faults)
        lines = [str(f) for f in self.faults[:MOST_SHOWN]]
        super().__init__("\n".join(f"{what}{line}" for line in lines))


class Unreadable(Refused):
    """A document that is no scenario or no plan; ``faults`` point into it."""


def meant(wrong: str, known: Iterable[str]) -> str:
    """What would be right instead of ``wrong``, out of ``known`` names."""
    names = sorted(set(known))
    close = get_close_matches(wrong[:100], names[:2000], n=1, cutoff=0.6)
    if close:
        return f"did you mean {quoted(close[0])}?"
    if not names:
        return "there is none to name"
    shown = ", ".join(quoted(n) for n in names[:6])
    return f"use one of {shown}" + (f" or {len(names) - 6} more" if len(names) > 6 else "")
