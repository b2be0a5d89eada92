"""Documents on disk: read with care, written whole or not at all."""

from __future__ import annotations

import contextlib
import os
import stat
from pathlib import Path

from planner.faults import Fault, Unreadable
from planner.jsonio.text import MOST_BYTES


class Unwritable(Exception):
    """The plan cannot be written where it was asked for; the text says why and what to change."""


def read(path: Path) -> bytes:
    """The bytes of the file ``path``, at most one more than a document may have; raises :class:`Unreadable`."""
    try:
        with path.open("rb") as file:
            return file.read(MOST_BYTES + 1)
    except FileNotFoundError:
        fault = Fault("", f"there is no file {path}", "give the path of one that is there")
    except IsADirectoryError:
        fault = Fault("", f"{path} is a folder", "give the path of a file in it")
    except (OSError, ValueError) as e:
        fault = Fault("", f"{path} cannot be opened ({_why(e)})", "give a file that you may read")
    raise Unreadable([fault])


def _why(e: Exception) -> str:
    return getattr(e, "strerror", None) or str(e)


def _is_special(path: Path) -> bool:
    """Whether ``path`` is a device or a pipe, which is written to as it is."""
    try:
        return not stat.S_ISREG(path.stat().st_mode)
    except OSError:
        return False


def _beside(path: Path) -> Path:
    return path.with_name(f".{path.name[:100]}.{os.getpid()}.part")


def write(path: Path, data: bytes) -> None:
    """Put ``data`` at ``path`` in one stroke, so that nobody ever finds half a plan; raises :class:`Unwritable`."""
    try:
        if path.is_dir():
            raise Unwritable(f"{path} is a folder; give the path of a file in it")
        if _is_special(path):
            path.write_bytes(data)
            return
        path = Path(os.path.realpath(path))  # a link stays a link
        part = _beside(path)
        try:
            with part.open("wb") as file:
                file.write(data)
                file.flush()
                os.fsync(file.fileno())
            part.replace(path)
        except BaseException:
            with contextlib.suppress(OSError):
                part.unlink()
            raise
    except (OSError, ValueError) as e:
        raise Unwritable(f"{path} cannot be written ({_why(e)}); give a path in a folder you may write to") from None


def must_be_writable(path: Path) -> None:
    """Find out before the work, not after it, that ``path`` cannot be written; raises :class:`Unwritable`."""
    try:
        if path.is_dir():
            raise Unwritable(f"{path} is a folder; give the path of a file in it")
        if _is_special(path):
            return
        part = _beside(Path(os.path.realpath(path)))
        part.touch()
        part.unlink()
    except (OSError, ValueError) as e:
        raise Unwritable(f"{path} cannot be written ({_why(e)}); give a path in a folder you may write to") from None
