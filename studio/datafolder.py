"""The folder with everything that is the studio's own: database, secret key, static files, backups, locks.

The standard library only, since the settings and the first start read it.
"""

from __future__ import annotations

import os
import secrets
import tempfile
from pathlib import Path

from studio.bootstrap.errors import StartError

DATABASE = "studio.sqlite3"
KEY = "secret-key.txt"
STATIC = "static"
BACKUPS = "backups"
RUNNING_LOCK = "running.lock"


def prepare(folder: Path) -> None:
    """Make the folder, its parts and its secret key unless they are there. Raises StartError with a sentence."""
    try:
        folder.mkdir(parents=True, exist_ok=True, mode=0o700)
        (folder / STATIC).mkdir(exist_ok=True)
        (folder / BACKUPS).mkdir(exist_ok=True, mode=0o700)
        if not (folder / KEY).exists():
            write_private(folder / KEY, secrets.token_urlsafe(50))
        probe, name = tempfile.mkstemp(dir=folder)
        os.close(probe)
        Path(name).unlink()
    except OSError as error:
        raise StartError(
            f"The data folder {folder} cannot be used ({error.strerror or error}). "
            "Name another one, for example: --data ~/pottery-data"
        ) from error


def secret_key(folder: Path) -> str:
    """The folder's key; without a folder one for this process alone, so that commands without data work."""
    try:
        key = (folder / KEY).read_text("utf-8").strip()
    except FileNotFoundError:
        return secrets.token_urlsafe(50)
    except OSError as error:
        raise StartError(f"The key file {folder / KEY} cannot be read ({error.strerror}).") from error
    if len(key) < 40:
        raise StartError(f"The key file {folder / KEY} is damaged. Delete it, and everybody logs in again.")
    return key


def write_private(path: Path, text: str) -> None:
    """Write a file that only its owner may read; never seen half written. An existing file is kept if it is there."""
    handle, name = tempfile.mkstemp(dir=path.parent)
    temporary = Path(name)
    try:
        with os.fdopen(handle, "w", encoding="utf-8") as file:
            file.write(text + "\n")
        try:
            # A link fails where the name exists: of two first starts only one makes the key.
            os.link(temporary, path)
        except FileExistsError:
            return
        except OSError:
            temporary.replace(path)
    finally:
        temporary.unlink(missing_ok=True)
