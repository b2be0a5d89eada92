"""Run the tool's own command line as a person does, in a process of its own."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

PROJECT = Path(__file__).resolve().parents[2]


def clean_environment(**extra: str) -> dict[str, str]:
    """This process's variables without those of the tool and of the tests, and with `extra`."""
    kept = {name: value for name, value in os.environ.items() if not name.startswith(("STUDIO_", "DJANGO_", "PYTEST_"))}
    kept.pop("DATABASE_URL", None)
    return {**kept, **extra}


def manage(*arguments: str, timeout: float = 60, **extra: str) -> subprocess.CompletedProcess[str]:
    """Run manage.py in this environment of packages; returns what it wrote and its exit code."""
    return subprocess.run(
        [sys.executable, str(PROJECT / "manage.py"), *arguments],
        env=clean_environment(STUDIO_NO_VENV="1", **extra),
        cwd="/",
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        timeout=timeout,
    )


def add_studio(folder: Path, name: str) -> None:
    """One more studio in a data folder, by the tool's own service; its first word is its owner's name."""
    script = (
        "from studio.services.founding import found_studio; "
        f"found_studio(name={name!r}, time_zone='Europe/London', user_name={name.split()[0]!r}, "
        "password='soft soap and suds')"
    )
    done = manage("shell", "--no-imports", "-c", script, "--data", str(folder))
    assert done.returncode == 0, done.stderr
