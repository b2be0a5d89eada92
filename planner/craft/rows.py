"""One row of the page "how we reckon": a formula in words, where it comes from and where it holds."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Tag(StrEnum):
    """How well a formula or a figure is founded."""

    PUBLISHED = "published"
    DERIVED = "worked out here from the others"
    PRACTICE = "common practice, no source"
    MEMORY = "from memory"


@dataclass(frozen=True, slots=True)
class Row:
    """A formula for people; ``functions`` names what reckons it, as "module.function" within this package."""

    subject: str
    name: str
    words: str
    source: str
    valid: str
    tag: Tag
    functions: tuple[str, ...]
