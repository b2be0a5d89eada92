"""A lock on a file that the system lets go when its holder dies, on every system."""

from __future__ import annotations

import os
from pathlib import Path
from types import TracebackType

if os.name == "nt":
    import msvcrt
else:
    import fcntl


class FileLock:
    """Hold `path` locked from `acquire` until `release` or the end of the process.

    A shared lock lets other shared holders in and keeps exclusive ones out (on Windows each lock is exclusive).
    """

    def __init__(self, path: Path, *, shared: bool = False) -> None:
        self.path = path
        self.shared = shared
        self._file: int | None = None

    def acquire(self, *, wait: bool) -> bool:
        """Take the lock; True when it is held. With wait=False return False at once if another holds it.

        Raises OSError when the lock file itself cannot be made.
        """
        handle = os.open(self.path, os.O_RDWR | os.O_CREAT | getattr(os, "O_CLOEXEC", 0), 0o600)
        try:
            taken = _lock(handle, shared=self.shared, wait=wait)
        except BaseException:
            os.close(handle)
            raise
        if not taken:
            os.close(handle)
            return False
        self._file = handle
        return True

    def release(self) -> None:
        """Let go; without effect when it is not held."""
        if self._file is not None:
            os.close(self._file)
            self._file = None

    def __enter__(self) -> FileLock:
        self.acquire(wait=True)
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.release()


def _lock(handle: int, *, shared: bool, wait: bool) -> bool:
    if os.name == "nt":
        return _lock_on_windows(handle, wait=wait)
    mode = fcntl.LOCK_SH if shared else fcntl.LOCK_EX
    try:
        fcntl.flock(handle, mode if wait else mode | fcntl.LOCK_NB)
    except BlockingIOError:
        return False
    return True


def _lock_on_windows(handle: int, *, wait: bool) -> bool:
    while True:
        try:
            # LK_LOCK gives up after ten seconds, hence the loop.
            msvcrt.locking(handle, msvcrt.LK_LOCK if wait else msvcrt.LK_NBLCK, 1)  # type: ignore[attr-defined]
        except OSError:
            if wait:
                continue
            return False
        return True
