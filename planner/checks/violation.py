"""One broken rule."""

from __future__ import annotations

from dataclasses import dataclass, field

from planner.rules import Rule


@dataclass(frozen=True)
class Violation:
    """A rule broken by a plan: ``text`` names things and minutes, ``things`` holds their ids by role."""

    rule: Rule
    text: str
    things: dict[str, str] = field(default_factory=dict)

    def __str__(self) -> str:
        return f"{self.rule.name} {self.text}"
