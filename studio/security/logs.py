"""Logs that can be shown to a stranger."""

from __future__ import annotations

import logging
import traceback
from types import TracebackType

ExcInfo = tuple[type[BaseException], BaseException, TracebackType | None] | tuple[None, None, None]


class Impersonal(logging.Formatter):
    """Writes where an error came from and its kind, but not its text, which may quote what a person typed."""

    def formatException(self, ei: ExcInfo) -> str:
        """The stack and the kind of each error in the chain."""
        error = ei[1]
        parts: list[str] = []
        seen: set[int] = set()
        while error is not None and id(error) not in seen:
            seen.add(id(error))
            parts.append("".join(traceback.format_tb(error.__traceback__)) + type(error).__qualname__)
            error = error.__cause__ or error.__context__
        return "\nafter\n".join(parts)
