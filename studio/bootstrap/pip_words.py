"""What the installer printed, in one sentence for a person."""

from __future__ import annotations

import re
from collections.abc import Iterator

# In this order: the first pattern found names the cause, and the later ones are often its consequences.
CAUSES: tuple[tuple[str, str], ...] = (
    (r"No space left on device|Errno 28|disk full", "There is no space left on this disk. Make room"),
    (
        r"DO NOT MATCH THE HASHES",
        "A downloaded package is not the one that was locked (its hash differs), so nothing was installed. "
        "Check the package index this machine uses",
    ),
    (
        r"Permission denied|Read-only file system|Errno 13|Errno 30",
        "A file could not be written. Put the project into a folder of your own",
    ),
    (
        r"Temporary failure in name resolution|Name or service not known|getaddrinfo failed|nodename nor servname"
        r"|Failed to establish a new connection|NewConnectionError|ConnectTimeout|ReadTimeout|Connection refused"
        r"|Network is unreachable|Connection broken|ProxyError|SSLError|Could not fetch URL|ConnectionResetError",
        "The packages could not be fetched from the network. Check the connection",
    ),
    (
        r"No matching distribution found|Could not find a version",
        "A package was not found for this system and this Python. Check the connection, or use Python 3.11 to 3.13",
    ),
    (r"ensurepip", "This Python cannot install packages. On Debian or Ubuntu: sudo apt install python3-venv. Do so"),
)


def explain_failure(doing: str, output: str) -> str:
    """One sentence on why `doing` failed, with the installer's own last complaint behind it."""
    complaint = _last_complaint(output)
    said = f" ({complaint})" if complaint else ""
    for pattern, sentence in CAUSES:
        if re.search(pattern, output):
            return f"{sentence}, then start the same command again.{said}"
    return f"It was not possible to {doing}.{said} Nothing was kept; start the same command again."


def quiet_lines(output: str) -> Iterator[str]:
    """The lines worth showing after a success: real warnings, without those on ignored locations."""
    for line in output.splitlines():
        if line.strip() and "is ignored" not in line and "[notice]" not in line:
            yield line


def _last_complaint(output: str) -> str:
    lines = [line.strip() for line in output.splitlines() if "is ignored" not in line]
    errors = [line for line in lines if line.startswith("ERROR")]
    last = (errors or [line for line in lines if line] or [""])[-1]
    return last.removeprefix("ERROR:").strip()[:300]
