"""`manage.py pictures`: the README's pictures of Today and Week, made anew from the demo."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandParser

from studio.measuring import pictures, throwaway

FOLDER = settings.PROJECT / "studio" / "docs"
SHOWN = [("today.png", "", 844), ("week.png", "week/", 844)]  # file, page, height in CSS pixels


class Command(BaseCommand):
    help = "Make the README's pictures anew from a throw-away demo; needs an installed Chromium."
    requires_system_checks = ()

    def add_arguments(self, parser: CommandParser) -> None:
        """Where the pictures go."""
        parser.add_argument("--to", metavar="DIR", type=Path, default=FOLDER, help="Default: studio/docs.")

    def handle(self, *args: Any, **options: Any) -> None:
        """Load the demo, serve it to the browser alone, and take the pictures."""
        pictures.browser()
        if not throwaway.is_apart():
            sys.exit(throwaway.run_apart(["pictures", "--to", str(options["to"].resolve())], None))
        studio, user = throwaway.demo(seconds=8)
        with pictures.served(user) as address:
            for name, path, height in SHOWN:
                file = options["to"] / name
                pictures.take(f"{address}/s/{studio.public_id}/{path}", file, height=height)
                self.stdout.write(f"{name}: {file.stat().st_size / 1000:.0f} kB")
