"""`kitplan serve` from end to end: starts, answers, searches, ends cleanly."""

from __future__ import annotations

import importlib.util
import json
import logging
import os
import signal
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from typing import Any

import cv2
import numpy as np
import pytest
from typer.testing import CliRunner

from kitplan.cli.main import app
from kitplan.cli.serve import _qr, _tell_faults
from tests.web.client import project_in

PATIENCE_S = 120.0


def free_port() -> int:
    """Return a port that nobody has."""
    with closing(socket.socket()) as asking:
        asking.bind(("127.0.0.1", 0))
        port: int = asking.getsockname()[1]
        return port


@pytest.fixture
def shoot(tmp_path: Path) -> Path:
    """A shoot file in a folder of its own."""
    return project_in(tmp_path, has_plan=False).shoot_path


@pytest.fixture
def served(shoot: Path) -> Iterator[tuple[subprocess.Popen[str], str]]:
    """A server of its own, and the address that it prints."""
    command = [sys.executable, "-m", "kitplan", "serve", str(shoot), "--port", str(free_port())]
    environment = os.environ | {"PYTHONPATH": str(Path(__file__).parents[2])}
    process = subprocess.Popen(
        command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, env=environment
    )
    try:
        assert process.stdout is not None
        lines = [process.stdout.readline(), process.stdout.readline()]
        assert lines[0].startswith("Lanterns over Thistlebeck"), lines
        yield process, lines[1].split()[-1]
    finally:
        process.kill()
        process.communicate()


def asked(address: str, body: dict[str, Any] | None = None) -> Any:
    """Return the JSON that an address answers with, asked as a page of ours would."""
    data = None if body is None else json.dumps(body).encode()
    headers = {"content-type": "application/json", "origin": address.rpartition("/api")[0]}
    request = urllib.request.Request(address, data, headers)
    with urllib.request.urlopen(request, timeout=PATIENCE_S) as answer:
        return json.load(answer)


def test_ctrl_c_ends_it_also_while_it_searches(
    served: tuple[subprocess.Popen[str], str], shoot: Path
) -> None:
    """With nothing written by half, nobody left behind, and nothing said but that it is closed;
    whoever listens for news does not keep it open.
    """
    process, address = served
    asked(f"{address}/api/solve", {"seconds": 60})
    with urllib.request.urlopen(f"{address}/api/solve/events", timeout=PATIENCE_S) as stream:
        assert stream.readline() == b"event: state\n"
        end = time.monotonic() + PATIENCE_S
        while asked(f"{address}/api/solve")["stage"] == "starting":
            assert time.monotonic() < end
            time.sleep(0.05)
        process.send_signal(signal.SIGINT)
        out, err = process.communicate(timeout=PATIENCE_S)
    assert process.returncode == 0
    assert out.endswith("The page is closed.\n")
    assert err == ""
    assert list(shoot.with_name("school-dance-plan").iterdir()) == []


def test_a_taken_port_is_told(shoot: Path) -> None:
    """In one line."""
    with closing(socket.socket()) as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = str(taken.getsockname()[1])
        result = CliRunner().invoke(app, ["serve", str(shoot), "--port", port])
    assert "is taken" in str(result.exception)


def test_without_the_extra_it_says_how_to_install_it(
    shoot: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """One line, before anything else is done."""
    monkeypatch.setattr(importlib.util, "find_spec", lambda _: None)
    result = CliRunner().invoke(app, ["serve", str(shoot)])
    assert "pip install '.[web]'" in str(result.exception)


def test_a_machine_on_no_network_has_no_lan(shoot: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """It says so instead of showing a code that leads nowhere."""
    monkeypatch.setattr("kitplan.web.network.lan_addresses", lambda: ())
    result = CliRunner().invoke(app, ["serve", str(shoot), "--lan"])
    assert "this machine is on no network" in str(result.exception)


def test_phones_get_an_address_and_a_code(shoot: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The code is in no address that is printed as text; this machine needs it as well."""
    seen: dict[str, Any] = {}
    monkeypatch.setattr("kitplan.web.network.lan_addresses", lambda: ("127.0.0.1",))
    monkeypatch.setattr("kitplan.web.network.open_sockets", lambda addresses, _: (addresses, 8047))
    monkeypatch.setattr("kitplan.web.sessions.new_code", lambda: "ABCDEFGH")
    monkeypatch.setattr(
        "kitplan.web.serving.serve_on", lambda _, sockets, *__: seen.update(sockets=sockets)
    )
    result = CliRunner().invoke(app, ["serve", str(shoot), "--lan"])
    assert result.exit_code == 0, result.output
    assert "on the network   http://127.0.0.1:8047\n" in result.output
    assert "ABCD EFGH" in result.output
    assert "ABCDEFGH" not in result.output
    assert "press Plan" in result.output
    assert seen["sockets"] == ("127.0.0.1", "127.0.0.1")


def test_faults_are_told_in_a_line(capsys: pytest.CaptureFixture[str]) -> None:
    """Without a log as well; once, however often it is served."""
    logger = logging.getLogger("kitplan")
    before = list(logger.handlers)
    try:
        logger.handlers = [logging.NullHandler()]
        _tell_faults()
        logger.error("/plan met a fault\nof its own")
        logger.info("all of it")
    finally:
        logger.handlers = before
    told = "/plan met a fault of its own. Start it with -v before the command to see more.\n"
    assert capsys.readouterr().err == told


def test_the_drawn_code_can_be_scanned() -> None:
    """White on black in the terminal, half a square of text each."""
    address = "http://192.0.2.17:8047/enter?code=ABCDEFGH"
    halves = {"█": (255, 255), "▀": (255, 0), "▄": (0, 255), " ": (0, 0)}
    rows = []
    for line in _qr(address).splitlines():
        for half in (0, 1):
            rows.append([halves[letter][half] for letter in line])
    picture = np.array(rows, dtype=np.uint8).repeat(8, axis=0).repeat(8, axis=1)
    found, *_ = cv2.QRCodeDetector().detectAndDecode(picture)
    assert found == address
