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


def exit_on_signals(within_s: float) -> None:
    """Install handlers that leave the main thread by SystemExit, so that its `finally` blocks run.

    If it has not ended after `within_s` seconds (a long call that does not let it, or swallows it), the process ends
    at once. That is safe for the database, which then drops the transaction, and children see their parent gone.
    """

    def leave(number: int, frame: FrameType | None) -> None:
        end = threading.Timer(within_s, os._exit, [128 + number])
        end.daemon = True
        end.start()
        raise SystemExit(128 + number)

    for number in ENDING:
        signal.signal(number, leave)
