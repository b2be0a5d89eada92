"""This machine in one line, since a time without its machine says nothing."""

from __future__ import annotations

import os
import platform
import re
from pathlib import Path


def machine() -> str:
    """Processor, cores, memory, system, Python, and how busy it is."""
    python = f"Python {platform.python_version()}"
    parts = [_processor(), f"{os.cpu_count()} cores", _memory(), platform.system(), python]
    if hasattr(os, "getloadavg"):
        parts.append(f"load {os.getloadavg()[0]:.1f}")
    return ", ".join(part for part in parts if part)


def _processor() -> str:
    try:
        found = re.search(r"^model name\s*:\s*(.+)$", Path("/proc/cpuinfo").read_text("utf-8"), re.M)
    except OSError:
        found = None
    return found[1].strip() if found else platform.processor() or platform.machine()


def _memory() -> str:
    try:
        total = os.sysconf("SC_PAGE_SIZE") * os.sysconf("SC_PHYS_PAGES")
    except (AttributeError, ValueError, OSError):
        return ""
    return f"{total / 2**30:.0f} GB"
