"""Connections that keep the server waiting, and addresses that hold too many."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any
from unittest.mock import Mock

import pytest
import uvicorn
from uvicorn.server import ServerState

from kitplan.web.connections import MOST_OF_ONE_ADDRESS, PATIENCE_S, Connection

ASK = b"GET / HTTP/1.1\r\nHost: here\r\n"


class Loop:
    """A loop in which time passes by hand, and whatever is begun stays where it is."""

    def __init__(self) -> None:
        self.waiting: list[Any] = []

    def call_later(self, seconds: float, what: Any) -> SimpleNamespace:
        """Note what is to be done."""
        if seconds == PATIENCE_S:
            self.waiting.append(what)
        return SimpleNamespace(cancel=lambda: None)

    def create_task(self, coroutine: Any, **_: Any) -> Mock:
        """Begin nothing."""
        coroutine.close()
        return Mock()

    def pass_by(self) -> None:
        """Let the time of patience pass."""
        due, self.waiting = self.waiting, []
        for what in due:
            what()


class Wire:
    """The other end."""

    def __init__(self, host: str) -> None:
        self.host, self.is_open = host, True

    def get_extra_info(self, name: str) -> Any:
        """Return the address of either end."""
        return {"peername": (self.host, 50_000), "sockname": ("10.0.0.1", 8047)}.get(name)

    def is_closing(self) -> bool:
        """Whether it was ended."""
        return not self.is_open

    def close(self) -> None:
        """End it."""
        self.is_open = False

    abort = close


async def _app(scope: Any, receive: Any, send: Any) -> None:
    pass


def connection(state: ServerState, loop: Loop, host: str = "10.0.0.7") -> tuple[Connection, Wire]:
    """Return a connection that was just taken up, and its other end."""
    config = uvicorn.Config(_app, log_config=None, lifespan="off", ws="none")
    made, wire = Connection(config, state, {}, loop), Wire(host)  # type: ignore[arg-type]
    made.connection_made(wire)  # type: ignore[arg-type]
    return made, wire


@pytest.mark.parametrize(
    "sent", [b"", ASK, b"POST / HTTP/1.1\r\nHost: here\r\nContent-Length: 9\r\n\r\nabc"]
)
def test_a_request_that_does_not_come_to_its_end_is_given_up(sent: bytes) -> None:
    """Nothing sent, half of a head, half of a body; not before its time."""
    loop = Loop()
    made, wire = connection(ServerState(), loop)
    if sent:
        made.data_received(sent)
    loop.pass_by()
    assert wire.is_open
    loop.pass_by()
    assert not wire.is_open


def test_an_answer_that_takes_its_time_is_not_given_up() -> None:
    """News of a search come for hours."""
    loop = Loop()
    made, wire = connection(ServerState(), loop)
    made.data_received(ASK + b"\r\n")
    for _ in range(5):
        loop.pass_by()
    assert wire.is_open


def test_one_address_holds_only_so_many() -> None:
    """Others still get in, and so does this machine itself."""
    state, loop = ServerState(), Loop()
    wires = [connection(state, loop)[1] for _ in range(MOST_OF_ONE_ADDRESS + 1)]
    assert [wire.is_open for wire in wires] == [True] * MOST_OF_ONE_ADDRESS + [False]
    assert connection(state, loop, "10.0.0.8")[1].is_open
    own = [connection(state, loop, "127.0.0.1")[1] for _ in range(MOST_OF_ONE_ADDRESS + 1)]
    assert all(wire.is_open for wire in own)
