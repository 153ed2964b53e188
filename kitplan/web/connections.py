"""Connections to the page: how long one may keep the server waiting, how many one address may hold.

Without that a phone whose network drops in mid-sentence keeps its connection for ever, and anybody
on the network can take up all that the server may have, code or not.
"""

from __future__ import annotations

import asyncio
from ipaddress import ip_address

from uvicorn.protocols.http.h11_impl import H11Protocol, RequestResponseCycle

PATIENCE_S = 20.0
"""A request that is not whole after so long, and at most twice that, never will be."""
MOST_OF_ONE_ADDRESS = 150
"""A browser opens six; all phones of a crew may come by one address of a router."""


class Connection(H11Protocol):
    """One connection; it is ended when a request does not come to its end."""

    _before: RequestResponseCycle | None = None
    _was_waiting = False

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        """Take a connection up, unless its address has too many."""
        super().connection_made(transport)
        if self._has_too_many():
            transport.abort()
        else:
            self.loop.call_later(PATIENCE_S, self.look)

    def look(self) -> None:
        """End the connection where the same request was waited for the last time already."""
        if self.transport.is_closing():
            return
        cycle = self.cycle
        is_waiting = cycle is None or cycle.response_complete or cycle.more_body
        if is_waiting and self._was_waiting and cycle is self._before:
            self.transport.close()
            return
        self._before, self._was_waiting = cycle, is_waiting
        self.loop.call_later(PATIENCE_S, self.look)

    def _has_too_many(self) -> bool:
        host = self.client[0] if self.client else ""
        if not host or ip_address(host.partition("%")[0]).is_loopback:
            return False
        others = (each.client for each in self.connections if isinstance(each, Connection))
        return sum(client is not None and client[0] == host for client in others) > (
            MOST_OF_ONE_ADDRESS
        )
