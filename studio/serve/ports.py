"""Free ports."""

from __future__ import annotations

import socket

from studio.bootstrap.errors import StartError

FIRST = 8000
TRIED = 30


def choose(host: str, wanted: int | None) -> int:
    """The wanted port, or the first free one from 8000 on. Raises StartError when it is taken or none is free."""
    if wanted is not None:
        problem = taken(host, wanted)
        if problem:
            raise StartError(f"Port {wanted} cannot be used on {host} ({problem}). Choose another: --port {wanted + 1}")
        return wanted
    problem = ""
    for port in range(FIRST, FIRST + TRIED):
        problem = taken(host, port)
        if not problem:
            return port
    last = FIRST + TRIED - 1
    raise StartError(f"No port from {FIRST} to {last} can be used on {host} ({problem}). Name one: --port N")


def taken(host: str, port: int) -> str:
    """Why the port cannot be used; empty when it can."""
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    try:
        with socket.socket(family, socket.SOCK_STREAM) as probe:
            # As the server does: a port in its last moments is free, one with a listener is not.
            probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            probe.bind((host, port))
    except OverflowError:
        return "ports go from 1 to 65535"
    except OSError as error:
        return error.strerror or str(error)
    return ""
