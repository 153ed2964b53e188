"""The server around the page: quiet, ends cleanly, and takes what works beside it along."""

from __future__ import annotations

import socket
import threading
from collections.abc import Callable, Sequence
from contextlib import suppress
from types import FrameType
from typing import Any

import uvicorn

from kitplan.web.app import Workers
from kitplan.web.connections import Connection

LAST_ANSWERS_S = 2
"""How long answers that are under way may take when the server ends."""


def serve_on(
    app: Any,
    sockets: Sequence[socket.socket],
    workers: Workers,
    ready: Callable[[], object] = lambda: None,
) -> None:
    """Serve the page until an interrupt.

    Args:
        ready: Called on a thread of its own once pages are answered.
    """
    try:
        with suppress(KeyboardInterrupt):
            make_server(app, workers, ready).run(list(sockets))
    finally:
        workers.close()
        for each in sockets:
            each.close()


def make_server(
    app: Any, workers: Workers, ready: Callable[[], object] = lambda: None
) -> uvicorn.Server:
    """Return a server that has not begun."""
    config = uvicorn.Config(
        app,
        http=Connection,
        log_config=None,
        log_level="critical",
        access_log=False,  # an address may carry the code
        proxy_headers=False,  # nobody stands before us; such a header would hide who guesses
        server_header=False,
        lifespan="off",
        ws="none",
        timeout_graceful_shutdown=LAST_ANSWERS_S,
    )
    return _Server(config, workers, ready)


class _Server(uvicorn.Server):
    """A server that tells those who listen for news that it ends: else it would wait for them."""

    def __init__(
        self, config: uvicorn.Config, workers: Workers, ready: Callable[[], object]
    ) -> None:
        super().__init__(config)
        self._workers, self._ready = workers, ready

    async def startup(self, sockets: list[socket.socket] | None = None) -> None:
        """Begin to answer."""
        await super().startup(sockets)
        threading.Thread(target=self._ready, daemon=True).start()

    def handle_exit(self, sig: int, frame: FrameType | None) -> None:
        """Begin to end."""
        self._workers.searcher.is_closed = True
        self._workers.asker.close()  # else the answer would be waited for
        super().handle_exit(sig, frame)
