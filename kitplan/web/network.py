"""Where the page is served: the addresses of this machine, and free ports on them."""

from __future__ import annotations

import errno
import ipaddress
import os
import socket
from collections.abc import Iterator, Sequence
from contextlib import suppress

from kitplan.errors import SettingError

LOOPBACK = "127.0.0.1"
USUAL_PORT, NUM_PORTS = 8047, 20
ELSEWHERE = ((socket.AF_INET, "192.0.2.1"), (socket.AF_INET6, "2001:db8::1"))
"""Addresses that are nobody's. Nothing is sent: asking for the way there says which of our own
addresses it would start from."""


def lan_addresses() -> tuple[str, ...]:
    """Return the addresses under which others on the network reach this machine, the usual one
    first; none where it is on no network.
    """
    usable = dict.fromkeys(each for each in _own_addresses() if _is_on_a_network(each))
    return tuple(sorted(usable, key=lambda each: ":" in each))  # people can type the short kind


def _own_addresses() -> Iterator[str]:
    for family, elsewhere in ELSEWHERE:
        with suppress(OSError), socket.socket(family, socket.SOCK_DGRAM) as asking:
            asking.connect((elsewhere, 9))
            yield asking.getsockname()[0]
    with suppress(OSError):
        for *_, place in socket.getaddrinfo(socket.gethostname(), None):
            yield str(place[0])


def _is_on_a_network(address: str) -> bool:
    try:
        known = ipaddress.ip_address(address)
    except ValueError:  # with a scope, as addresses of a single cable have
        return False
    return not (known.is_loopback or known.is_link_local or known.is_unspecified)


def open_sockets(
    addresses: Sequence[str], port: int | None
) -> tuple[tuple[socket.socket, ...], int]:
    """Return sockets that listen on all of the addresses, and their port: the one asked for, or a
    free one.

    Raises:
        SettingError: If the port is taken.
    """
    ports = [port] if port else range(USUAL_PORT, USUAL_PORT + NUM_PORTS)
    for each in ports:
        found = _listening(addresses, each)
        if found:
            return found, each
    taken = f"port {port} is" if port else f"the ports {ports[0]} to {ports[-1]} are"
    fix = "Give another one, or leave it out" if port else "Give a free one with --port N"
    raise SettingError(f"{taken} taken", where="--port", fix=fix)


def _listening(addresses: Sequence[str], port: int) -> tuple[socket.socket, ...]:
    """Return a socket for each address; none where the port is taken on any."""
    found: list[socket.socket] = []
    for address in addresses:
        family = socket.AF_INET6 if ":" in address else socket.AF_INET
        # named as TCP, or else asyncio would let small answers wait for 40 ms (TCP_NODELAY)
        listening = socket.socket(family, socket.SOCK_STREAM, socket.IPPROTO_TCP)
        found.append(listening)
        try:
            if os.name == "posix":  # elsewhere it would let two servers have one port
                listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            if family == socket.AF_INET6:
                listening.setsockopt(socket.IPPROTO_IPV6, socket.IPV6_V6ONLY, 1)
            listening.bind((address, port))
            listening.listen(128)
        except OSError as error:
            if error.errno == errno.EADDRNOTAVAIL and len(addresses) > 1:
                found.pop().close()  # an address that has just gone
                continue
            for each in found:
                each.close()
            return ()
    return tuple(found)


def address_of(host: str, port: int) -> str:
    """Return host and port as they stand in an address: '[::1]:8047'."""
    return f"[{host}]:{port}" if ":" in host else f"{host}:{port}"
