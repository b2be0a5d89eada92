"""`manage.py backup [FILE]`: one consistent, checked file with everything recorded, while people work."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandParser

from studio import backups
from studio.bootstrap.errors import StartError


class Command(BaseCommand):
    help = "Write one consistent, checked backup file; the server may run meanwhile."
    requires_system_checks = ()

    def add_arguments(self, parser: CommandParser) -> None:
        """The file, or how many to keep in the data folder."""
        parser.add_argument("file", nargs="?", type=Path, help="Default: a dated file in the data folder's backups.")
        parser.add_argument("--keep", type=int, default=backups.KEEP, help="How many dated files to keep there.")

    def handle(self, *args: Any, **options: Any) -> None:
        """Write it and say where it is."""
        if options["keep"] < 1:
            raise StartError("--keep must be 1 or more.")
        path = backups.make(options["file"], keep=options["keep"])
        self.stdout.write(f"{path} ({path.stat().st_size // 1024} kB, checked)")
