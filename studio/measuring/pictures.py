"""Pictures of pages at a phone's size, by a Chromium that is installed: for the README."""

from __future__ import annotations

import importlib
import subprocess
import tempfile
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from django.conf import settings
from django.contrib.auth import BACKEND_SESSION_KEY, HASH_SESSION_KEY, SESSION_KEY
from django.contrib.auth.models import User

from studio.bootstrap.errors import StartError
from studio.measuring.chromium import chromium
from studio.measuring.png import smaller

WIDTH = 390  # CSS pixels, as the pages are made for
SCALE = 2  # as sharp as a phone's screen
LIMIT_S = 60

Application = Callable[..., Any]


def browser() -> str:
    """The path of an installed Chromium. Raises StartError without one."""
    found = chromium()
    if found is None:
        raise StartError("Pictures need a Chromium: install one, or name it in STUDIO_CHROMIUM.")
    return found


@contextmanager
def served(user: User) -> Iterator[str]:
    """The pages on this machine alone, where whoever comes is ``user``; their address."""
    import waitress

    from studio.wsgi import application

    cookie = f"{settings.SESSION_COOKIE_NAME}={_session(user)}"

    def as_user(environ: dict[str, Any], start: Application) -> Any:
        return application({**environ, "HTTP_COOKIE": cookie}, start)

    server = waitress.create_server(as_user, host="127.0.0.1", port=0, ident=None)
    thread = threading.Thread(target=server.run, name="pages", daemon=True)
    thread.start()
    try:
        yield f"http://127.0.0.1:{server.effective_port}"
    finally:
        server.close()


def _session(user: User) -> str:
    """The key of a session in which ``user`` is logged in."""
    store = importlib.import_module(settings.SESSION_ENGINE).SessionStore()
    store[SESSION_KEY] = str(user.pk)
    store[BACKEND_SESSION_KEY] = settings.AUTHENTICATION_BACKENDS[0]
    store[HASH_SESSION_KEY] = user.get_session_auth_hash()
    store.create()
    return str(store.session_key)


def take(address: str, picture: Path, *, height: int) -> None:
    """Write a picture of the page, :data:`WIDTH` wide and ``height`` high (CSS pixels), in light colours."""
    with tempfile.TemporaryDirectory(prefix="studio-pictures-") as folder:
        raw = Path(folder) / "page.png"
        line = [
            browser(), "--headless", "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage", "--hide-scrollbars",
            "--no-first-run", f"--user-data-dir={folder}/profile", f"--force-device-scale-factor={SCALE}",
            "--blink-settings=preferredColorScheme=1", f"--window-size={WIDTH},{height}", f"--screenshot={raw}",
            address,
        ]  # fmt: skip
        try:
            done = subprocess.run(line, capture_output=True, text=True, timeout=LIMIT_S, check=False)
        except (OSError, subprocess.TimeoutExpired) as error:
            raise StartError(f"The Chromium did not work: {error}") from error
        if not raw.exists():
            last = (done.stderr.strip().splitlines() or ["it said nothing"])[-1]
            raise StartError(f"The Chromium made no picture: {last}")
        picture.parent.mkdir(parents=True, exist_ok=True)
        picture.write_bytes(smaller(raw.read_bytes()))

