"""Sweeps on a real cluster: a scheduler and two workers, each a process of its own on loopback."""

from __future__ import annotations

import os
import shutil
import signal
import socket
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from pathlib import Path

import pytest
from typer.testing import CliRunner

from kitplan.cli.main import app
from kitplan.errors import SettingError
from kitplan.whatif import cluster as clusters
from kitplan.whatif.executors import answers
from kitplan.whatif.sweep import STOPPED, Job, Result, run, solve
from tests.cli.test_gains import small_files
from tests.whatif.test_sweep import alone, jobs, quiet

CHECKOUT = Path(__file__).parents[2]
SOON_S = 120.0
WORKER = ("--nthreads", "1", "--host", "127.0.0.1", "--memory-limit", "0")
posix_only = pytest.mark.skipif(sys.platform == "win32", reason="no such signal there")
pytestmark = [
    pytest.mark.filterwarnings("ignore::DeprecationWarning:distributed"),
    pytest.mark.filterwarnings("ignore::DeprecationWarning:dask"),
]


@dataclass
class Machines:
    """A scheduler and its workers."""

    folder: Path
    address: str
    scheduler: subprocess.Popen[bytes]
    workers: list[subprocess.Popen[bytes]] = field(default_factory=list)

    def add_worker(self, path: Path = CHECKOUT) -> subprocess.Popen[bytes]:
        """Start one more worker with the program at a path; nobody starts it anew if it dies."""
        worker = begin(self.folder, "worker", self.address, *WORKER, "--no-nanny", path=path)
        self.workers.append(worker)
        return worker

    def known(self) -> dict[str, int]:
        """Return the process ids of the workers that the scheduler knows, by address."""
        with clusters.connected(self.address) as client:
            return dict(client.run(os.getpid))

    def busy(self) -> set[str]:
        """Return the addresses of the workers that have something to do."""
        with clusters.connected(self.address) as client:
            return {worker for worker, keys in client.processing().items() if keys}

    def wait_for(self, number: int) -> None:
        """Return when the scheduler answers and knows so many workers."""
        until = time.monotonic() + SOON_S
        while self._count() != number:
            assert time.monotonic() < until, f"there are no {number} workers"
            time.sleep(0.1)

    def _count(self) -> int:
        try:
            return len(self.known())
        except (SettingError, OSError):  # one of them is just going away
            return -1


def begin(folder: Path, part: str, *options: str, path: Path = CHECKOUT) -> subprocess.Popen[bytes]:
    """Start a part of a cluster."""
    return subprocess.Popen(
        [sys.executable, "-m", f"distributed.cli.dask_{part}", *options, "--no-dashboard"],
        env={**os.environ, "PYTHONPATH": str(path)},
        cwd=folder,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )


@contextmanager
def machines(folder: Path, number: int) -> Iterator[Machines]:
    """Yield a scheduler with so many workers; all end with it."""
    with socket.create_server(("127.0.0.1", 0)) as free:
        port = free.getsockname()[1]
    options = ("--host", "127.0.0.1", "--port", str(port), "--no-show")
    made = Machines(folder, f"tcp://127.0.0.1:{port}", begin(folder, "scheduler", *options))
    try:
        for _ in range(number):
            made.add_worker()
        made.wait_for(number)
        yield made
    finally:
        for process in (*made.workers, made.scheduler):  # asked to end, a worker takes 5 seconds
            process.kill()
            process.wait()


@pytest.fixture(scope="module")
def two(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Machines]:
    """Return a cluster of two workers; a test that kills one adds another."""
    with machines(tmp_path_factory.mktemp("cluster"), 2) as made:
        yield made


def several() -> list[Job]:
    """Return the four small jobs three times, so that every worker has some."""
    return [replace(job, key=f"{job.key} {n}") for n in range(3) for job in jobs()]


def test_it_gives_what_one_process_does(two: Machines) -> None:
    """To the last figure and in the order of the jobs; progress counts up."""
    told: list[tuple[int, int]] = []
    found = run(jobs(), cluster=two.address, tell=lambda done, total, _: told.append((done, total)))
    assert tuple(found) == alone()
    assert told == [(1, 4), (2, 4), (3, 4), (4, 4)]


@posix_only
def test_a_worker_that_is_killed_midway_costs_nothing(two: Machines) -> None:
    """It is frozen with work in hand and killed; the other one does it all again."""
    killed: list[str] = []

    def tell(done: int, *_: object) -> None:
        for address, pid in two.known().items() if not killed and done > 1 else ():
            os.kill(pid, signal.SIGSTOP)
            if address in two.busy():
                os.kill(pid, signal.SIGKILL)
                killed.append(address)
                return
            os.kill(pid, signal.SIGCONT)

    found = tuple(run(several(), cluster=two.address, tell=tell))
    assert len(killed) == 1
    assert killed[0] not in two.known()
    two.add_worker()
    wanted = [result for _, result in alone()] * 3
    assert [key for key, _ in found] == [job.key for job in several()]
    assert [result for _, result in found] == wanted
    two.wait_for(2)


def slow(job: Job) -> Result:
    """Return what a job comes to, some of them not before the file that they name is there."""
    word, _, name = job.key.partition(" ")
    until = time.monotonic() + SOON_S
    while word == "after" and not Path(name).exists() and time.monotonic() < until:
        time.sleep(0.1)
    return solve(job)


@pytest.mark.long  # of the local executors in every run
@posix_only
def test_an_interrupt_keeps_what_is_done(two: Machines, tmp_path: Path) -> None:
    """The key is pressed while others are under way; those are no answers any more."""
    end = tmp_path / "end"
    tasks = [jobs()[0], *(replace(jobs()[0], key=f"after {end}{n}") for n in range(4))]

    def tell(*_: object) -> None:
        threading.Timer(0.1, os.kill, (os.getpid(), signal.SIGINT)).start()

    found = answers(clusters.Cluster(two.address), slow, tasks, tell)
    for number in range(4):
        (tmp_path / f"end{number}").touch()
    assert found == {"whole": alone()[0][1]}


@pytest.mark.parametrize("command", ["compare", pytest.param("gains", marks=pytest.mark.long)])
def test_the_commands_say_the_same_from_a_cluster(
    two: Machines, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, command: str
) -> None:
    """As from this process, to the last letter."""
    monkeypatch.chdir(tmp_path)
    arguments = [command, *small_files(tmp_path)[1:-2]]
    here = CliRunner().invoke(app, [*arguments, "--processes", "1"])
    there = CliRunner().invoke(app, [*arguments, "--cluster", two.address])
    assert there.exit_code == 0, there.output
    assert there.stdout == here.stdout
    assert len(there.stderr.splitlines()) == len(here.stderr.splitlines())


def test_a_worker_with_another_program_is_refused(two: Machines, tmp_path: Path) -> None:
    """One line more in one file is another program; its answers could be others."""
    shutil.copytree(CHECKOUT / "kitplan", tmp_path / "kitplan")
    for folder in ("shared", "tests"):
        (tmp_path / folder).symlink_to(CHECKOUT / folder)
    with (tmp_path / "kitplan" / "units.py").open("a", encoding="utf-8") as file:
        file.write("# a line\n")
    odd = two.add_worker(path=tmp_path)
    two.wait_for(3)
    with pytest.raises(
        SettingError, match=r"has kitplan 0\.1\.0 \(code .* instead of 0\.1\.0 \(code"
    ):
        run(jobs(), cluster=two.address, tell=quiet)
    odd.kill()
    two.wait_for(2)


# -- without any cluster ---------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("address", "words"),
    [
        ("", "it is no address with a port"),
        ("192.168.1.20", "it is no address with a port"),
        ("http://192.168.1.20:8786", "it is no address with a port"),
        ("127.0.0.1:{free}", "ConnectionRefusedError"),
        ("127.0.0.1:{silent}", "TimeoutError"),
        ("127.0.0.1:{closing}", "what answers there is none"),
        ("tls://127.0.0.1:{silent}", "there are no keys for tls"),
    ],
    ids=["empty", "no-port", "web-page", "nobody", "silent", "another-service", "no-keys"],
)
def test_a_wrong_address_is_said_soon(
    address: str, words: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Whatever is there, or is not."""
    monkeypatch.setattr(clusters, "CONNECT_S", 0.2)
    with (
        socket.create_server(("127.0.0.1", 0)) as silent,
        socket.create_server(("127.0.0.1", 0)) as closing,
    ):
        with socket.create_server(("127.0.0.1", 0)) as gone:
            free = gone.getsockname()[1]
        closer = threading.Thread(target=lambda: closing.accept()[0].close())
        closer.start()
        ports = {"silent": silent.getsockname()[1], "closing": closing.getsockname()[1]}
        with pytest.raises(SettingError, match=words):
            run(jobs(), cluster=address.format(free=free, **ports), tell=quiet)
        with socket.create_connection(closing.getsockname()):
            closer.join()


def test_a_missing_extra_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    """With how to install it."""
    monkeypatch.setitem(sys.modules, "distributed", None)
    with pytest.raises(SettingError, match=r"pip install '\.\[cluster\]'"):
        run(jobs(), cluster="127.0.0.1:8786", tell=quiet)


# -- long ------------------------------------------------------------------------------------------


def deadly(job: Job) -> Result:
    """Return what a job comes to, unless it ends the worker."""
    if job.key == "deadly":
        os._exit(1)
    return solve(job)


@pytest.mark.long
def test_a_scheduler_without_workers_is_said(tmp_path: Path) -> None:
    """With how to start some."""
    with (
        machines(tmp_path, 0) as none,
        pytest.raises(SettingError, match=f"dask worker {none.address} --nthreads 1"),
    ):
        run(jobs(), cluster=none.address, tell=quiet)


@pytest.mark.long
def test_a_job_that_kills_every_worker_costs_itself_only(tmp_path: Path) -> None:
    """Twice four workers die of it; the others come out as if nothing had been."""
    with machines(tmp_path, 0) as made:
        workers = begin(tmp_path, "worker", made.address, *WORKER, "--nworkers", "2")
        made.workers.append(workers)
        made.wait_for(2)
        tasks = [replace(jobs()[0], key="deadly"), *jobs()]
        found = answers(clusters.Cluster(made.address), deadly, tasks, quiet)
    assert found.pop("deadly") is None
    assert tuple((key, found[key]) for key, _ in alone()) == alone()


@pytest.mark.long
def test_a_scheduler_that_goes_away_keeps_what_is_done(tmp_path: Path) -> None:
    """Like an interrupt."""
    with machines(tmp_path, 1) as made:

        def tell(done: int, *_: object) -> None:
            if done == 2:
                made.scheduler.kill()

        found = dict(run(several(), cluster=made.address, tell=tell))
    kept = [result for result in found.values() if result.is_complete]
    assert 2 <= len(kept) < len(found)
    assert {result.reason for result in found.values() if not result.is_complete} == {STOPPED}
