"""Addresses and ports."""

from __future__ import annotations

import ipaddress
import socket

import pytest

from kitplan.errors import SettingError
from kitplan.web import network
from kitplan.web.network import LOOPBACK, address_of, lan_addresses, open_sockets


def test_addresses_are_those_that_others_can_reach(monkeypatch: pytest.MonkeyPatch) -> None:
    """Neither the machine's own nor those of a single cable; each once, the short kind first."""
    own = ["fd00::2", "127.0.1.1", "10.1.1.7", "fe80::1%eth0", "169.254.3.3", "::1", "10.1.1.7"]
    monkeypatch.setattr(network, "_own_addresses", lambda: iter(own))
    assert lan_addresses() == ("10.1.1.7", "fd00::2")


def test_addresses_of_this_machine_are_addresses() -> None:
    """Whatever network it is on."""
    for each in network._own_addresses():
        ipaddress.ip_address(each.partition("%")[0])


def test_a_taken_port_is_passed_over() -> None:
    """By default the next one is taken; the one asked for is refused in one line."""
    first, port = open_sockets((LOOPBACK,), None)
    try:
        second, other = open_sockets((LOOPBACK,), None)
        second[0].close()
        assert network.USUAL_PORT <= port < other
        assert first[0].proto == socket.IPPROTO_TCP  # what asyncio goes by to send at once
        with pytest.raises(SettingError, match=f"--port: port {port} is taken. Give another one"):
            open_sockets((LOOPBACK,), port)
    finally:
        first[0].close()


def test_all_ports_taken(monkeypatch: pytest.MonkeyPatch) -> None:
    """Says which, and what to do."""
    monkeypatch.setattr(network, "_listening", lambda *_: ())
    with pytest.raises(SettingError, match="the ports 8047 to 8066 are taken"):
        open_sockets((LOOPBACK,), None)


def test_an_address_that_has_gone_is_left_out() -> None:
    """A machine may change networks between asking and listening: 192.0.2.77 is nobody's."""
    found, _ = open_sockets((LOOPBACK, "198.51.100.77"), None)
    assert len(found) == 1
    found[0].close()


def test_long_addresses_stand_in_brackets() -> None:
    """As browsers write them."""
    assert address_of("fd00::2", 8047) == "[fd00::2]:8047"
    assert address_of(LOOPBACK, 8047) == "127.0.0.1:8047"
