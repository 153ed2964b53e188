"""Measure the page under load: phones that read, people who sign gear out, a plan being solved.

    python -m tests.bench.page [--phones 30] [--seconds 20] [--shoot depot-brass] [--append FILE]

A real server in a process of its own, with the stored plan of a bundled shoot and its kit as an
inventory. Each phone asks for something every half second, as somebody does who leafs through
cards. First nothing else goes on; then the shoot is planned at the same time, on all cores. Two
people sign the same things out and back as fast as they can, and what they were told is held
against what the inventory says at the end.
"""

from __future__ import annotations

import argparse
import asyncio
import gzip
import json
import os
import random
import shutil
import socket
import subprocess
import sys
import time
from collections import defaultdict
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from statistics import median, quantiles
from tempfile import TemporaryDirectory
from typing import Any

import httpx
from tabulate import tabulate

from kitplan.gear.store import Store
from kitplan.tables import folder
from tests.stored import path_of, stored_plan

THINK_S = 0.5
PLACES = ("/", "/plan", "/papers", "/gear", "/card/", "/api/plan", "/api/plan/songs")
NUM_UNITS = 5
PATIENCE_S = 60.0
DAY = "2027-05-15"


@dataclass
class Load:
    """What came of one measurement."""

    took_s: dict[str, list[float]] = field(default_factory=lambda: defaultdict(list))
    """By address."""
    faults: int = 0
    signed: int = 0
    refused: int = 0


def main() -> None:
    """Measure and print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--phones", type=int, default=30)
    parser.add_argument("--seconds", type=float, default=20.0)
    parser.add_argument("--shoot", default="depot-brass")
    parser.add_argument("--append", type=Path)
    asked = parser.parse_args()
    with TemporaryDirectory() as scratch, served(Path(scratch), asked.shoot) as address:
        text = asyncio.run(measured(address, asked.shoot, asked.phones, asked.seconds))
    print(text)
    if asked.append:
        with asked.append.open("a", encoding="utf-8") as file:
            file.write(f"\n# The page under load, measured\n\n{text}\n")


@contextmanager
def served(scratch: Path, shoot: str) -> Iterator[str]:
    """Yield the address of a page with a plan and an inventory."""
    shutil.copytree(folder("catalog"), scratch / "catalog")
    shutil.copytree(folder("scenarios"), scratch / "scenarios")
    (scratch / "plan").mkdir()
    (scratch / "plan" / f"{shoot}.json").write_bytes(gzip.decompress(path_of(shoot).read_bytes()))
    with Store.open(scratch / "kit.sqlite", writing=True) as store:
        store.save_kit(stored_plan(shoot).kit, replace=False)
    with socket.socket() as asking:
        asking.bind(("127.0.0.1", 0))
        port = asking.getsockname()[1]
    command = [sys.executable, "-m", "kitplan", "serve", str(scratch / f"scenarios/{shoot}.yaml")]
    command += ["--plan", str(scratch / "plan"), "--db", str(scratch / "kit.sqlite")]
    with subprocess.Popen([*command, "--port", str(port)], stdout=subprocess.DEVNULL) as process:
        try:
            yield f"http://127.0.0.1:{port}"
        finally:
            process.terminate()


async def measured(address: str, shoot: str, phones: int, seconds: float) -> str:
    """Return the figures as text."""
    limits = httpx.Limits(max_connections=phones + 10)
    headers = {"origin": address}
    async with httpx.AsyncClient(
        base_url=address, limits=limits, headers=headers, timeout=PATIENCE_S, follow_redirects=True
    ) as client:
        await _up(client)
        plan = (await client.get("/api/plan")).json()
        own_id, first = plan["passes"][0]["id"], plan["passes"][0]["placements"]
        cards = [f"/card/{own_id}/{each['letter']}" for each in first]
        wanted = [*PLACES, *cards, *(each["shots"][0]["svg"] for each in first)]
        there = [each for each in wanted if (await client.get(each)).status_code == 200]
        units = [unit["id"] for each in first for unit in each["units"]][:NUM_UNITS]
        rows = []
        for what, is_solving in (("nothing else", False), (f"{shoot} is planned", True)):
            if is_solving:
                await client.post("/api/solve", json={"seconds": max(4 * seconds, 60)})
                await _searching(client)
            load = await _loaded(client, there, units, phones, seconds)
            rows.append((what, *_row(load)))
            if is_solving:
                state = (await client.get("/api/solve")).json()["stage"]
                await client.post("/api/solve/stop", json={})
        lost = await _left_out(client, units)
    headers_row = ("beside it", "reads", "median ms", "95 % ms", "slowest ms", "faults", "signed")
    away = [each for each in wanted if each not in there]
    return (
        f"`python -m tests.bench.page`; {os.cpu_count()} cores. {phones} phones, each something "
        f"every {THINK_S:g} s for {seconds:g} s: {len(there)} addresses in turn"
        f"{f', without {away}' if away else ''}. The search was still at work at the end: "
        f"{'yes' if state in ('searching', 'day') else f'no ({state})'}.\n\n"
        f"{tabulate(rows, headers=headers_row, tablefmt='github', floatfmt='.0f')}\n\n{lost} "
        f"While it is planned, median ms by address: {_by_address(load)}."
    )


def _by_address(load: Load) -> str:
    found = {each: 1000 * median(some) for each, some in load.took_s.items()}
    slowest = sorted(found, key=found.__getitem__, reverse=True)
    return ", ".join(f"{each} {found[each]:.0f}" for each in slowest)


def _row(load: Load) -> tuple[Any, ...]:
    took_ms = [1000 * each for some in load.took_s.values() for each in some]
    most = quantiles(took_ms, n=20)[-1]
    signed = f"{load.signed}, {load.refused} refused"
    return len(took_ms), median(took_ms), most, max(took_ms), load.faults, signed


async def _up(client: httpx.AsyncClient) -> None:
    end = time.monotonic() + PATIENCE_S
    while True:
        try:
            await client.get("/api/solve")
        except httpx.TransportError:
            if time.monotonic() > end:
                raise
            await asyncio.sleep(0.2)
        else:
            return


async def _searching(client: httpx.AsyncClient) -> None:
    while (await client.get("/api/solve")).json()["stage"] == "starting":
        await asyncio.sleep(0.2)


async def _loaded(
    client: httpx.AsyncClient,
    there: Sequence[str],
    units: Sequence[str],
    phones: int,
    seconds: float,
) -> Load:
    """Let phones read and two people sign for some seconds."""
    load, end = Load(), time.monotonic() + seconds
    async with asyncio.TaskGroup() as group:
        for number in range(phones):
            group.create_task(_phone(client, there, number, end, load))
        for who in ("Ottilie", "Corin"):
            group.create_task(_signs(client, who, units, end, load))
    return load


async def _phone(
    client: httpx.AsyncClient, there: Sequence[str], number: int, end: float, load: Load
) -> None:
    chance = random.Random(number)
    await asyncio.sleep(chance.random() * THINK_S)  # nobody presses at the same moment
    while time.monotonic() < end:
        start, address = time.perf_counter(), chance.choice(there)
        try:
            is_fine = (await client.get(address)).status_code == 200
        except httpx.TransportError:
            is_fine = False
        load.took_s[address].append(time.perf_counter() - start)
        load.faults += not is_fine
        await asyncio.sleep(THINK_S)


async def _signs(
    client: httpx.AsyncClient, who: str, units: Sequence[str], end: float, load: Load
) -> None:
    """Sign things out and back; each time both want the same one."""
    number = 0
    while time.monotonic() < end:
        unit, number = units[number % len(units)], number + 1
        body = {"who": who, "person": who, "units": [unit], "due": DAY}
        answer = await client.post("/api/gear/out", json=body)
        if answer.status_code == 404:
            return  # no such place on this page
        load.faults += answer.status_code not in (200, 201, 409)
        if answer.status_code == 409:
            load.refused += 1
            await asyncio.sleep(0)
            continue
        load.signed += 1
        back = await client.post("/api/gear/back", json={"who": who, "units": [unit]})
        load.faults += back.status_code != 200


async def _left_out(client: httpx.AsyncClient, units: Sequence[str]) -> str:
    """Return whether anything is signed out that was signed back, or the other way round."""
    answer = await client.get("/api/gear/out")
    if answer.status_code != 200:
        return "Gear is not signed out on this page yet."
    text = json.dumps(answer.json())
    left = [unit for unit in units if f'"{unit}"' in text]
    body = {"who": "Ottilie", "person": "Ottilie", "units": list(units), "due": DAY}
    again = await client.post("/api/gear/out", json=body)
    told = "all can be signed out again" if again.status_code == 200 else again.text
    return f"Still out after all was signed back: {', '.join(left) or 'nothing'}; {told}."


if __name__ == "__main__":
    main()
