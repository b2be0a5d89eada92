"""A child process that ends when its parent does, however the parent ends, on every system.

The parent holds the writing end of the child's standard input. When the parent is gone, even by kill -9,
the system closes that end, and the child takes itself and its own children down.
"""

from __future__ import annotations

import os
import signal
import threading

VARIABLE = "STUDIO_LIFELINE"
ORPHANED = 3  # the exit code of a child that lost its parent


def hold_if_asked() -> None:
    """In a child that was started with the lifeline: watch it from a thread. Elsewhere without effect."""
    # Taken out, so that the child's own children do not read from the same pipe.
    if os.environ.pop(VARIABLE, ""):
        threading.Thread(target=_watch, name="lifeline", daemon=True).start()


def _watch() -> None:
    while os.read(0, 1024):
        pass
    if hasattr(os, "killpg") and os.getpgrp() == os.getpid():
        os.killpg(os.getpid(), signal.SIGKILL)
    os._exit(ORPHANED)
