"""A worker as a process of its own, for tests that kill it."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

from django.db import connection

from studio.models import PlanRun

ROOT = Path(__file__).resolve().parents[2]


class WorkerProcess:
    """``manage.py planworker`` on the database of the tests."""

    def __init__(self) -> None:
        environment = {
            **os.environ, "STUDIO_TEST_DATABASE": str(connection.settings_dict["NAME"]),
            "DJANGO_SETTINGS_MODULE": "tests.worker_settings", "PYTHONPATH": str(ROOT),
        }  # fmt: skip
        line = [sys.executable, "-m", "django", "planworker", "--poll", "0.1"]
        self.process = subprocess.Popen(line, cwd=ROOT, env=environment, stdout=subprocess.DEVNULL)

    def __enter__(self) -> WorkerProcess:
        return self

    def __exit__(self, *_exc: object) -> None:
        self.kill()

    def kill(self) -> None:
        """kill -9, as the memory watchdog of a small machine would."""
        if self.process.poll() is None:
            self.process.kill()
        self.process.wait(10)

    def end(self) -> float:
        """Ask it to end; the seconds it took."""
        begun = time.monotonic()
        self.process.send_signal(signal.SIGTERM)
        self.process.wait(15)
        return time.monotonic() - begun

    def children(self) -> list[int]:
        """The solver's processes."""
        return descendants(self.process.pid)


def descendants(pid: int) -> list[int]:
    """All processes below ``pid``, from /proc."""
    parents: dict[int, list[int]] = {}
    for stat in Path("/proc").glob("[0-9]*/stat"):
        try:
            fields = stat.read_text().rpartition(")")[2].split()
        except OSError:
            continue
        parents.setdefault(int(fields[1]), []).append(int(stat.parent.name))
    found = list(parents.get(pid, []))
    for child in found:
        found.extend(parents.get(child, []))
    return found


def alive(pid: int) -> bool:
    """Whether a process runs (one that is dead but not yet collected does not)."""
    try:
        return Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0] != "Z"
    except OSError:
        return False


def wait_for(what: Callable[[], bool], seconds: float = 30) -> None:
    """Wait until ``what`` holds."""
    end = time.monotonic() + seconds
    while not what():
        assert time.monotonic() < end, "waited too long"
        time.sleep(0.05)


def fresh(run: PlanRun) -> PlanRun:
    """The run as its row stands now."""
    return PlanRun.objects.select_related("plan").get(pk=run.pk)
