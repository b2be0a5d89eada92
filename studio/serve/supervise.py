"""Keep the web server and the planner's worker running until somebody asks to stop."""

from __future__ import annotations

import http.client
import threading
import time
from collections.abc import Callable, Sequence

from studio.bootstrap.errors import StartError
from studio.serve.children import Child, stop_all
from studio.serve.welcome import ANYWHERE

START_LIMIT_S = 60.0
LOOK_EVERY_S = 0.1


def run_until_stopped(
    web: Child,
    others: Sequence[Child],
    stop: threading.Event,
    *,
    answers: Callable[[], bool],
    greet: Callable[[], object],
    say: Callable[[str], object],
) -> None:
    """Start `web`, wait until it answers, greet, start the others, and restart what dies, until `stop` is set.

    All children are gone when this returns or raises. Raises StartError when the server does not come up.
    """
    children = [web, *others]
    try:
        web.start()
        _wait_for(web, stop, answers)
        for child in others:
            child.start()
        if not stop.is_set():
            greet()
        while not stop.wait(LOOK_EVERY_S):
            for child in children:
                news = child.tend(time.monotonic())
                if news:
                    say(news)
    finally:
        stop_all(children)


def _wait_for(web: Child, stop: threading.Event, answers: Callable[[], bool]) -> None:
    deadline = time.monotonic() + START_LIMIT_S
    while not stop.is_set() and not answers():
        if not web.running:
            raise StartError("The web server did not start; the lines above say why.")
        if time.monotonic() > deadline:
            raise StartError(f"The web server did not answer within {START_LIMIT_S:.0f} seconds.")
        stop.wait(0.05)


def web_answers(host: str, port: int) -> bool:
    """True when the health page of the server on this machine says ok."""
    address = "127.0.0.1" if host in ANYWHERE else host
    connection = http.client.HTTPConnection(address, port, timeout=2)
    try:
        connection.request("GET", "/health/")
        return connection.getresponse().status == 200
    except (OSError, http.client.HTTPException):
        return False
    finally:
        connection.close()
