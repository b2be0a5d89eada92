"""One supervised child process: started, started again when it dies, stopped for good in time."""

from __future__ import annotations

import contextlib
import os
import signal
import subprocess
import time
from collections.abc import Mapping, Sequence

from studio.serve.lifeline import VARIABLE

FIRST_PAUSE_S = 0.5
LONGEST_PAUSE_S = 30.0
STEADY_S = 60.0  # a child that ran this long is taken as healthy, so its next death is not the end of a series


class Child:
    """A command line kept running. It is the head of its own process group, so its children go with it."""

    def __init__(self, name: str, line: Sequence[str], environment: Mapping[str, str]) -> None:
        self.name = name
        self.line = list(line)
        self.environment = {**environment, VARIABLE: "1"}
        self.process: subprocess.Popen[bytes] | None = None
        self._started = 0.0
        self._pause = FIRST_PAUSE_S
        self._again_at = 0.0

    def start(self, now: float | None = None) -> None:
        """Start the process; `now` is monotonic time in seconds."""
        self.process = subprocess.Popen(
            self.line, env=self.environment, stdin=subprocess.PIPE, start_new_session=os.name != "nt"
        )
        self._started = time.monotonic() if now is None else now

    @property
    def running(self) -> bool:
        """True while the process lives."""
        return self.process is not None and self.process.poll() is None

    def tend(self, now: float) -> str | None:
        """Notice a death, and start again when the pause is over. Returns a sentence when there is news.

        `now` is monotonic time in seconds. Each death soon after a start doubles the pause, up to half a minute.
        """
        if self.running:
            return None
        if self.process is not None:
            code = self.process.returncode
            self._sweep()
            self.process = None
            if now - self._started > STEADY_S:
                self._pause = FIRST_PAUSE_S
            self._again_at = now + self._pause
            news = f"The {self.name} ended (code {code}); starting it again in {self._pause:g} s."
            self._pause = min(self._pause * 2, LONGEST_PAUSE_S)
            return news
        if now >= self._again_at:
            self.start(now)
        return None

    def ask_to_stop(self) -> None:
        """Ask the process to end itself."""
        if self.process is not None and self.running:
            with contextlib.suppress(OSError):
                self.process.terminate()

    def kill(self) -> None:
        """End the process and everything it started, at once."""
        if self.process is None:
            return
        with contextlib.suppress(OSError):
            self.process.kill()
        self._sweep()
        with contextlib.suppress(subprocess.TimeoutExpired):
            self.process.wait(timeout=1)

    def _sweep(self) -> None:
        # What the child had started itself must not go on without it.
        if self.process is None:
            return
        if self.process.stdin is not None:
            with contextlib.suppress(OSError):
                self.process.stdin.close()
        if os.name != "nt":
            with contextlib.suppress(ProcessLookupError, PermissionError):
                os.killpg(self.process.pid, signal.SIGKILL)


def stop_all(children: Sequence[Child], grace_s: float = 1.5) -> None:
    """Ask all to stop, wait at most `grace_s` seconds for all together, then kill what is left."""
    for child in children:
        child.ask_to_stop()
    deadline = time.monotonic() + grace_s
    while any(child.running for child in children) and time.monotonic() < deadline:
        time.sleep(0.02)
    for child in children:
        child.kill()
