"""A form on a page: the values it starts with, or what a person had entered in it when it was refused."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from studio.views.refused import Refusal

ENDINGS = ("_h", "_lo", "_hi")  # a window or a wait is entered in hours, in two fields, and refused by its one name


@dataclass(frozen=True)
class Filled:
    """``kind`` is the command; ``key`` tells forms of one kind on one page apart; ``version`` is the one to send."""

    kind: str
    values: Mapping[str, Any]
    key: str = ""
    version: int | None = None
    errors: Mapping[str, str] = field(default_factory=dict)
    message: str = ""
    is_refused: bool = False

    def value(self, name: str) -> Any:
        """What stands in the field."""
        return self.values.get(name, "")

    def error(self, name: str) -> str:
        """What is wrong with the field, or nothing."""
        while name not in self.errors:
            shorter = next((name.removesuffix(e) for e in ENDINGS if name.endswith(e)), name)
            if shorter == name:
                return ""
            name = shorter
        return self.errors[name]

    def ticked(self, name: str, value: str) -> bool:
        """Whether ``value`` is among those chosen in the field."""
        there = self.value(name)
        return value in there if isinstance(there, (list, tuple, set)) else str(there) == value

    @property
    def id(self) -> str:
        """Begins the ids of its fields."""
        return f"{self.kind}-{self.key}" if self.key else self.kind


def filled(
    refusal: Refusal | None, kind: str, values: Mapping[str, Any], *, version: int | None = None, **match: str
) -> Filled:
    """The form of a ``kind`` for the thing that ``match`` names; what was refused of that very form stands in it.

    After a stale edit the entries go with the version that holds now: sent again, they are meant.
    """
    key = next(iter(match.values()), "")
    mine = refusal is not None and refusal.kind == kind and all(
        str(refusal.entries.get(k) or "") == v for k, v in match.items()
    )  # fmt: skip
    if not mine or refusal is None:
        return Filled(kind, values, key, version)
    now_there = refusal.data.get("version", version) if refusal.status == 409 else version
    # A box without a tick sends nothing, so what is missing in the entries was left empty.
    kept = {k: refusal.entries.get(k, [] if isinstance(v, (list, tuple)) else "") for k, v in values.items()}
    return Filled(kind, {**kept, **refusal.entries}, key, now_there, refusal.errors, refusal.message, True)
