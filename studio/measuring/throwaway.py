"""A demo studio in a data folder of its own, on a Wednesday morning, whatever the clock of this machine says."""

from __future__ import annotations

import datetime as dt
import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Sequence
from pathlib import Path

from django.conf import settings
from django.contrib.auth.models import User
from django.utils import timezone

from studio import datafolder
from studio.bootstrap.errors import StartError
from studio.models import Studio
from studio.serve import ready
from studio.serve.signals import exit_on_signals

INSIDE = "STUDIO_THROWAWAY"
# A working day with ware at every stage; always the same one, so that figures and pictures can be compared.
MORNING = dt.datetime(2027, 3, 17, 10, 30, tzinfo=dt.UTC)


def run_apart(arguments: Sequence[str], folder: Path | None) -> int:
    """Run this command line again in a process whose data is ``folder``, or one that is removed; its exit code.

    Settings read the data folder once, so another folder needs another process. Raises StartError for a folder that
    holds data.
    """
    exit_on_signals()
    if folder is not None:
        if (folder / datafolder.DATABASE).exists():
            raise StartError(f"{folder} holds data already, and this needs a new folder. Name another one.")
        return _run(arguments, folder)
    with tempfile.TemporaryDirectory(prefix="studio-throwaway-") as made:
        return _run(arguments, Path(made))


def _run(arguments: Sequence[str], folder: Path) -> int:
    apart = {"STUDIO_DATA": str(folder), "DATABASE_URL": "", "STUDIO_HTTPS": "", "STUDIO_HOSTS": "", INSIDE: "1"}
    line = [sys.executable, str(settings.PROJECT / "manage.py"), *arguments]
    return subprocess.call(line, env={**os.environ, **apart})


def is_apart() -> bool:
    """Whether this process was started by :func:`run_apart`."""
    return os.environ.get(INSIDE) == "1"


def demo(seconds: float) -> tuple[Studio, User]:
    """The demo studio on :data:`MORNING` with a plan of so many seconds, and its owner; the clock goes on from there.

    Only in a process of :func:`run_apart`.
    """
    if not is_apart():
        raise StartError("This works in a throw-away folder only.")
    from studio.demo import load_demo, plan_demo

    datafolder.prepare(settings.DATA)
    ready.bring_up_to_date(lambda _words: None)
    begun = time.monotonic()
    timezone.now = lambda: MORNING + dt.timedelta(seconds=time.monotonic() - begun)
    studio = load_demo(now=timezone.now(), time_zone="Europe/London")
    plan_demo(studio, timezone.now(), seconds=seconds)
    return studio, User.objects.get(memberships__studio=studio, memberships__role="owner")
