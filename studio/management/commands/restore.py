"""`manage.py restore FILE`: put a backup back, after checking it, keeping what it replaces."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandParser
from django.db import connection

from studio import backups
from studio.bootstrap.errors import StartError
from studio.bootstrap.locks import FileLock
from studio.datafolder import RUNNING_LOCK


class Command(BaseCommand):
    help = "Put a backup in the place of the present data, which is kept beside it."
    requires_system_checks = ()

    def add_arguments(self, parser: CommandParser) -> None:
        """The file, and the word that overrides the lock."""
        parser.add_argument("file", type=Path)
        parser.add_argument("--force", action="store_true", help="Even though a server runs on this data folder.")

    def handle(self, *args: Any, **options: Any) -> None:
        """Check, swap, bring the tables up to this version."""
        path: Path = options["file"]
        if connection.vendor != "sqlite":
            raise StartError(
                "With PostgreSQL a backup is put back with its own program: stop the tool, make an empty database, "
                f"then pg_restore --no-owner --dbname NAME {path}"
            )
        lock = FileLock(settings.DATA / RUNNING_LOCK)
        if not lock.acquire(wait=False) and not options["force"]:
            raise StartError("The tool is running on this data folder. Stop it first, then restore.")
        try:
            aside = backups.put_back(path)
            call_command("migrate", interactive=False, verbosity=0)
        finally:
            lock.release()
        self.stdout.write(f"The data of {path} is in place.")
        if aside is not None:
            self.stdout.write(f"What was there before is kept in {aside}")
