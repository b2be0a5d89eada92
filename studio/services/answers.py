"""What a command gives back, and how it is refused."""

from __future__ import annotations

from dataclasses import asdict, dataclass, field
from typing import Any

DONE, NOT_ALLOWED, NOT_FOUND, STALE, UNCLEAR, BROKEN = 200, 403, 404, 409, 422, 500


@dataclass(frozen=True)
class Answer:
    """``status`` 200 = done, 4xx = refused and nothing written, 500 = broke off and nothing written.

    ``errors`` are by field. ``undo`` is the command to name in an ``undo``, ``go`` the page that shows what came of
    it, ``data`` what a page needs to go on (new ids, or the question that is still open under "ask").
    """

    status: int
    message: str
    errors: dict[str, str] = field(default_factory=dict)
    undo: str | None = None
    go: str | None = None
    data: dict[str, Any] = field(default_factory=dict)

    @property
    def ok(self) -> bool:
        return self.status == DONE

    def as_dict(self) -> dict[str, Any]:
        """The answer as JSON would have it."""
        return asdict(self)


class Refused(Exception):
    """Raised inside a command: nothing is written, and the person is told ``message``."""

    def __init__(
        self,
        message: str,
        *,
        status: int = UNCLEAR,
        errors: dict[str, str] | None = None,
        data: dict[str, Any] | None = None,
    ) -> None:
        super().__init__(message)
        self.answer = Answer(status, str(message), {k: str(v) for k, v in (errors or {}).items()}, data=data or {})
