"""One thing that happened, and the form that each kind of it must have."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any


def part_name(whole: str, ware: str) -> str:
    """The id of the pieces of ``ware`` in ``whole``, a firing or a batch; ids have 80 characters at most."""
    return f"{whole}.{ware}"[:80]


@dataclass(frozen=True)
class Fact:
    """``data`` has the form that its ``kind`` asks for; ``task`` is the planned task it fulfils, if any."""

    id: str
    kind: str
    happened: int
    seq: int
    arrived: int
    by: str | None = None  # person
    task: str | None = None
    data: dict[str, Any] = field(default_factory=dict)

    @property
    def place(self) -> tuple[int, int]:
        """Where it stands in the order of folding."""
        return (self.happened, self.seq)
