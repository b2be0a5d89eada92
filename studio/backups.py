"""One file with everything recorded: made and checked while people work, put back when it is needed."""

from __future__ import annotations

import os
import shutil
import sqlite3
import subprocess
import tempfile
import time
from collections.abc import Iterable
from contextlib import closing
from pathlib import Path

from django.conf import settings
from django.db import connection
from django.db.migrations.loader import MigrationLoader
from django.utils import timezone

from studio import datafolder
from studio.bootstrap.errors import StartError
from studio.models import Studio

KEEP = 14
HOUR_S = 3600
PREFIX = "studio-"
SQLITE_HEAD = b"SQLite format 3\x00"


def make(target: Path | None, *, reason: str = "", keep: int = KEEP) -> Path:
    """Write one consistent, checked file and return its path; the server may run meanwhile.

    Without a target it goes into the data folder's backups, of which the newest `keep` are left there.
    Raises StartError with a sentence; a file that fails its check is not kept.
    """
    if Studio._meta.db_table not in connection.introspection.table_names():
        raise StartError(f"There is nothing to back up in {settings.DATA} yet.")
    path = target if target is not None else _next_name(reason)
    if path.exists():
        raise StartError(f"{path} is there already. Name another file; a backup never replaces one.")
    if not path.parent.is_dir():
        raise StartError(f"The folder {path.parent} does not exist.")
    try:
        handle, name = tempfile.mkstemp(dir=path.parent, prefix=".unfinished-")
        os.close(handle)
        temporary = Path(name)
        try:
            _write(temporary)
            _sync(temporary)
            temporary.replace(path)
            _sync(path.parent)
        finally:
            temporary.unlink(missing_ok=True)
    except OSError as error:
        raise StartError(f"The backup could not be written to {path} ({error.strerror or error}).") from error
    if target is None:
        _rotate(path.parent, keep)
    return path


def check(path: Path) -> None:
    """Refuse, by StartError, what is no whole backup of this tool or comes from a newer version of it."""
    try:
        with path.open("rb") as file:
            head = file.read(len(SQLITE_HEAD))
    except OSError as error:
        raise StartError(f"The file {path} cannot be read ({error.strerror}).") from error
    if head != SQLITE_HEAD:
        raise StartError(f"{path} is not a backup of this tool. Nothing was changed.")
    try:
        with closing(sqlite3.connect(f"{path.resolve().as_uri()}?mode=ro", uri=True)) as database:
            found = [row[0] for row in database.execute("PRAGMA integrity_check")]
            broken_links = database.execute("PRAGMA foreign_key_check").fetchone()
            applied = {(row[0], row[1]) for row in database.execute("SELECT app, name FROM django_migrations")}
            database.execute("SELECT count(*) FROM studio_studio").fetchone()
    except sqlite3.DatabaseError as error:
        raise StartError(f"{path} is damaged or not a backup of this tool ({error}). Nothing was changed.") from error
    if found != ["ok"] or broken_links is not None:
        raise StartError(f"{path} is damaged ({found[0]}). Take an older backup; nothing was changed.")
    unknown = unknown_migrations(applied)
    if unknown:
        raise StartError(
            f"{path} was made by a newer version of the tool ({', '.join(sorted(unknown))}). "
            "Upgrade the tool first; nothing was changed."
        )


def put_back(path: Path) -> Path | None:
    """Put a checked backup in the database's place; return where the replaced data is kept, if there was any.

    The caller holds the folder's lock. Raises StartError with a sentence.
    """
    check(path)
    connection.close()
    current = Path(settings.DATABASES["default"]["NAME"])
    try:
        handle, name = tempfile.mkstemp(dir=current.parent, prefix=".unfinished-")
        os.close(handle)
        incoming = Path(name)
        try:
            shutil.copyfile(path, incoming)
            _sync(incoming)
            aside = set_aside(current, "replaced") if current.exists() else None
            incoming.replace(current)
            _sync(current.parent)
        finally:
            incoming.unlink(missing_ok=True)
    except OSError as error:
        raise StartError(f"The backup could not be put in place ({error.strerror or error}).") from error
    return aside


def set_aside(database: Path, reason: str) -> Path:
    """Move a database with its log files into the backups, in a form that can be restored; return its new path."""
    _write_back_log(database)
    target = _next_name(reason)
    # The main file last: until it has moved, the old name is still a whole database.
    for end in ("-wal", "-shm", ""):
        part = Path(f"{database}{end}")
        if part.exists():
            part.replace(f"{target}{end}")
    return target


def unknown_migrations(applied: Iterable[tuple[str, str]]) -> set[str]:
    """The applied migrations, as app.name, that this code does not have."""
    loader = MigrationLoader(None)
    ours = set(loader.disk_migrations) | {key for m in loader.disk_migrations.values() for key in m.replaces}
    return {f"{app}.{name}" for app, name in applied if (app, name) not in ours}


def _write(temporary: Path) -> None:
    if connection.vendor == "postgresql":
        _write_from_postgres(temporary)
        return
    temporary.unlink()  # VACUUM INTO makes its file itself
    with connection.cursor() as cursor:
        cursor.execute("VACUUM INTO %s", [str(temporary)])
    temporary.chmod(0o600)
    check(temporary)


def _write_from_postgres(temporary: Path) -> None:
    if shutil.which("pg_dump") is None:
        raise StartError("A backup of PostgreSQL needs its program pg_dump on this machine (postgresql-client).")
    values = connection.get_connection_params()
    names = {"host": "PGHOST", "port": "PGPORT", "user": "PGUSER", "password": "PGPASSWORD", "dbname": "PGDATABASE"}
    given = {variable: str(values[name]) for name, variable in names.items() if values.get(name)}
    for line in (
        ["pg_dump", "--format=custom", "--no-owner", "--file", str(temporary)],
        ["pg_restore", "--list", str(temporary)],  # reads the whole table of contents back
    ):
        environment = {**os.environ, **given}
        done = subprocess.run(line, env=environment, stdin=subprocess.DEVNULL, capture_output=True, text=True)
        if done.returncode:
            raise StartError(f"{line[0]} failed: {done.stderr.strip() or done.returncode}")


def _write_back_log(database: Path) -> None:
    # Best effort: a damaged database is set aside as it is.
    try:
        with closing(sqlite3.connect(database)) as opened:
            opened.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    except sqlite3.DatabaseError:
        return


def _next_name(reason: str) -> Path:
    folder = settings.DATA / datafolder.BACKUPS
    folder.mkdir(parents=True, exist_ok=True, mode=0o700)
    end = "pgdump" if connection.vendor == "postgresql" else "sqlite3"
    stem = f"{PREFIX}{timezone.now():%Y%m%d-%H%M%S}" + (f"-{reason}" if reason else "")
    path = folder / f"{stem}.{end}"
    count = 2
    while path.exists():
        path = folder / f"{stem}-{count}.{end}"
        count += 1
    return path


def _rotate(folder: Path, keep: int) -> None:
    for left_over in folder.glob(".unfinished-*"):
        if time.time() - left_over.stat().st_mtime > HOUR_S:
            left_over.unlink(missing_ok=True)
    # Only ordinary backups are dropped; what was kept before an upgrade or a restore stays until a person removes it.
    ordinary = [path for path in folder.glob(f"{PREFIX}*") if path.stem.count("-") == 2 and path.is_file()]
    for path in sorted(ordinary)[: -max(1, keep)]:
        path.unlink(missing_ok=True)


def _sync(path: Path) -> None:
    if os.name == "nt":
        return  # a folder cannot be synced there, and a file only when opened for writing
    handle = os.open(path, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
