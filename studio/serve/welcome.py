"""What the person sees when it runs: addresses, the login, and a code for the phone's camera."""

from __future__ import annotations

import io

import segno

ANYWHERE = ("0.0.0.0", "::")


def phone_address(host: str, port: int, network_address: str | None) -> str | None:
    """The address for a phone on the same network; None when this machine is not reachable from it."""
    if host in ANYWHERE:
        return f"http://{network_address}:{port}/" if network_address else None
    return None if host in ("127.0.0.1", "localhost", "::1") else f"http://{_bracket(host)}:{port}/"


def public_address(hosts: str, *, https: bool) -> str | None:
    """Where a proxy with HTTPS in front is reached: the first of the named hosts; None without both.

    Over HTTPS alone the cookies travel, so no other address would let anybody in.
    """
    first = hosts.split(",")[0].strip()
    return f"https://{first}/" if https and first else None


def local_address(host: str, port: int) -> str:
    """The address for this computer's own browser."""
    return f"http://{'127.0.0.1' if host in ANYWHERE else _bracket(host)}:{port}/"


def picture(address: str, encoding: str, *, colour: bool) -> str:
    """The address as a code of half blocks for a terminal; empty where its encoding cannot show them.

    With `colour` it is light on dark whatever the terminal's own colours are, as a phone's camera wants it.
    """
    out = io.StringIO()
    segno.make_qr(address, error="l").terminal(out=out, border=2, compact=True)
    text = out.getvalue()
    try:
        text.encode(encoding)
    except (UnicodeEncodeError, LookupError):
        return ""
    if colour:
        text = "".join(f"\x1b[97;40m{line}\x1b[0m\n" for line in text.splitlines())
    return text


def own_host(host: str) -> list[str]:
    """The Host header for a host that was named on the command line; none for "anywhere"."""
    return [] if host in ANYWHERE else [_bracket(host)]


def _bracket(host: str) -> str:
    return f"[{host}]" if ":" in host else host
