"""Our own answer to the signals that ask a process to end."""

from __future__ import annotations

import os
import signal
import threading
from types import FrameType

ENDING = [getattr(signal, name) for name in ("SIGINT", "SIGTERM", "SIGHUP", "SIGBREAK") if hasattr(signal, name)]


def stop_on_signals() -> threading.Event:
    """Install handlers that only set the returned event; the main loop looks at it."""
    stop = threading.Event()

    def note(number: int, frame: FrameType | None) -> None:
        stop.set()

    for number in ENDING:
        signal.signal(number, note)
    return stop


def exit_on_signals() -> None:
    """Install handlers that leave the main thread by SystemExit, so that its `finally` blocks run."""

    def leave(number: int, frame: FrameType | None) -> None:
        raise SystemExit(128 + number)

    for number in ENDING:
        signal.signal(number, leave)


def end_at_once_on_signals() -> None:
    """Install handlers that end the process where it stands.

    For work that can be dropped at any instant: the database drops its open transaction, and children see their
    parent gone. An exception would have to find its way out of whatever library is running, and some swallow it.
    """

    def end(number: int, frame: FrameType | None) -> None:
        os.write(2, b"\nStopped before it was ready. The next start begins this part anew.\n")
        os._exit(128 + number)

    for number in ENDING:
        signal.signal(number, end)
