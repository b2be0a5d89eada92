"""The machine that figures were measured on, in words."""

from __future__ import annotations

import contextlib
import os
import platform
import sys
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path


def machine() -> dict[str, str]:
    """What a reader must know of this machine to compare figures, by name."""
    return {
        "cpu": _cpu(),
        "cores": str(_cores()),
        "memory": _memory(),
        "system": f"{platform.system()} {platform.machine()}",
        "python": platform.python_version(),
        "ortools": _version("ortools"),
        "load": load(),
    }


def load() -> str:
    """How many processes wanted to run in the last minute; empty where the system does not say."""
    with contextlib.suppress(OSError, AttributeError):
        return f"{os.getloadavg()[0]:.1f}"
    return ""


def peaks() -> tuple[float, float]:
    """The most memory that this process, and any child that has ended, has held, in megabytes; 0 where unknown."""
    try:
        import resource  # not on Windows
    except ImportError:
        return 0.0, 0.0
    unit = 1 if sys.platform == "darwin" else 1024  # bytes there, kilobytes elsewhere
    own, children = (resource.getrusage(x).ru_maxrss for x in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))
    return own * unit / 2**20, children * unit / 2**20


def _cores() -> int:
    with contextlib.suppress(AttributeError):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def _cpu() -> str:
    with contextlib.suppress(OSError):
        for line in Path("/proc/cpuinfo").read_text().splitlines():
            if line.startswith("model name"):
                return line.partition(":")[2].strip()
    return platform.processor() or "unknown"


def _memory() -> str:
    with contextlib.suppress(OSError, ValueError, AttributeError):
        return f"{os.sysconf('SC_PAGE_SIZE') * os.sysconf('SC_PHYS_PAGES') / 2**30:.0f} GB"
    return "unknown"


def _version(package: str) -> str:
    try:
        return version(package)
    except PackageNotFoundError:
        return "missing"
