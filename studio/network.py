"""This machine's own names and addresses, found without sending anything."""

from __future__ import annotations

import contextlib
import ipaddress
import socket


def own_names() -> list[str]:
    """The host names under which this machine is known to itself and, with .local, to phones nearby."""
    names = ["localhost"]
    host = socket.gethostname().strip().lower()
    if host:
        names += [host, f"{host}.local"] if "." not in host else [host, f"{host.split('.')[0]}.local"]
    return list(dict.fromkeys(names))


def own_addresses() -> list[str]:
    """The numeric addresses of this machine: loopback first, then the one that others on the network reach."""
    found = ["127.0.0.1", "::1"]
    found += filter(None, [_outward(socket.AF_INET, "192.0.2.1"), _outward(socket.AF_INET6, "2001:db8::1")])
    with contextlib.suppress(OSError):
        found += [str(entry[4][0]).split("%")[0] for entry in socket.getaddrinfo(socket.gethostname(), None)]
    return list(dict.fromkeys(address for address in found if _plain(address)))


def network_address() -> str | None:
    """The IPv4 address under which a phone on the same network finds this machine; None without a network."""
    for address in own_addresses():
        if ":" not in address and not ipaddress.ip_address(address).is_loopback:
            return address
    return None


def own_hosts() -> list[str]:
    """What may stand in a request's Host header for it to mean this machine."""
    return own_names() + [f"[{address}]" if ":" in address else address for address in own_addresses()]


def _outward(family: socket.AddressFamily, documentation_address: str) -> str | None:
    # Connecting a datagram socket sends nothing; it only asks the system which address it would send from.
    with contextlib.suppress(OSError), socket.socket(family, socket.SOCK_DGRAM) as probe:
        probe.connect((documentation_address, 9))
        return str(probe.getsockname()[0])
    return None


def _plain(address: str) -> bool:
    try:
        parsed = ipaddress.ip_address(address)
    except ValueError:
        return False
    return not parsed.is_unspecified and not (parsed.version == 6 and parsed.is_link_local)
