"""Where this machine's Chromium is, for pictures and for the tests."""

from __future__ import annotations

import os
import shutil

NAMES = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable")


def chromium() -> str | None:
    """The path of an installed Chromium, STUDIO_CHROMIUM first; None without one."""
    named = os.environ.get("STUDIO_CHROMIUM")
    return named or next((path for name in NAMES if (path := shutil.which(name))), None)
