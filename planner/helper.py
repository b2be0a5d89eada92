"""One child process that improves a plan, as its parent sees it.

The solver is native code: it may crash or be killed for want of memory. So it lives in a process of its own, started
anew (never forked), and talks in JSON lines over its pipes. It ends when its stdin closes, so it outlives nobody.
"""

from __future__ import annotations

import contextlib
import json
import os
import queue
import subprocess
import sys
import tempfile
import threading
from pathlib import Path
from typing import Any, NamedTuple

SETTINGS = {"OMP_NUM_THREADS": "1", "OPENBLAS_NUM_THREADS": "1", "PYTHONHASHSEED": "0"}
PROJECT = Path(__file__).resolve().parent.parent


class Message(NamedTuple):
    """What child number ``child`` said; ``None`` when its stdout closed."""

    child: int
    said: dict[str, Any] | None


def child_command() -> list[str]:
    """The command that starts a child."""
    return [sys.executable, "-m", "planner.child"]


def _environment() -> dict[str, str]:
    """This process's environment: planner importable, one thread for numeric libraries, sets in one order."""
    paths = [str(PROJECT), *filter(None, [os.environ.get("PYTHONPATH")])]
    return {**os.environ, "PYTHONPATH": os.pathsep.join(paths), **SETTINGS}


class Helper:
    """A running child. ``said`` gets its messages; ``tell`` writes to it; ``end`` always leaves it dead."""

    def __init__(self, number: int, said: queue.Queue[Message]) -> None:
        self.number = number
        self._said = said
        self._errors = tempfile.TemporaryFile()  # noqa: SIM115  (lives as long as the child)
        try:
            self._process = subprocess.Popen(
                child_command(), stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=self._errors, env=_environment()
            )
        except OSError:
            self._errors.close()
            raise
        self._outbox: queue.Queue[dict[str, Any] | None] = queue.Queue()
        self._threads = [threading.Thread(target=t, daemon=True) for t in (self._read, self._write)]
        for thread in self._threads:
            thread.start()

    @property
    def pid(self) -> int:
        return self._process.pid

    def tell(self, message: dict[str, Any]) -> None:
        """Send ``message`` without waiting (a child that hangs with a full pipe must not hang its parent)."""
        self._outbox.put(message)

    def _write(self) -> None:
        pipe = self._process.stdin
        assert pipe is not None
        with contextlib.suppress(OSError, ValueError):
            while (message := self._outbox.get()) is not None:
                pipe.write(json.dumps(message, separators=(",", ":")).encode() + b"\n")
                pipe.flush()

    def _read(self) -> None:
        pipe = self._process.stdout
        assert pipe is not None
        with contextlib.suppress(OSError, ValueError):
            for line in pipe:
                said = _parsed(line)
                if said is not None:
                    self._said.put(Message(self.number, said))
        self._said.put(Message(self.number, None))

    def alive(self) -> bool:
        return self._process.poll() is None

    def end(self, grace: float = 0.0) -> int:
        """Kill the child unless it ends within ``grace`` seconds; the code it ended with."""
        try:
            code = self._process.wait(timeout=grace) if grace > 0 else self._killed()
        except subprocess.TimeoutExpired:
            code = self._killed()
        self._outbox.put(None)
        for thread in self._threads:
            thread.join(timeout=1)
        for pipe in (self._process.stdin, self._process.stdout):
            with contextlib.suppress(OSError):
                if pipe is not None:
                    pipe.close()
        return code

    def _killed(self) -> int:
        with contextlib.suppress(OSError):
            self._process.kill()
        return self._process.wait()

    def last_words(self) -> str:
        """The last line the child wrote to its stderr, if any. Closes that file."""
        with self._errors:
            self._errors.seek(0)
            lines = self._errors.read()[-4000:].decode(errors="replace").strip().splitlines()
        return lines[-1][:300] if lines else ""


def _parsed(line: bytes) -> dict[str, Any] | None:
    """A message, or None for a line that a crash cut short."""
    try:
        said = json.loads(line)
    except ValueError:
        return None
    return said if isinstance(said, dict) else None
