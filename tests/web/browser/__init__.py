"""The page in a headless browser, served beside it on a thread. Without a browser it is skipped."""

from __future__ import annotations

import shutil
import socket
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
import uvicorn

from kitplan.web.app import Workers, application
from kitplan.web.network import LOOPBACK, address_of, open_sockets
from kitplan.web.project import Project
from kitplan.web.serving import make_server
from kitplan.web.sessions import Sessions
from tests.small import small_brief

if TYPE_CHECKING:
    from playwright.sync_api import ViewportSize

CHROMIUM = next(filter(None, map(shutil.which, ("chromium", "chromium-browser"))), None)
needs_browser = pytest.mark.skipif(
    CHROMIUM is None, reason="no chromium here: `apt-get install chromium` and run it again"
)
ARGUMENTS = ("--no-sandbox", "--disable-gpu", "--disable-background-networking")
PATIENCE_MS = 60_000
PHONE: ViewportSize = {"width": 360, "height": 800}
DESK: ViewportSize = {"width": 1280, "height": 800}


@contextmanager
def served(project: Project, code: str | None = None) -> Iterator[str]:
    """Yield the address of a page that is served on a thread of this process."""
    sockets, port = open_sockets((LOOPBACK,), _free_port())
    own, workers = address_of(LOOPBACK, port), Workers()
    app = application(project, frozenset({own}), Sessions(code), workers)
    server: uvicorn.Server = make_server(app, workers)
    # On a machine at work the browser is late to let go of a connection, which would stay open.
    server.config.timeout_graceful_shutdown = PATIENCE_MS // 1000
    thread = threading.Thread(target=server.run, args=([*sockets],))
    thread.start()
    try:
        yield f"http://{own}"
    finally:
        workers.searcher.is_closed = True
        server.should_exit = True
        thread.join()
        workers.close()


def _free_port() -> int:
    with socket.socket() as asking:
        asking.bind((LOOPBACK, 0))
        port: int = asking.getsockname()[1]
        return port


def small_project(folder: Path) -> Project:
    """Return a project with a tiny shoot, planned in a second."""
    brief = small_brief()
    for name, record in (("shoot", brief.shoot), ("kit", brief.kit)):
        text = record.model_dump_json(by_alias=True, exclude_none=True)
        (folder / f"{name}.yaml").write_text(text, encoding="utf-8")
    return Project(folder / "shoot.yaml", folder / "shoot-plan", kit=folder / "kit.yaml")
