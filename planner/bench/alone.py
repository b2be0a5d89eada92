"""A piece of work in a process of its own: its memory is its own, and a crash costs one result."""

from __future__ import annotations

import multiprocessing
import signal
from collections.abc import Callable
from multiprocessing.connection import Connection
from typing import Any, TypeVar

T = TypeVar("T")


class Failed(Exception):
    """The work gave no result; the text says why."""


def alone(function: Callable[..., T], given: tuple[object, ...]) -> T:
    """``function(*given)``, made in a process started anew; raises :class:`Failed`."""
    new = multiprocessing.get_context("spawn")
    here, there = new.Pipe(duplex=False)
    process = new.Process(target=_work, args=(there, function, given))
    process.start()
    there.close()
    try:
        fault, result = here.recv()
    except EOFError:
        process.join()
        raise Failed(f"its process ended with code {process.exitcode}") from None
    except BaseException:  # Ctrl-C, say
        process.kill()
        raise
    finally:
        here.close()
        process.join()
    if fault:
        raise Failed(fault)
    made: T = result
    return made


def _work(there: Connection, function: Callable[..., Any], given: tuple[object, ...]) -> None:
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C goes to the whole group; who asked for the work ends us
    try:
        there.send(("", function(*given)))
    except Exception as e:
        there.send((f"{type(e).__name__}: {e}", None))
