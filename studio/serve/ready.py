"""Bring a data folder up to the code: a copy first where data would be changed, tables, static files."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from pathlib import Path

from django.apps import apps
from django.conf import settings
from django.core.management import call_command
from django.db import DatabaseError, connection
from django.db.migrations.executor import MigrationExecutor

from studio import backups
from studio.bootstrap.errors import StartError

Say = Callable[[str], object]
STATIC_STAMP = ".collected"


def bring_up_to_date(say: Say) -> None:
    """Migrate the database and collect the static files, each only when needed. Raises StartError with a sentence."""
    try:
        _migrate(say)
    except DatabaseError as error:
        raise StartError(f"The database cannot be used: {error}".strip()) from error
    _collect_static()


def _migrate(say: Say) -> None:
    executor = MigrationExecutor(connection)
    applied = set(executor.loader.applied_migrations)
    unknown = backups.unknown_migrations(applied)
    if unknown:
        raise StartError(
            "This data was written by a newer version of the tool "
            f"({', '.join(sorted(unknown))}). Upgrade the tool, or use another folder with --data."
        )
    if not executor.migration_plan(executor.loader.graph.leaf_nodes()):
        return
    if applied:
        kept = backups.make(None, reason="before-upgrade")
        say(f"The tables change with this version; the data as it was is kept in {kept}")
    call_command("migrate", interactive=False, verbosity=0)


def _collect_static() -> None:
    root = Path(settings.STATIC_ROOT)
    fingerprint = _static_fingerprint()
    stamp = root / STATIC_STAMP
    if stamp.exists() and stamp.read_text("utf-8") == fingerprint:
        return
    # Files of earlier versions stay: a phone's open page may still ask for them.
    call_command("collectstatic", interactive=False, verbosity=0)
    stamp.write_text(fingerprint, "utf-8")


def _static_fingerprint() -> str:
    """Changes when any static file of any app does, by name, size and time."""
    digest = hashlib.sha256()
    for app in apps.get_app_configs():
        folder = Path(app.path) / "static"
        for path in sorted(folder.rglob("*")) if folder.is_dir() else []:
            status = path.stat()
            digest.update(f"{path}\0{status.st_size}\0{status.st_mtime_ns}\n".encode())
    return digest.hexdigest()
